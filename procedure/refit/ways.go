package refit

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// What is found on the way out decides what there is to bring back: each way through the job has a way back of its own, and
// these are joined like those of variants, with conditions in place of the variants.

// Joined makes one job of the ways back of one job, each derived from one of its ways. It panics when the joined job is not on each
// way what was derived for it.
func Joined(ways []*state.Trace) *procedure.Job {
	if len(ways) == 1 {
		return ways[0].Job
	}
	var jobs []*procedure.Job
	for _, way := range ways {
		jobs = append(jobs, way.Job)
	}
	names := slices.Sorted(maps.Keys(jobs[0].Answers))
	out := *jobs[0]
	out.Answers = nil
	out.Steps = mergeBy(jobs, wayLabel, func(s *procedure.Step, have []int) {
		s.If = s.If.And(procedure.WhenOf(names, func(answers map[string]bool) bool {
			return slices.ContainsFunc(have, func(i int) bool { return maps.Equal(jobs[i].Answers, answers) })
		}))
	})
	for _, job := range jobs {
		now := out
		now.Steps = slices.DeleteFunc(slices.Clone(out.Steps), func(s *procedure.Step) bool { return s.If.Fails(job.Answers) })
		if err := differs(job, &now); err != nil {
			panic(fmt.Sprintf("joining the ways back by what was found: %v", err)) // a page would show another job
		}
	}
	for i, s := range out.Steps {
		s.Number = i + 1
	}
	procedureOfJob := *out.Procedure
	procedureOfJob.Steps = out.Steps
	out.Procedure = &procedureOfJob
	return &out
}

// wayLabel names a way through a job by its answers: worn, or no-worn.
func wayLabel(job *procedure.Job) string {
	var out []string
	for _, name := range slices.Sorted(maps.Keys(job.Answers)) {
		if !job.Answers[name] {
			name = "no-" + name
		}
		out = append(out, name)
	}
	return strings.Join(out, "-")
}

// onWay returns the author's step as it is on the way through the job that is brought back; nil when it is not on it: its
// condition fails, or it takes the place of a step that turns round what was not done.
func (d *derivation) onWay(s *procedure.Step) *procedure.Step {
	answers := d.out.Job.Answers
	if answers == nil {
		return s
	}
	if s.If.Fails(answers) {
		return nil
	}
	if id, turned := strings.CutSuffix(strings.TrimSuffix(s.ID, Ready), Suffix); turned && d.index(s.ID) < 0 {
		done, written := d.out.Job.Step(id), d.out.Job.Procedure.Step(id)
		if done != nil && written != nil && len(done.Actions()) == 0 && len(written.Actions()) > 0 {
			return nil
		}
	}
	out := *s.On(answers)
	if out.If.Decided(answers) {
		out.If = ""
	}
	return &out
}

// instead returns the place of the last step before the one where a step would stand that turns round what is not done on this way,
// -1 when nothing stands before it. gone is false when the name is no such step's.
func (d *derivation) instead(id string) (place int, gone bool) {
	id, turned := strings.CutSuffix(strings.TrimSuffix(id, Ready), Suffix)
	from := d.out.Job.Step(id)
	if d.out.Job.Answers == nil || !turned || from == nil {
		return -1, false
	}
	for i, s := range slices.Backward(d.steps) {
		home, derived := strings.CutSuffix(strings.TrimSuffix(s.ID, Ready), Suffix)
		if x := d.out.Job.Step(home); s.ID == startStep || derived && x != nil && x.Number > from.Number {
			return i, true
		}
	}
	return -1, true
}
