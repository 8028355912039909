package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fitting"
	"matchmark/procedure/say"
)

var idleTool = rule{
	Rule: diagnostic.Rule{
		Code: "idle-tool", Severity: diagnostic.Advice, Title: "Listed tool that fits nothing in its step",
		Wrong: "A step lists a tool, and by its row, or by the size in its name, the tool fits no fastener and no act of the step.",
		Why:   "It is the wrong socket, and the right one is missing on the list.",
		Do:    "List the one that fits, or say in its row what else it fits.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, r := range s.Listed {
			t := m.Thing(r.ID)
			if t == nil || t.Tool == nil || t.Tool.Kind != procedure.HandTool || len(s.Actions()) == 0 {
				continue
			}
			use, fits := fitting.Of(t.Tool), t.Tool.Fits
			if fits == "" {
				fits = t.Tool.Name // its name says what it turns
			}
			if use.Empty() || used(m, s, &use) || t.Tool.Use.Empty() && !drivesStated(m, s) {
				continue
			}
			report(diagnostic.Diagnostic{
				Span: r.Span, Wrong: say.That("%tool is listed in step %step, and fits nothing that the step does: %fits", say.Name(r.ID), say.Name(s.ID), say.Quote(fits)),
				Advice: say.That("List the tool that fits, or say in the row of %tool what else it fits.", say.Name(r.ID)),
				See:    []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}},
			})
		}
	}),
}

// drivesStated reports whether a step turns fasteners and the rows of all of them have their drive: then a tool that is named after
// another size has nothing to do there.
func drivesStated(m *procedure.Machine, s *procedure.Step) bool {
	turned := false
	for _, a := range s.Actions() {
		t := m.Thing(a.Object.ID)
		switch {
		case t == nil || t.Fastener == nil:
		case t.Fastener.Drive == "":
			return false
		case a.Verb == procedure.Remove || a.Verb == procedure.Loosen || a.Verb == procedure.Tighten:
			turned = true
		}
	}
	return turned
}

// used reports whether a tool fits a fastener of the step by its drive or its torque, or one of its acts.
func used(m *procedure.Machine, s *procedure.Step, u *procedure.Fitting) bool {
	return slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool {
		if u.Names(a) {
			return true
		}
		t := m.Thing(a.Object.ID)
		return t != nil && t.Fastener != nil &&
			(u.Reaches(t.Fastener.Torque) || slices.ContainsFunc(u.Drives, func(d string) bool { return fitting.SameDrive(d, t.Fastener.Drive) }))
	})
}
