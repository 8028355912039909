package refit

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/claims"
	"matchmark/procedure/state"
)

// Words gives the fixed words of the derived steps by key, with arguments filled
// in: the words table's function.
type Words func(key string, args ...any) string

// Additions is what the author has to say about the refitting.
type Additions struct {
	// Steps with the name of a derived step take its place; with an `after` of their own they are put where
	// that says. Others are put in after
	// the last of the steps that their `after` names, or at the end of the work,
	// before the step that ends the refitting (refit-end).
	Steps []*procedure.Step
	// Out names parts, connections, fasteners and fluids that do not go back. What
	// joins a part that stays out stays out too.
	Out []procedure.Ref
}

// Run derives the refitting of one job and carries the machine on through it.
func Run(out *state.Trace, add Additions, words Words) *state.Trace {
	d := &derivation{out: out, add: add, words: words, end: out.End(), declared: declaredOut(out.Assembly, add.Out)}
	d.turn()
	d.arrange()
	d.build()
	d.close()
	d.override()
	d.finish()
	d.settle()
	p := procedureOf(out.Job.Procedure, words)
	p.Steps = d.steps
	job := &procedure.Job{Procedure: p, Machine: out.Job.Machine, Variant: out.Job.Variant, Steps: d.steps, Answers: out.Job.Answers}
	for i, s := range job.Steps {
		s.Number = i + 1
	}
	back := out.Then(job)
	d.dropNeeds(back)
	return back
}

// Derive derives the refitting of a procedure for all variants of its machine.
// Steps that are alike in several variants stand once.
func Derive(p *procedure.Procedure, add Additions, words Words) *procedure.Procedure {
	var jobs []*procedure.Job
	if p.Machine != nil {
		for _, job := range p.Jobs() {
			var ways []*state.Trace
			for _, way := range job.Ways() {
				ways = append(ways, Run(state.Run(way), add, words))
			}
			jobs = append(jobs, Joined(ways))
		}
	}
	return Join(p, jobs, words)
}

// Join makes one procedure of the ways back of all jobs of a procedure, as Derive
// does. The jobs, which Run and Joined make, are not to be used any more: their steps become the procedure's.
// It panics when a job of the procedure is not the way back that was derived for its variant.
func Join(p *procedure.Procedure, jobs []*procedure.Job, words Words) *procedure.Procedure {
	back := procedureOf(p, words)
	if len(jobs) == 0 {
		return back
	}
	back.Steps = merge(jobs)
	for i, s := range back.Steps {
		s.Number = i + 1
	}
	back.WeighAfter(p)
	if len(jobs) == 1 {
		return back // the steps are the job's own
	}
	for i, job := range back.Jobs() {
		if err := differs(jobs[i], job); err != nil {
			panic(fmt.Sprintf("joining the refittings of the variants: %v", err)) // a page would show another job
		}
	}
	return back
}

// TitleOf is what an author calls the refitting of a procedure; plain where none did.
func TitleOf(p *procedure.Procedure, plain string) string {
	if p.RefitFile != nil && p.RefitFile.Title != "" {
		return p.RefitFile.Title
	}
	return plain
}

// Suffix ends the names of the procedure and of the steps that were turned round; Ready ends, behind it, that of what
// makes ready for a lift in the same step.
const (
	Suffix = "-back"
	Ready  = "-ready"
)

func procedureOf(p *procedure.Procedure, words Words) *procedure.Procedure {
	return &procedure.Procedure{
		ID: p.ID + Suffix, Title: TitleOf(p, words("refit.title", p.Title)), Summary: words("refit.summary", p.Title), Edition: p.Edition,
		Machine: p.Machine, MachineRef: p.MachineRef, Span: p.Span, File: p.File, Figures: p.Figures,
	}
}

// derivation is the refitting while it is worked out.
type derivation struct {
	out      *state.Trace
	end      *state.State
	add      Additions
	words    Words
	declared map[*procedure.Row]bool

	// acts are in the order in which they will be done.
	acts []*act
	// places finds the acts that fit and tighten each fastener; moved is true when they have changed since.
	places map[procedure.Verb][]int
	moved  bool
	joints []string // the names of the fasteners' joints, once asked for
	steps  []*procedure.Step
	// inherited are the author's steps whose needs are those of derived ones.
	inherited []string
	names     *claims.Names // what the machine's things are called, once asked for
	// closing holds the conditions that end last.
	closing []*state.Event
}

// act is one action of the refitting.
type act struct {
	verb   procedure.Verb
	object procedure.Ref
	with   []procedure.Ref
	// placed is the act whose places a support is put back on; nil for none.
	placed *procedure.Action
	// of is the action that it turns round; it gives the place in the source.
	of *state.Event
	// pieces is how many of a fastener's pieces it is about; 0 for all.
	pieces int
	// home is the index of the job's step that it turns round.
	home int
}

// declaredOut collects what stays out: what the author names, and what joins a part that stays out.
func declaredOut(a *state.Assembly, refs []procedure.Ref) map[*procedure.Row]bool {
	out := map[*procedure.Row]bool{}
	for _, r := range refs {
		if t := a.Machine.Thing(r.ID); t != nil {
			out[t.Row] = true
		}
	}
	gone := func(p *state.Part) bool { return out[&p.Row] }
	for _, f := range a.Fasteners {
		if slices.ContainsFunc(f.Parts, gone) {
			out[&f.Row] = true
		}
	}
	for _, c := range a.Connections {
		if slices.ContainsFunc(c.Parts, gone) {
			out[&c.Row] = true
		}
	}
	return out
}

// Missing lists what the refitting leaves different from the start of the job, but
// for what is declared out.
func Missing(out, back *state.Trace, add Additions) []state.Difference {
	declared := declaredOut(out.Assembly, add.Out)
	return slices.DeleteFunc(state.Differences(out.Start, back.End()), func(d state.Difference) bool { return declared[d.Row] })
}
