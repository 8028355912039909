package refit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"matchmark/procedure"
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
	apart := map[string]bool{}
	for {
		all := align(jobs, apart)
		names := rename(all, jobs)
		if !divide(all, names, apart) {
			return resolved(all, jobs, names)
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
func align(jobs []*procedure.Job, apart map[string]bool) []*shared {
	var out []*shared
	for i, job := range jobs {
		next := 0
		for _, s := range job.Steps {
			alike := fingerprint(s)
			if apart[s.ID] {
				alike += job.Variant.ID
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
func rename(all []*shared, jobs []*procedure.Job) []map[string]string {
	taken := map[string]bool{}
	for _, x := range all {
		taken[x.step.ID] = true
	}
	out := make([]map[string]string, len(jobs))
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
			id += "-" + jobs[x.jobs[0]].Variant.ID
			for n := 2; taken[id]; n++ {
				id = fmt.Sprintf("%s-%s-%d", x.step.ID, jobs[x.jobs[0]].Variant.ID, n)
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
			for _, r := range p.Links {
				if len(x.names(r.ID, names)) > 1 {
					apart[x.step.ID], found = true, true
				}
			}
		})
	}
	return found
}

// resolved returns the steps under their names, each with the variants that it is for.
func resolved(all []*shared, jobs []*procedure.Job, names []map[string]string) []*procedure.Step {
	var out []*procedure.Step
	for _, x := range all {
		s := *x.step
		s.ID = names[x.jobs[0]][s.ID]
		s.Variants = nil
		if len(x.jobs) < len(jobs) {
			for _, i := range x.jobs {
				s.Variants = append(s.Variants, procedure.Ref{ID: jobs[i].Variant.ID, Span: s.Span})
			}
		}
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
		s.Blocks = slices.Clone(s.Blocks)
		for i, b := range s.Blocks {
			s.Blocks[i] = linked(b, func(id string) string {
				if called := x.names(id, names); len(called) > 0 {
					return called[0]
				}
				return id
			})
		}
		out = append(out, &s)
	}
	return out
}

// linked returns the block with its links under the names that the steps have now.
func linked(b procedure.Block, now func(id string) string) procedure.Block {
	moved := func(r procedure.Ref) bool { return now(r.ID) != r.ID }
	if !slices.ContainsFunc(b.Texts(), func(p *procedure.Prose) bool { return slices.ContainsFunc(p.Links, moved) }) {
		return b
	}
	c := b.Clone()
	for _, p := range c.Texts() {
		p.Links = slices.Clone(p.Links)
		var pairs []string
		for i, r := range p.Links {
			p.Links[i].ID = now(r.ID)
			pairs = append(pairs, `href="#`+r.ID+`"`, `href="#`+now(r.ID)+`"`)
		}
		p.Markup = strings.NewReplacer(pairs...).Replace(p.Markup)
	}
	return c
}

// fingerprint writes down all that learners see of a step.
func fingerprint(s *procedure.Step) string {
	var b strings.Builder
	fmt.Fprintln(&b, s.ID, s.Title, s.Time.Optimistic, s.Time.Likely, s.Time.Pessimistic, s.People, s.SafeStop, s.Figure.ID)
	for _, list := range [][]procedure.Ref{s.Tools, s.Needs} {
		for _, r := range list {
			fmt.Fprint(&b, r.ID, ",")
		}
		fmt.Fprintln(&b)
	}
	for _, block := range s.Blocks {
		fmt.Fprintf(&b, "%T\n", block)
		for _, p := range block.Texts() {
			fmt.Fprintln(&b, p.Markup)
		}
		switch x := block.(type) {
		case *procedure.Callout:
			fmt.Fprintln(&b, x.Figure.ID)
		case *procedure.Illustration:
			fmt.Fprintln(&b, x.Figure.ID)
		case *procedure.Caution:
			fmt.Fprintln(&b, x.Signal)
		case *procedure.KeyPoint:
			fmt.Fprintln(&b, x.Point)
		case *procedure.Hold:
			fmt.Fprintln(&b, x.Title, x.Signature)
		case *procedure.Inspection:
			for _, i := range x.Items {
				fmt.Fprintln(&b, i.Look)
			}
		}
	}
	for _, a := range s.Actions() {
		fmt.Fprint(&b, a.Verb, a.Object.ID)
		for _, r := range a.With {
			fmt.Fprint(&b, " ", r.ID)
		}
		fmt.Fprintln(&b)
	}
	return b.String()
}
