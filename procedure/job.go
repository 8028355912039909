package procedure

// Job is a procedure for one variant: only the steps and blocks that apply,
// numbered from 1. Checks, times, sheets and pages work on jobs.
type Job struct {
	Procedure *Procedure
	Machine   *Machine
	// Variant is nil for a machine without variants.
	Variant *Variant
	Steps   []*Step
}

// Jobs returns one job per variant of the procedure's machine, in the order of
// the register; one job with a nil variant when there are none.
func (p *Procedure) Jobs() []*Job {
	if p.Machine == nil || len(p.Machine.Variants) == 0 {
		return []*Job{p.job(nil)}
	}
	var out []*Job
	for _, v := range p.Machine.Variants {
		out = append(out, p.job(v))
	}
	return out
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
				if b.Applies(v) {
					t.Blocks = append(t.Blocks, b)
				}
			}
		}
		j.Steps = append(j.Steps, t)
	}
	return j
}

// Forth returns the job that this one brings back, for the same variant; nil when it is no way back.
func (j *Job) Forth() *Job {
	if j.Procedure == nil || j.Procedure.Forth == nil {
		return nil
	}
	for _, forth := range j.Procedure.Forth.Jobs() {
		if forth.Variant == j.Variant {
			return forth
		}
	}
	return nil
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
