package sessions

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/schedule"
)

// Agenda is a course as sessions of items that can be planned.
type Agenda struct {
	Course *procedure.Course
	Rules  Rules
	// Groups holds the items of each session of the course.
	Groups [][]Item
	// Sources are the course's items, beside those that are planned.
	Sources [][]*procedure.CourseItem
	// Repeats is, beside each item, which repetition it is for the learners; 0 for a quiz.
	Repeats [][]int
	// Jobs are the jobs of the course, each once, in order.
	Jobs []*procedure.Job
	// Short are the steps that take more people than the course has on a machine.
	Short []ShortStep
}

// ShortStep is a step of a job for which there are too few people.
type ShortStep struct {
	Job  *procedure.Job
	Step *procedure.Step
	// People is how many it takes: those of the step, or those who stay for its wait.
	People int
}

// AgendaOf lays out a course whose procedures have their refittings. Each machine is planned for the
// variant on which its jobs take longest.
func AgendaOf(c *procedure.Course) *Agenda {
	p := c.Pace
	a := &Agenda{Course: c, Rules: Rules{
		Length: p.Session, SetUp: p.SetUp, ClearDown: p.ClearDown, Confidence: p.Confidence, CommonPace: p.CommonPace, Start: p.Start,
		Break: Break{Length: p.Break, Every: p.BreakEvery},
	}}
	variants := slowestVariants(c)
	jobs := map[*procedure.Procedure]*procedure.Job{}
	shares := map[*procedure.Job][]float64{}
	var done []Item
	for _, s := range c.Sessions {
		var items []Item
		var repeats []int
		var sources []*procedure.CourseItem
		for k := range s.Items {
			item := s.Items[k]
			if q := item.Quiz; q != nil {
				sources = append(sources, &s.Items[k])
				items, repeats = append(items, Item{Title: q.Title, Time: q.Time}), append(repeats, 0)
				continue
			}
			p := item.Work()
			if p == nil {
				continue // a refitting of nothing
			}
			job := jobs[p]
			if job == nil {
				job = jobOf(p, variants)
				jobs[p] = job
				if c.Pace.Shared {
					shares[job] = sharesOf(job, c.Pace)
				}
				a.Jobs = append(a.Jobs, job)
			}
			it, ok := itemOf(item, p, job)
			if !ok {
				continue // none of its steps is there on this variant
			}
			it.Added = shares[job]
			n := 1 + times(done, it)
			it.Factor = c.Pace.Learning.Factor(c.Pace.Stated, n)
			done = append(done, it)
			items, repeats, sources = append(items, it), append(repeats, n), append(sources, &s.Items[k])
		}
		a.Groups, a.Repeats, a.Sources = append(a.Groups, items), append(a.Repeats, repeats), append(a.Sources, sources)
	}
	for _, job := range a.Jobs {
		for _, s := range job.Steps {
			people := s.People
			if w := s.Wait(); w != nil {
				people = max(people, w.People)
			}
			if people > p.People {
				a.Short = append(a.Short, ShortStep{job, s, people})
			}
		}
	}
	return a
}

// effort is how hard the best way to share a job out is looked for; see schedule.Sharing.
const effort = 2000

// sharesOf says of each step of a job how many minutes it adds to those before it when the course's people share the work out: until
// then all of these are done, so that work can stop there. Nil when the people cannot do it, which a rule reports.
func sharesOf(job *procedure.Job, pace procedure.Pace) []float64 {
	if job.Machine == nil {
		return nil
	}
	n := analysis.NewJob(job).Network()
	people := schedule.TicketsOf(pace.Crew)
	if people == nil {
		people = n.Assumed(pace.People)
	}
	roster, err := n.Sharing().Among(people, effort)
	if err != nil {
		return nil
	}
	ends := make([]float64, len(job.Steps))
	for _, b := range roster.Bars {
		if b.Index < len(ends) { // what is waited for comes behind the steps
			ends[b.Index] = b.End
		}
	}
	before := 0.0
	for i, end := range ends {
		ends[i] = max(end-before, 0)
		before = max(before, end)
	}
	return ends
}

// Source is the course's item that an item of one of its groups is planned for.
func (a *Agenda) Source(group int, it *Item) *procedure.CourseItem {
	for k := range a.Groups[group] {
		if &a.Groups[group][k] == it {
			return a.Sources[group][k]
		}
	}
	return nil
}

// Starts are when the course's items begin, in minutes from the start of their session. The plan points at items of its own: those
// of the course, in the same order.
func (a *Agenda) Starts(p *Plan) map[*procedure.CourseItem]float64 {
	all := slices.Concat(a.Sources...)
	out, seen := map[*procedure.CourseItem]float64{}, map[*Item]bool{}
	for _, s := range p.Sessions {
		for _, r := range s.Rows {
			if r.Item != nil && !seen[r.Item] && len(seen) < len(all) {
				out[all[len(seen)]] = r.Start
				seen[r.Item] = true
			}
		}
	}
	return out
}

// Items are all items in one row.
func (a *Agenda) Items() []Item { return slices.Concat(a.Groups...) }

// slowestVariants chooses for each machine of a course the variant on which its jobs take
// longest, so that the plan holds for every variant; of equal ones the first.
func slowestVariants(c *procedure.Course) map[*procedure.Machine]*procedure.Variant {
	sums := map[*procedure.Variant]float64{}
	out := map[*procedure.Machine]*procedure.Variant{}
	var machines []*procedure.Machine
	for _, s := range c.Sessions {
		for _, item := range s.Items {
			p := item.Work()
			if p == nil || p.Machine == nil {
				continue
			}
			if !slices.Contains(machines, p.Machine) {
				machines = append(machines, p.Machine)
			}
			for _, job := range p.Jobs() {
				sums[job.Variant] += Expected(job)
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

// Expected is the expected time of all steps of a job, in minutes.
func Expected(job *procedure.Job) float64 {
	sum := 0.0
	for _, s := range job.Steps {
		mean, _ := schedule.StepTime(s)
		sum += mean
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
func itemOf(item procedure.CourseItem, p *procedure.Procedure, job *procedure.Job) (it Item, ok bool) {
	first, last := 0, len(p.Steps)-1
	for i, s := range p.Steps {
		if s.ID == item.From.ID || item.From.ID == "" && s.ID == item.Prepared.ID {
			first = i
		}
		if s.ID == item.To.ID {
			last = i
		}
	}
	starts := item.From.ID != ""
	if !starts && p.Step(item.Prepared.ID) != nil {
		starts = true
		first++
	}
	it = Item{Title: p.Title, Job: job}
	for first <= last && job.Step(p.Steps[first].ID) == nil {
		first++
	}
	for last >= first && job.Step(p.Steps[last].ID) == nil {
		last--
	}
	if first > last {
		return it, false
	}
	if starts {
		it.From = p.Steps[first].ID
	}
	if item.To.ID != "" {
		it.To = p.Steps[last].ID
	}
	return it, true
}

// times counts how often the first step of an item was done before.
func times(done []Item, it Item) int {
	n, first := 0, runOf(it)[0]
	for _, d := range done {
		if d.Job == it.Job && slices.Contains(runOf(d), first) {
			n++
		}
	}
	return n
}

// runOf lists the steps of an item.
func runOf(it Item) []*procedure.Step {
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
