package planning

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
)

// agenda is a course as sessions of items that can be planned.
type agenda struct {
	course *procedure.Course
	rules  sessions.Rules
	// groups holds the items of each session of the course.
	groups [][]sessions.Item
	// repeats is, beside each item, which repetition it is for the learners; 0 for a quiz.
	repeats [][]int
	// jobs are the jobs of the course, each once, in order.
	jobs []*procedure.Job
	// short are the steps that take more people than the course has on a machine.
	short []shortStep
}

type shortStep struct {
	job  *procedure.Job
	step *procedure.Step
}

func newAgenda(c *procedure.Course) *agenda {
	p := c.Pace
	a := &agenda{course: c, rules: sessions.Rules{
		Length: p.Session, SetUp: p.SetUp, ClearDown: p.ClearDown, Confidence: p.Confidence, Start: p.Start,
		Break: sessions.Break{Length: p.Break, Every: p.BreakEvery},
	}}
	variants := slowest(c)
	jobs := map[*procedure.Procedure]*procedure.Job{}
	var done []sessions.Item
	for _, s := range c.Sessions {
		var items []sessions.Item
		var repeats []int
		for _, item := range s.Items {
			if q := item.Quiz; q != nil {
				items, repeats = append(items, sessions.Item{Title: q.Title, Time: q.Time}), append(repeats, 0)
				continue
			}
			p := procedureOf(item)
			if p == nil {
				continue // a refitting of nothing
			}
			job := jobs[p]
			if job == nil {
				job = jobOf(p, variants)
				jobs[p] = job
				a.jobs = append(a.jobs, job)
			}
			it, ok := itemOf(item, p, job)
			if !ok {
				continue // none of its steps is there on this variant
			}
			n := 1 + times(done, it)
			it.Factor = c.Pace.Learning.Factor(c.Pace.Stated, n)
			done = append(done, it)
			items, repeats = append(items, it), append(repeats, n)
		}
		a.groups, a.repeats = append(a.groups, items), append(a.repeats, repeats)
	}
	for _, job := range a.jobs {
		for _, s := range job.Steps {
			if s.People > p.People {
				a.short = append(a.short, shortStep{job, s})
			}
		}
	}
	return a
}

// items are all items in one row.
func (a *agenda) items() []sessions.Item { return slices.Concat(a.groups...) }

// slowest chooses for each machine of a course the variant on which its jobs take
// longest, so that the plan holds for every variant; of equal ones the first.
func slowest(c *procedure.Course) map[*procedure.Machine]*procedure.Variant {
	sums := map[*procedure.Variant]float64{}
	out := map[*procedure.Machine]*procedure.Variant{}
	var machines []*procedure.Machine
	for _, s := range c.Sessions {
		for _, item := range s.Items {
			p := procedureOf(item)
			if p == nil || p.Machine == nil {
				continue
			}
			if !slices.Contains(machines, p.Machine) {
				machines = append(machines, p.Machine)
			}
			for _, job := range p.Jobs() {
				sums[job.Variant] += expected(job)
			}
		}
	}
	for _, m := range machines {
		for _, v := range m.Variants {
			if best := out[m]; best == nil || sums[v] > sums[best]+same {
				out[m] = v
			}
		}
	}
	return out
}

func expected(job *procedure.Job) float64 {
	sum := 0.0
	for _, s := range job.Steps {
		sum += schedule.Expected(s.Time)
	}
	return sum
}

func jobOf(p *procedure.Procedure, variants map[*procedure.Machine]*procedure.Variant) *procedure.Job {
	jobs := p.Jobs()
	for _, job := range jobs {
		if job.Variant == variants[p.Machine] {
			return job
		}
	}
	return jobs[0]
}

// itemOf returns a course's item on a job. An end that is not there on the job's variant gives
// way to the next step inside; ok is false when nothing is left.
func itemOf(item procedure.CourseItem, p *procedure.Procedure, job *procedure.Job) (it sessions.Item, ok bool) {
	first, last := 0, len(p.Steps)-1
	for i, s := range p.Steps {
		if s.ID == item.From.ID {
			first = i
		}
		if s.ID == item.To.ID {
			last = i
		}
	}
	it = sessions.Item{Title: p.Title, Job: job}
	for first <= last && job.Step(p.Steps[first].ID) == nil {
		first++
	}
	for last >= first && job.Step(p.Steps[last].ID) == nil {
		last--
	}
	if first > last {
		return it, false
	}
	if item.From.ID != "" {
		it.From = p.Steps[first].ID
	}
	if item.To.ID != "" {
		it.To = p.Steps[last].ID
	}
	return it, true
}

// times counts how often the first step of an item was done before.
func times(done []sessions.Item, it sessions.Item) int {
	n, first := 0, runOf(it)[0]
	for _, d := range done {
		if d.Job == it.Job && slices.Contains(runOf(d), first) {
			n++
		}
	}
	return n
}

// runOf lists the steps of an item.
func runOf(it sessions.Item) []*procedure.Step {
	if it.Job == nil {
		return nil
	}
	at := func(id string) int {
		return slices.IndexFunc(it.Job.Steps, func(s *procedure.Step) bool { return s.ID == id })
	}
	from, to := 0, len(it.Job.Steps)
	if it.From != "" {
		from = at(it.From)
	}
	if it.To != "" {
		to = at(it.To) + 1
	}
	return it.Job.Steps[from:max(to, from)]
}
