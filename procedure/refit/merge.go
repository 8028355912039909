package refit

import (
	"cmp"
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/prose"
)

// merge joins the steps of several variants into one list from which each variant
// gets its own steps in their order. Steps that are alike in neighbours of the
// order stand once. Of steps that differ the first keeps its name, so that the name
// leads somewhere whichever variant it is looked up for; the others get their
// variant's name behind it, and what refers to them follows.
func merge(jobs []*procedure.Job) []*procedure.Step {
	if len(jobs) == 1 {
		return jobs[0].Steps
	}
	return mergeBy(jobs, func(job *procedure.Job) string { return job.Variant.ID }, func(s *procedure.Step, have []int) {
		s.Variants = nil
		if len(have) < len(jobs) {
			for _, i := range have {
				s.Variants = append(s.Variants, procedure.Ref{ID: jobs[i].Variant.ID, Span: s.Span})
			}
		}
	})
}

// mergeBy is merge for jobs that differ by variant, or by what was found: label names a job, and mark says on a step which of
// the jobs have it.
func mergeBy(jobs []*procedure.Job, label func(*procedure.Job) string, mark func(s *procedure.Step, have []int)) []*procedure.Step {
	labels := make([]string, len(jobs))
	for i, job := range jobs {
		labels[i] = label(job)
	}
	apart := map[string]bool{}
	for {
		all := align(jobs, labels, apart)
		names := rename(all, labels)
		if !divide(all, names, apart) {
			return resolved(all, names, mark)
		}
	}
}

// shared is a step with the variants that have it.
type shared struct {
	step  *procedure.Step
	alike string
	jobs  []int
}

// names returns what a step of that name is called in the variants that have this one, each name once.
func (x *shared) names(id string, names []map[string]string) []string {
	var out []string
	for _, i := range x.jobs {
		if n := names[i][id]; n != "" && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// align lays the variants' steps side by side. Steps whose names are in apart are alike in no two variants.
func align(jobs []*procedure.Job, labels []string, apart map[string]bool) []*shared {
	var out []*shared
	for i, job := range jobs {
		next := 0
		for _, s := range job.Steps {
			alike := procedure.Fingerprint(s)
			if apart[s.ID] {
				alike += labels[i]
			}
			at := slices.IndexFunc(out, func(x *shared) bool { return x.alike == alike })
			if at >= next {
				out[at].jobs = append(out[at].jobs, i)
				next = at + 1
				continue
			}
			out = slices.Insert(out, next, &shared{step: s, alike: alike, jobs: []int{i}})
			next++
		}
	}
	return out
}

// rename returns, for each variant, the names that its steps get, by the names that they have.
func rename(all []*shared, labels []string) []map[string]string {
	taken := map[string]bool{}
	for _, x := range all {
		taken[x.step.ID] = true
	}
	out := make([]map[string]string, len(labels))
	for i := range out {
		out[i] = map[string]string{}
	}
	// By variant, not by place in the list: the name stays when the steps around it change.
	byVariant := slices.Clone(all)
	slices.SortStableFunc(byVariant, func(a, b *shared) int { return cmp.Compare(a.jobs[0], b.jobs[0]) })
	kept := map[string]bool{}
	for _, x := range byVariant {
		id := x.step.ID
		if kept[id] {
			id += "-" + labels[x.jobs[0]]
			for n := 2; taken[id]; n++ {
				id = fmt.Sprintf("%s-%s-%d", x.step.ID, labels[x.jobs[0]], n)
			}
		}
		kept[x.step.ID], taken[id] = true, true
		for _, i := range x.jobs {
			out[i][x.step.ID] = id
		}
	}
	return out
}

// divide puts apart the steps that link to a step which has another name in
// another of their variants; it reports whether there were any.
func divide(all []*shared, names []map[string]string, apart map[string]bool) bool {
	found := false
	for _, x := range all {
		if apart[x.step.ID] {
			continue
		}
		x.step.EachProse(func(p procedure.Prose) {
			for _, r := range p.Links() {
				if len(x.names(r.ID, names)) > 1 {
					apart[x.step.ID], found = true, true
				}
			}
		})
	}
	return found
}

// resolved returns the steps under their names, each with the variants that it is for.
func resolved(all []*shared, names []map[string]string, mark func(s *procedure.Step, have []int)) []*procedure.Step {
	var out []*procedure.Step
	for _, x := range all {
		s := *x.step
		s.ID = names[x.jobs[0]][s.ID]
		mark(&s, x.jobs)
		s.After = nil
		for _, r := range x.step.After {
			called := x.names(r.ID, names)
			if len(called) == 0 {
				called = []string{r.ID}
			}
			for _, id := range called {
				s.After = append(s.After, procedure.Ref{ID: id, Span: r.Span})
			}
		}
		s.Blocks = linkedAll(s.Blocks, func(id string) string {
			if called := x.names(id, names); len(called) > 0 {
				return called[0]
			}
			return id
		})
		out = append(out, &s)
	}
	return out
}

// differs says what of a variant's refitting the joined job does not have as it was derived. Steps may
// have got other names; all else, links to them aside, is to be as it was.
func differs(derived, joined *procedure.Job) error {
	if len(derived.Steps) != len(joined.Steps) {
		return fmt.Errorf("%s has %d steps, not %d", variantName(joined), len(joined.Steps), len(derived.Steps))
	}
	now := map[string]string{}
	for i, s := range derived.Steps {
		now[s.ID] = joined.Steps[i].ID
	}
	name := func(id string) string {
		if renamed, ok := now[id]; ok {
			return renamed
		}
		return id
	}
	for i, s := range derived.Steps {
		want, got := *s, *joined.Steps[i]
		want.ID, want.Blocks = name(s.ID), linkedAll(s.Blocks, name)
		// What comes before a step was judged where it was placed; other variants' names stand there too.
		want.After, got.After, want.Variants, got.Variants, want.If, got.If = nil, nil, nil, nil, "", ""
		if procedure.Fingerprint(&want) != procedure.Fingerprint(&got) {
			return fmt.Errorf("the step %s of %s is not as it was derived", got.ID, variantName(joined))
		}
	}
	return nil
}

func variantName(j *procedure.Job) string {
	if j.Variant == nil {
		return j.Procedure.ID
	}
	return j.Procedure.ID + ", " + j.Variant.ID
}

// linkedAll returns the blocks with their links under the names that the steps have now.
func linkedAll(blocks []procedure.Block, now func(id string) string) []procedure.Block {
	out := slices.Clone(blocks)
	for i, b := range out {
		out[i] = linked(b, now)
	}
	return out
}

// linked returns the block with its links under the names that the steps have now.
func linked(b procedure.Block, now func(id string) string) procedure.Block {
	moved := func(r procedure.Ref) bool { return now(r.ID) != r.ID }
	if !slices.ContainsFunc(procedure.Texts(b), func(p *procedure.Prose) bool { return slices.ContainsFunc(p.Links(), moved) }) {
		return b
	}
	c := procedure.Clone(b)
	for _, p := range procedure.Texts(c) {
		*p = p.With(prose.StepLink, func(n *prose.Node) { n.To = now(n.To) })
	}
	return c
}
