package order

import (
	"cmp"
	"slices"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/schedule"
)

var swappable = Check{
	Rule: diagnostic.Rule{
		Code: "swappable", Severity: diagnostic.Advice, Title: "Steps that could be done at the same time",
		Wrong: "Neighbouring steps do not depend on each other, and there are people and tools for both. Of such pairs the ones that save the most time are told, one for ten steps.",
		Why:   "Two people side by side are done earlier. Or a trainer chooses the order that teaches better.",
		Do:    "Nothing; or state after= where the order matters for a reason that the actions do not show.",
	},
	Written: true, Together: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		saves := func(i int) float64 { return min(f.Job.Steps[i].Time.Likely, f.Job.Steps[i+1].Time.Likely) }
		var pairs []int
		for _, i := range f.Precedence().Swaps() {
			if atOnce(f, i, i+1) {
				pairs = append(pairs, i)
			}
		}
		slices.SortStableFunc(pairs, func(i, j int) int { return cmp.Compare(saves(j), saves(i)) })
		pairs = pairs[:min(len(pairs), max(1, len(f.Job.Steps)/perAdvice))]
		slices.Sort(pairs)
		for _, i := range pairs {
			first, second := f.Job.Steps[i], f.Job.Steps[i+1]
			report(diagnostic.Diagnostic{
				Span:   second.Span,
				Wrong:  say.That("steps %first and %second could be done at the same time, or in the other order; side by side they save %minutes min", say.Name(first.ID), say.Name(second.ID), say.Decimal{Value: saves(i), Places: say.Shortest}),
				Advice: say.That("State after= if the order matters all the same."),
			})
		}
	},
}

// perAdvice is how many steps there are for each piece of this advice: more of it nobody reads, so that only the pairs
// that save the most time are told.
const perAdvice = 10

// atOnce reports whether there are people and tools enough to do both steps at the
// same time. A job has as many people as its largest step needs, but two at least.
// Steps that want the same support depend on each other anyway.
func atOnce(f *Facts, i, j int) bool {
	a, b := f.Job.Steps[i], f.Job.Steps[j]
	crew := 2
	for _, s := range f.Job.Steps {
		crew = max(crew, s.People)
	}
	if max(1, a.People)+max(1, b.People) > crew {
		return false
	}
	return schedule.Together(f.Job, a, b)
}
