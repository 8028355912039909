package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var proofLapses = Check{
	Rule: diagnostic.Rule{
		Code: "proof-lapses", Severity: diagnostic.Advice, Title: "Work goes on after a safe stop without a proof",
		Wrong: "Work can stop after a step, and what comes next relies on a proof from before that.",
		Why:   "A proof that energy is gone ends when work stops: somebody may have switched on meanwhile.",
		Do:    "Verify the condition again behind the safe stop. Where no step does, plans and session sheets have the step that proved it again, with its time.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		d := diagnostic.Diagnostic{}
		var first []state.Proof
		for i, s := range f.Job.Steps[:max(len(f.Job.Steps)-1, 0)] {
			if !state.SafeStop(s) {
				continue
			}
			proofs := state.ProofsAfterStop(f.Out, f.Trace, i+1)
			if !slices.ContainsFunc(proofs, func(p state.Proof) bool { return p.Step.ID != s.ID }) { // what the step itself proves, it proves again when it is done again
				continue
			}
			if first == nil {
				first = proofs
				d.Span = s.Span
				d.Wrong = say.That("work can stop after step %step, and nothing proves again before step %next what step %proof has proved", say.Step(s.Number), say.Step(f.Job.Steps[i+1].Number), say.Step(proofs[0].Step.Number))
				d.Advice = say.That("Verify it again behind the stop; or leave it: plans and session sheets have step %proof again, with its time.", say.Step(proofs[0].Step.Number))
				d.See = append(d.See, diagnostic.Related{Span: f.Job.Steps[i+1].Span, Says: say.That("this comes next")})
				continue
			}
			d.See = append(d.See, diagnostic.Related{Span: s.Span, Says: say.That("after this safe stop too")})
		}
		if first != nil {
			report(d)
		}
	},
}

var proofCovered = Check{
	Rule: diagnostic.Rule{
		Code: "proof-covered", Severity: diagnostic.Error, Title: "Proved at a place that nobody can reach yet",
		Wrong: "A condition is verified while a cover is in place over the part at which its row says that it is proved.",
		Why:   "Nobody can measure at terminals behind a panel. The box is ticked all the same.",
		Do:    "Take the cover off before, as far as that is safe, or prove it where everybody can get.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			c := e.Condition
			if c == nil || e.Action.Verb != procedure.Verify {
				return
			}
			for _, q := range c.Covers {
				if e.Before.Part(q).Is != state.InPlace {
					continue
				}
				later := find(f, e.Index, func(y *state.Event) bool { return y.Part == q && y.Leaves() })
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%condition is proved in step %step behind the %part, which %when", say.Name(c.ID), number(e), say.Name(q.ID), when(e, later, say.That("comes off only"), say.That("never comes off"))),
					Advice: say.That("Take the %part off before, or prove %condition at another place.", say.Name(q.ID), say.Name(c.ID)), See: append(see(later, say.That("here")), registered(&c.Row)),
				})
			}
		})
	},
}
