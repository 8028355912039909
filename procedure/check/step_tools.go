package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fastening"
	"matchmark/procedure/fitting"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

var toolMissing = rule{
	Rule: diagnostic.Rule{
		Code: "tool-missing", Severity: diagnostic.Warning, Title: "Nothing in the step turns it, or reaches its torque",
		Wrong: "A step turns a fastener, and none of the tools that it lists fits the drive; or it tightens one, and no torque wrench among them reaches the torque.",
		Why:   "The learner kneels at the machine with the wrong socket, and takes what is at hand.",
		Do:    "List the tool, or take the list out where the tools register says what fits. What a tool fits stands in its column fits, or in its name.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		turners, wrenches := false, false
		for _, t := range m.Tools {
			u := fitting.Of(t)
			turners, wrenches = turners || len(u.Drives) > 0, wrenches || !u.High.IsZero()
		}
		var there []*procedure.Tool
		for _, r := range s.Tools {
			if t := m.Thing(r.ID); t != nil && t.Tool != nil {
				there = append(there, t.Tool)
			}
		}
		has := func(fits func(u procedure.Fitting) bool) bool {
			return slices.ContainsFunc(there, func(t *procedure.Tool) bool { return fits(fitting.Of(t)) })
		}
		_, faults := fitting.Tools(m, s) // these are told as such
		told := func(f *procedure.Fastener, torque bool) bool {
			return slices.ContainsFunc(faults, func(x fitting.Fault) bool { return x.Fastener == f && x.Torque == torque })
		}
		var torques []measure.Quantity
		for _, a := range s.Actions() {
			if t := m.Thing(a.Object.ID); t != nil && t.Fastener != nil && a.Verb == procedure.Tighten && t.Fastener.Torque.Dimension() == measure.Torque {
				torques = append(torques, t.Fastener.Torque)
			}
		}
		for _, r := range s.Tools {
			t := m.Thing(r.ID)
			if t == nil || t.Tool == nil || len(torques) == 0 {
				continue
			}
			u := fitting.Of(t.Tool)
			if u.High.IsZero() || slices.ContainsFunc(torques, u.Reaches) {
				continue
			}
			report(diagnostic.Diagnostic{
				Span: r.Span, Wrong: say.That("%tool goes from %low to %high, and no torque of this step lies in that range", say.Quote(r.ID), say.Word(u.Low.String()), say.Word(u.High.String())),
				Advice: say.That("List the torque wrench that reaches %torque.", say.Word(torques[0].String())), See: seeRow(t.Row),
			})
		}
		var turned, tightened []*procedure.Fastener
		for _, a := range s.Actions() {
			t := m.Thing(a.Object.ID)
			if t == nil || t.Fastener == nil {
				continue
			}
			f := t.Fastener
			switch a.Verb {
			case procedure.Remove, procedure.Loosen, procedure.Tighten:
				_, err := fastening.ParseDrive(f.Drive)
				fits := func(u procedure.Fitting) bool { return fitting.Turns(u, f.Drive) || u.OfActs() && u.Names(a) }
				if turners && err == nil && !slices.Contains(turned, f) && !told(f, false) && !has(fits) {
					turned = append(turned, f)
					report(diagnostic.Diagnostic{
						Span: a.Object.Span, Wrong: say.That("no tool of this step turns fastener %number, %drive", say.Name(f.ID), say.Word(f.Drive)),
						Advice: say.That("List the socket or spanner that fits %drive.", say.Word(f.Drive)), See: seeRow(&f.Row),
					})
				}
			}
			reaches := func(u procedure.Fitting) bool { return u.Reaches(f.Torque) }
			if a.Verb == procedure.Tighten && wrenches && f.Torque.Dimension() == measure.Torque && !slices.Contains(tightened, f) && !told(f, true) && !has(reaches) {
				tightened = append(tightened, f)
				d := diagnostic.Diagnostic{
					Span: a.Object.Span, Wrong: say.That("no torque wrench of this step reaches the %torque of fastener %number", say.Word(f.Torque.String()), say.Name(f.ID)),
					Advice: say.That("List one whose range has %torque in it.", say.Word(f.Torque.String())), See: seeRow(&f.Row),
				}
				for _, t := range there {
					if u := fitting.Of(t); !u.High.IsZero() {
						d.See = append(d.See, diagnostic.Related{Span: t.Span, Says: say.That("this one goes from %low to %high", say.Word(u.Low.String()), say.Word(u.High.String()))})
					}
				}
				report(d)
			}
		}
	}),
}

var wrenchMissing = rule{
	Rule: diagnostic.Rule{
		Code: "wrench-missing", Severity: diagnostic.Warning, Title: "No torque wrench for a torque",
		Wrong: "A procedure undoes a fastener that has a torque, and no torque wrench of the tools register reaches it.",
		Why:   "It is noticed at the end of the job, with the machine half together.",
		Do:    "Register the wrench, with its range in the column fits, or correct the torque.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			var wrenches []procedure.Fitting
			for _, t := range p.Machine.Tools {
				if u := fitting.Of(t); !u.High.IsZero() {
					wrenches = append(wrenches, u)
				}
			}
			for _, f := range p.Machine.Fasteners {
				if len(wrenches) == 0 || f.Torque.Dimension() != measure.Torque || !turnedIn(p, f) || slices.ContainsFunc(wrenches, func(u procedure.Fitting) bool { return u.Reaches(f.Torque) }) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: f.Span, Wrong: say.That("no torque wrench of %machine reaches the %torque of fastener %number", say.Quote(p.Machine.ID), say.Word(f.Torque.String()), say.Name(f.ID)),
					Advice: say.That("Register one, with its range in the column fits."),
				})
			}
		}
	},
}

var wrenchExact = rule{
	Rule: diagnostic.Rule{
		Code: "wrench-exact", Severity: diagnostic.Warning, Title: "Torque wrench not exact enough",
		Wrong: "A row allows less deviation than the torque wrenches that a step lists may have by themselves: as their rows say, or 4 % (6 % up to 10 N·m).",
		Why:   "The click comes, and the torque may still be outside what the row allows.",
		Do:    "Take a better wrench, or correct the tolerance.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		var told []*procedure.Fastener
		for _, a := range s.Actions() {
			t := m.Thing(a.Object.ID)
			if t == nil || t.Fastener == nil || a.Verb != procedure.Tighten || slices.Contains(told, t.Fastener) {
				continue
			}
			f := t.Fastener
			allowed, ok := fastening.Deviation(f)
			best, found := 100.0, (*procedure.Tool)(nil)
			for _, r := range s.Tools {
				if w := m.Thing(r.ID); w != nil && w.Tool != nil {
					if u := fitting.Of(w.Tool); u.Reaches(f.Torque) && fastening.WrenchDeviation(u) < best {
						best, found = fastening.WrenchDeviation(u), w.Tool
					}
				}
			}
			if !ok || found == nil || best <= allowed+1e-9 {
				continue
			}
			told = append(told, f)
			report(diagnostic.Diagnostic{
				Span:   a.Object.Span,
				Wrong:  say.That("fastener %number allows ± %allowed %, and %wrench may be off by %best % itself", say.Name(f.ID), say.Decimal{Value: allowed, Places: 1}, say.Quote(found.ID), say.Decimal{Value: best, Places: 1}),
				Advice: say.That("List a wrench that is exact enough, with its ± in the column fits, or correct the tolerance."), See: seeRow(&f.Row),
			})
		}
	}),
}

// seeRow makes a second place of a row.
func seeRow(r *procedure.Row) []diagnostic.Related {
	return []diagnostic.Related{{Span: r.Span, Says: say.That("registered here")}}
}
