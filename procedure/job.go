package procedure

import (
	"maps"
	"slices"
)

// Job is a procedure for one variant: only the steps and blocks that apply,
// numbered from 1. Checks, times, sheets and pages work on jobs.
type Job struct {
	Procedure *Procedure
	Machine   *Machine
	// Variant is nil for a machine without variants.
	Variant *Variant
	Steps   []*Step
	// Answers are what was found on the one way through the job that this is; nil for the whole job.
	Answers map[string]bool
}

// Jobs returns one job per variant of the procedure's machine, in the order of
// the register; one job with a nil variant when there are none.
func (p *Procedure) Jobs() []*Job {
	var out []*Job
	for _, v := range p.variants() {
		out = append(out, p.job(v))
	}
	return out
}

// variants are those of the machine; a nil one alone where there are none.
func (p *Procedure) variants() []*Variant {
	if p.Machine == nil || len(p.Machine.Variants) == 0 {
		return []*Variant{nil}
	}
	return p.Machine.Variants
}

func (p *Procedure) job(v *Variant) *Job {
	j := &Job{Procedure: p, Machine: p.Machine, Variant: v, Steps: make([]*Step, 0, len(p.Steps))}
	steps := make([]Step, 0, len(p.Steps)) // those of the job, one after the other
	for _, s := range p.Steps {
		if !AppliesTo(s.Variants, v) {
			continue
		}
		steps = append(steps, *s)
		t := &steps[len(steps)-1]
		t.Number = len(steps)
		if v != nil {
			t.Blocks = nil
			for _, b := range s.Blocks {
				if b = OnVariant(b, p.Machine, v); b != nil {
					t.Blocks = append(t.Blocks, b)
				}
			}
		}
		j.Steps = append(j.Steps, t)
	}
	return j
}

// OnVariant returns a block as a variant has it: nil when it is not for the variant, or is about things only that the
// variant lacks; without the acts on such things. The block itself does not change.
func OnVariant(b Block, m *Machine, v *Variant) Block {
	if !b.Applies(v) {
		return nil
	}
	lacks := func(r Ref) bool {
		t := m.Thing(r.ID)
		return t != nil && !AppliesTo(t.Row.Variants, v)
	}
	shown := b.Shows()
	if looks := shown.Looks; looks != nil && lacks(looks.Of) {
		return nil
	}
	if c := shown.Warning; c != nil && len(c.About) > 0 && !slices.ContainsFunc(c.About, func(r Ref) bool { return !lacks(r) }) {
		return nil
	}
	if !slices.ContainsFunc(shown.Actions, func(a *Action) bool { return lacks(a.Object) }) {
		return b
	}
	out, some := Clone(b), false
	EachField(out, func(_ *Field, value any) {
		if actions, ok := value.(*[]*Action); ok {
			*actions = slices.DeleteFunc(slices.Clone(*actions), func(a *Action) bool { return lacks(a.Object) })
			some = some || len(*actions) > 0
		}
	})
	if !some {
		return nil
	}
	return out
}

// Deciding lists what decides whether something is done to the machine and has no answer yet: the names of the conditions at
// acts, each once, in their order.
func (j *Job) Deciding() []string {
	var out []string
	for _, s := range j.Steps {
		for _, b := range s.Blocks {
			if len(b.Shows().Actions) == 0 {
				continue
			}
			for _, c := range []When{s.If, b.Base().If} {
				for _, n := range c.Names() {
					if _, known := j.Answers[n]; known {
						continue
					}
					if !slices.Contains(out, n) {
						out = append(out, n)
					}
				}
			}
		}
	}
	return out
}

// Ways returns the job once for each combination of what decides on acts, all yes first; the job alone when nothing does.
// Each has all steps: what is not done on a way is empty there. Of more than MostFinders, the first ones count, and the answer to the others is no.
func (j *Job) Ways() []*Job {
	names := j.Deciding()
	if len(names) == 0 {
		return []*Job{j}
	}
	var out []*Job
	judged := names[:min(len(names), MostFinders)]
	for _, answers := range everyAnswer(judged) {
		for _, n := range names[len(judged):] {
			answers[n] = false
		}
		out = append(out, j.On(answers))
	}
	return out
}

// On returns the job on the way that answers lead: all that is not ruled out by them.
func (j *Job) On(answers map[string]bool) *Job {
	out := *j
	out.Answers = maps.Clone(answers)
	if out.Answers == nil {
		out.Answers = map[string]bool{}
	}
	maps.Copy(out.Answers, j.Answers)
	out.Steps = make([]*Step, len(j.Steps))
	for i, s := range j.Steps {
		out.Steps[i] = s.On(answers)
	}
	return &out
}

// On returns the step on the way that answers lead: without what is not done there.
func (s *Step) On(answers map[string]bool) *Step {
	applies := func(b Block) bool { return !b.Base().If.Fails(answers) }
	if !s.If.Fails(answers) && !slices.ContainsFunc(s.Blocks, func(b Block) bool { return !applies(b) }) {
		return s
	}
	t := *s
	t.Blocks = nil
	if s.If.Fails(answers) {
		t.Needs = nil
		return &t
	}
	for _, b := range s.Blocks {
		if applies(b) {
			t.Blocks = append(t.Blocks, b)
		}
	}
	return &t
}

// Removal returns the job that this one brings back, for the same variant; nil when it is no refitting.
func (j *Job) Removal() *Job {
	if j.Procedure == nil || j.Procedure.Removal == nil {
		return nil
	}
	forth := j.Procedure.Removal
	if !slices.Contains(forth.variants(), j.Variant) {
		return nil
	}
	return forth.job(j.Variant)
}

// Step returns the job's step with that name, or nil.
func (j *Job) Step(id string) *Step {
	for _, s := range j.Steps {
		if s.ID == id {
			return s
		}
	}
	return nil
}

// Has reports whether a registered thing exists on the job's variant.
func (j *Job) Has(id string) bool {
	t := j.Machine.Thing(id)
	return t != nil && AppliesTo(t.Row.Variants, j.Variant)
}
