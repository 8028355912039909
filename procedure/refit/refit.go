package refit

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// Words gives the fixed words of the derived steps by key, with arguments filled
// in: the words table's function. Keys lists what it is asked for.
type Words func(key string, args ...any) string

// Additions is what the author has to say about the way back.
type Additions struct {
	// Steps with the name of a derived step take its place. Others are put in after
	// the last of the steps that their `after` names, or at the end of the work,
	// before the step that ends the way back (refit-end).
	Steps []*procedure.Step
	// Out names parts, connections, fasteners and fluids that do not go back. What
	// joins a part that stays out stays out too.
	Out []procedure.Ref
}

// Job derives the way back of one job from its trace. The result has the job's
// machine and variant; its procedure has the steps of this variant only.
func Job(out *state.Trace, add Additions, words Words) *procedure.Job {
	return Run(out, add, words).Job
}

// Run derives the way back of one job and carries the machine on through it.
func Run(out *state.Trace, add Additions, words Words) *state.Trace {
	d := &derivation{out: out, add: add, words: words, end: out.End(), declared: declaredOut(out.Assembly, add.Out)}
	d.turn()
	d.arrange()
	d.build()
	d.close()
	d.override()
	d.finish()
	p := procedureOf(out.Job.Procedure, words)
	p.Steps = d.steps
	job := &procedure.Job{Procedure: p, Machine: out.Job.Machine, Variant: out.Job.Variant, Steps: d.steps}
	for i, s := range job.Steps {
		s.Number = i + 1
	}
	back := out.Then(job)
	d.dropNeeds(back)
	return back
}

// Derive derives the way back of a procedure for all variants of its machine.
// Steps that are alike in several variants stand once.
func Derive(p *procedure.Procedure, add Additions, words Words) *procedure.Procedure {
	var ways []*state.Trace
	if p.Machine != nil {
		for _, job := range p.Jobs() {
			ways = append(ways, Run(state.Run(job), add, words))
		}
	}
	return Join(p, ways, words)
}

// Join makes one procedure of the ways back of all jobs of a procedure, as Derive
// does. The ways, which Run derives, are not to be used any more: their steps become the procedure's.
func Join(p *procedure.Procedure, ways []*state.Trace, words Words) *procedure.Procedure {
	back := procedureOf(p, words)
	if len(ways) == 0 {
		return back
	}
	var jobs []*procedure.Job
	for _, way := range ways {
		jobs = append(jobs, way.Job)
	}
	back.Steps = merge(jobs)
	for i, s := range back.Steps {
		s.Number = i + 1
	}
	return back
}

// Suffix ends the names of the procedure and of the steps that were turned round.
const Suffix = "-back"

func procedureOf(p *procedure.Procedure, words Words) *procedure.Procedure {
	return &procedure.Procedure{
		ID: p.ID + Suffix, Title: words("refit.title", p.Title), Summary: words("refit.summary", p.Title), Edition: p.Edition,
		Machine: p.Machine, MachineRef: p.MachineRef, Span: p.Span, File: p.File, Figures: p.Figures,
	}
}

// derivation is the way back while it is worked out.
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
	// closing holds the conditions that end last.
	closing []*state.Event
}

// act is one action of the way back.
type act struct {
	verb   procedure.Verb
	object procedure.Ref
	with   []procedure.Ref
	// of is the action that it turns round; it gives the place in the source.
	of *state.Event
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

// Missing lists what the way back leaves different from the start of the job, but
// for what is declared out.
func Missing(out, back *state.Trace, add Additions) []state.Difference {
	declared := declaredOut(out.Assembly, add.Out)
	return slices.DeleteFunc(state.Differences(out.Start, back.End()), func(d state.Difference) bool { return declared[d.Row] })
}
