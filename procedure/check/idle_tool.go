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
		Wrong: "A step lists a tool, and by its row the tool fits no fastener and no act of the step.",
		Why:   "It is the wrong socket, and the right one is missing on the list.",
		Do:    "List the one that fits, or say in its row what else it fits.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, r := range s.Listed {
			t := m.Thing(r.ID)
			if t == nil || t.Tool == nil || t.Tool.Kind != procedure.HandTool || t.Tool.Use.Empty() || len(s.Actions()) == 0 || used(m, s, &t.Tool.Use) {
				continue
			}
			report(diagnostic.Diagnostic{
				Span: r.Span, Wrong: say.That("%tool is listed in step %step, and fits nothing that the step does: %fits", say.Name(r.ID), say.Name(s.ID), say.Quote(t.Tool.Fits)),
				Advice: say.That("List the tool that fits, or say in the row of %tool what else it fits.", say.Name(r.ID)),
				See:    []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}},
			})
		}
	}),
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
