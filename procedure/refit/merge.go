package refit

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/procedure"
)

// merge joins the steps of several variants into one list from which each variant
// gets its own steps in their order. Steps that are alike in neighbours of the
// order stand once; steps that differ get the variant's name behind their own.
func merge(jobs []*procedure.Job) []*procedure.Step {
	if len(jobs) == 1 {
		return jobs[0].Steps
	}
	var out []*shared
	for i, job := range jobs {
		next := 0
		for _, s := range job.Steps {
			alike := fingerprint(s)
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
	return named(out, jobs)
}

// shared is a step with the variants that have it.
type shared struct {
	step  *procedure.Step
	alike string
	jobs  []int
}

func named(all []*shared, jobs []*procedure.Job) []*procedure.Step {
	count := map[string]int{}
	for _, x := range all {
		count[x.step.ID]++
	}
	var out []*procedure.Step
	for _, x := range all {
		s := *x.step
		s.Variants = nil
		if len(x.jobs) < len(jobs) {
			for _, i := range x.jobs {
				s.Variants = append(s.Variants, procedure.Ref{ID: jobs[i].Variant.ID, Span: s.Span})
			}
		}
		if count[s.ID] > 1 {
			s.ID += "-" + jobs[x.jobs[0]].Variant.ID
		}
		out = append(out, &s)
	}
	return out
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
