package planning

import (
	"matchmark/procedure"
	"matchmark/procedure/sessions"
)

// Items is what a course does, in one row, with the rules of its pace: as the
// plan's page takes it, so that whoever plans otherwise gets the same times. Each
// machine is planned for the variant on which it takes longest. A job that the
// course does for the first time counts as the given repetition of it, from 1.
func Items(c *procedure.Course, repetition int) ([][]sessions.Item, sessions.Rules) {
	a := newAgenda(c)
	for g, group := range a.Groups {
		for i := range group {
			if n := a.Repeats[g][i]; n > 0 {
				group[i].Factor = c.Pace.Learning.Factor(c.Pace.Stated, n+repetition-1)
			}
		}
	}
	return a.Groups, a.Rules
}
