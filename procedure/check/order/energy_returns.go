package order

import (
	"regexp"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var energyReturns = Check{
	Rule: diagnostic.Rule{
		Code: "energy-returns", Severity: diagnostic.Error, Title: "Energy comes back to an open machine",
		Wrong: "A condition that keeps energy away ends while a guard is off, a fastener is loose or a load hangs.",
		Why:   "It runs with its belts open, and throws what is not tight.",
		Do:    "Put the guards on and tighten all before, for a test run too. What stays off for good is no guard against the source: see the register of sources.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*procedure.Row]*procedure.Step{}
		each(f, func(e *state.Event) {
			c := e.Condition
			if !endsEnergy(e) {
				return
			}
			tell := func(row *procedure.Row, from int32, wrong, advice say.Text) {
				if told[row] != e.Step {
					told[row] = e.Step
					report(diagnostic.Diagnostic{Span: object(e), Wrong: wrong, Advice: advice, See: append(see(f.Trace.Event(from), say.That("here")), registered(row))})
				}
			}
			for _, p := range f.Trace.Assembly.Parts {
				at := e.Before.Part(p)
				switch {
				case at.Is == state.Lifted:
					tell(&p.Row, at.Last, say.That("%condition ends in step %step while the %part hangs in the air", say.Name(c.ID), number(e), say.Name(p.ID)),
						say.That("Set the %part down before.", say.Name(p.ID)))
				case at.Is != state.InPlace && guards(f, p, c):
					tell(&p.Row, at.Last, say.That("%condition ends in step %step while the %part is off", say.Name(c.ID), number(e), say.Name(p.ID)),
						say.That("Fit the %part before energy comes back.", say.Name(p.ID)))
				}
			}
			for _, x := range f.Trace.Assembly.Fasteners {
				if at := e.Before.Fastener(x); at.Is == state.Loose && standsIn(e.Before, x) && f.Trace.End().Fastener(x).Is != state.Loose {
					tell(&x.Row, at.Last, say.That("%condition ends in step %step while fastener %fastener is loose", say.Name(c.ID), number(e), say.Name(x.ID)),
						say.That("Tighten %fastener before energy comes back.", say.Name(x.ID)))
				}
			}
		})
	},
}

// endsEnergy reports whether an event ends, by itself, a condition that keeps energy away.
func endsEnergy(e *state.Event) bool {
	return e.Condition != nil && e.Condition.Energy && e.Action.Verb == procedure.Undo && e.Before.Condition(e.Condition).Holds()
}

// guards reports whether a part stands against what a condition keeps away: the register of sources says so, or, where
// that names no guard for the condition, its name.
func guards(f *Facts, p *state.Part, c *state.Condition) bool {
	stated := false
	for _, x := range f.Job.Machine.Energies {
		if !refersTo(x.Isolated, c.ID) || len(x.Guards) == 0 {
			continue
		}
		if stated = true; refersTo(x.Guards, p.ID) {
			return true
		}
	}
	return !stated && !p.Base && (guardWords.MatchString(p.ID) || guardWords.MatchString(p.Name))
}

// guardWords are what guards are called, in English and German.
var guardWords = regexp.MustCompile(`(?i)\bguard|\bgate\b|\bcover\b|\bhood|\bgrid|\bshield|\bpanel\b|schutz|haube|gitter|abdeckung|verkleidung`)

// standsIn reports whether all that a fastener joins is in its place.
func standsIn(s *state.State, x *state.Fastener) bool {
	for _, p := range x.Parts {
		if s.Part(p).Is != state.InPlace {
			return false
		}
	}
	return true
}

func refersTo(refs []procedure.Ref, id string) bool {
	for _, r := range refs {
		if r.ID == id {
			return true
		}
	}
	return false
}

var startUnwarned = Check{
	Rule: diagnostic.Rule{
		Code: "start-unwarned", Severity: diagnostic.Warning, Title: "Energy comes back without a caution or a hold point",
		Wrong: "A step ends what keeps energy away, and no caution stands in it before that, or no hold point right before the step.",
		Why:   "Somebody still has a hand in it when it starts.",
		Do:    "Write a caution in front of the act, and end the step before with a hold point: everybody is clear, every guard is on.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i, s := range f.Job.Steps {
			events := f.Trace.Step(i)
			for j := range events {
				e := &events[j]
				if !endsEnergy(e) {
					continue
				}
				d := diagnostic.Diagnostic{Span: object(e)}
				switch {
				case !warned(e):
					d.Wrong = say.That("%condition ends in step %step, and no caution stands before that", say.Name(e.Condition.ID), number(e))
					d.Advice = say.That("Write a caution in front of it: what can start, and where everybody stands.")
				case i == 0 || state.Hold(f.Job.Steps[i-1]) == nil:
					d.Wrong = say.That("%condition ends in step %step, and no hold point stands right before it", say.Name(e.Condition.ID), number(e))
					d.Advice = say.That("End the step before %step with a hold point.", say.Name(s.ID))
				default:
					continue
				}
				report(d)
				break
			}
		}
	},
}
