// Package competence says who has shown what: for each learner and each aim of a
// procedure what the quizzes, the job records, the signatures at hold points and the practical
// assessments show, and until when it holds. It says what was shown, and leaves the judgement to people.
package competence

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/assessment"
	"matchmark/procedure/quiz/retention"
	"matchmark/procedure/record"
	"matchmark/procedure/workorder"
)

// Aim is something that a learner can do after a procedure.
type Aim struct {
	Procedure *procedure.Procedure
	// Number counts the procedure's aims from 1; Words are the author's.
	Number int
	Words  string
	// Questions test it, by their quizzes; Steps are the steps that they are about, by name, in which it is done. An aim
	// without questions has no steps either, and nothing can show it.
	Questions map[string][]string
	Steps     []string
}

// Answers are what learners answered in one quiz.
type Answers struct {
	Quiz     string
	Learners []retention.Memory
}

// Eyes are who signed a hold point.
type Eyes struct {
	Name string
	// Proved is true for a seal of a class host that holds; a name written on a tablet proves nothing.
	Proved bool
}

// Status says how far an aim is shown.
type Status string

// The statuses.
const (
	// None: nothing shows it.
	None Status = "none"
	// Part: something shows it, but not all.
	Part Status = "part"
	// Shown: its questions are right, and an observer saw it done alone, or its steps are done and their hold points are signed and proved.
	Shown Status = "shown"
	// RunOut: it was shown, too long ago.
	RunOut Status = "run-out"
)

// Evidence is what shows that a learner has reached an aim.
type Evidence struct {
	Learner string
	Aim     *Aim
	// Knows is true when the last answer to each of its questions is right; Known is the day of the oldest of these.
	Knows bool
	Known retention.Day
	// Does is true when the learner did all its steps in one job; Done is the day of the latest such job, Machine what
	// stood there and Job the job's name.
	Does         bool
	Done         retention.Day
	Machine, Job string
	// Seen are those who signed at the hold points of these steps, or at any of the job where these have none; Open is
	// how many of them nobody signed.
	Seen []Eyes
	Open int
	// Observed is the latest practical assessment that rates the aim with the learner doing the work, and Checked the latest as the one
	// who checks; nil for none.
	Observed, Checked *assessment.Assessment
	// Until is the last day on which it holds: so many months after the older of both days.
	Until  retention.Day
	Status Status
}

// Aims lists the aims of the procedures of a library that take something out.
func Aims(lib *procedure.Library) []*Aim {
	var out []*Aim
	for _, p := range lib.Procedures {
		if p.Removal != nil {
			continue
		}
		for i, words := range p.Aims {
			out = append(out, aim(lib, p, i+1, words))
		}
	}
	return out
}

func aim(lib *procedure.Library, p *procedure.Procedure, number int, words string) *Aim {
	out := &Aim{Procedure: p, Number: number, Words: words, Questions: map[string][]string{}}
	for _, q := range lib.Quizzes {
		if q.Procedure == nil || q.Procedure.ID != p.ID {
			continue
		}
		for _, x := range q.Questions {
			if x.Aim != number {
				continue
			}
			out.Questions[q.ID] = append(out.Questions[q.ID], x.ID)
			if x.Step.ID != "" && !slices.Contains(out.Steps, x.Step.ID) {
				out.Steps = append(out.Steps, x.Step.ID)
			}
		}
	}
	return out
}

// Assess lists the evidence for each learner, sorted by name, and each aim, in order. It holds for so many months, and is
// looked at on a day. Learners are told apart by their names, whatever the case.
func Assess(aims []*Aim, answers []Answers, jobs []*workorder.Order, observed []*assessment.Assessment, months int, on retention.Day) []Evidence {
	var out []Evidence
	for _, name := range learners(answers, jobs, observed) {
		for _, a := range aims {
			e := Evidence{Learner: name, Aim: a}
			e.know(answers)
			e.do(jobs)
			e.observe(observed)
			e.judge(months, on)
			out = append(out, e)
		}
	}
	return out
}

// learners are all names in answers, on tablets and in assessments.
func learners(answers []Answers, jobs []*workorder.Order, observed []*assessment.Assessment) []string {
	var out []string
	for _, a := range answers {
		for _, m := range a.Learners {
			out = append(out, m.Name)
		}
	}
	for _, j := range jobs {
		out = append(out, j.People...)
	}
	for _, a := range observed {
		out = append(out, a.Learner)
	}
	slices.SortFunc(out, func(a, b string) int {
		return cmp.Or(strings.Compare(strings.ToLower(a), strings.ToLower(b)), strings.Compare(a, b))
	})
	return slices.CompactFunc(out, strings.EqualFold)
}

// know looks at the last answers to the aim's questions.
func (e *Evidence) know(answers []Answers) {
	asked, right := 0, 0
	for _, a := range answers {
		for _, m := range a.Learners {
			if !strings.EqualFold(m.Name, e.Learner) {
				continue
			}
			last := retention.Latest(m.Answers)
			for _, id := range e.Aim.Questions[a.Quiz] {
				if given, is := last[id]; is && given.Right {
					if right++; right == 1 || given.On < e.Known {
						e.Known = given.On
					}
				}
			}
		}
	}
	for _, ids := range e.Aim.Questions {
		asked += len(ids)
	}
	e.Knows = asked > 0 && right == asked
}

// do looks for the latest job in which the learner did all the aim's steps that the machine's variant has. Of two jobs
// of a day, the one that more eyes saw counts, and then the first by name.
func (e *Evidence) do(jobs []*workorder.Order) {
	for _, j := range jobs {
		if j.Procedure.ID != e.Aim.Procedure.ID {
			continue
		}
		done, last := 0, retention.Day(0)
		of := map[string]bool{}
		for _, id := range e.Aim.Steps {
			way, there := wayOf(j, id)
			if !there {
				continue
			}
			of[string(way)+"/"+id] = true
			if day, did := did(j.Record, string(way)+"/"+id, e.Learner); did {
				done++
				last = max(last, day)
			}
		}
		if done == 0 || done < len(of) {
			continue
		}
		now := Evidence{Learner: e.Learner, Aim: e.Aim, Knows: e.Knows, Known: e.Known, Does: true, Done: last, Machine: j.Record.Machine.Value, Job: j.Record.Job}
		now.see(j, of)
		if !e.Does || now.Done > e.Done || now.Done == e.Done && (now.Open < e.Open || now.Open == e.Open && now.Job < e.Job) {
			*e = now
		}
	}
}

// wayOf says on which way of a job a step lies.
func wayOf(j *workorder.Order, step string) (record.Phase, bool) {
	for _, way := range record.Phases {
		if j.Step(way, step) != nil {
			return way, true
		}
	}
	return "", false
}

// did reports whether a learner worked on a step that was passed, and on which day: the last one of it.
func did(r *record.Record, key, learner string) (day retention.Day, is bool) {
	passed := r.Passed[key]
	if !passed.Value {
		return 0, false
	}
	mine := func(name string) bool { return strings.EqualFold(strings.TrimSpace(name), learner) }
	if is = mine(passed.By); is {
		day = dayOf(passed.At)
	}
	for spell, s := range r.Work {
		if way, step, tablet, _, ok := record.SplitWork(spell); ok && string(way)+"/"+step == key && mine(r.Tablets[tablet].Learner) {
			day, is = max(day, dayOf(s.To)), true
		}
	}
	return day, is
}

func dayOf(milliseconds int64) retention.Day { return retention.DayOf(time.UnixMilli(milliseconds)) }

// see lists who signed at the hold points of some steps or, where these have none, at those of the whole job.
func (e *Evidence) see(j *workorder.Order, steps map[string]bool) {
	for _, whole := range []bool{false, true} {
		for _, h := range j.Holds {
			if h.Signature == nil || !whole && !steps[string(h.Way)+"/"+h.Step.ID] {
				continue
			}
			switch s := h.Signature; {
			case s.Given():
				e.saw(Eyes{s.Sealed.Signer(), true})
			case s.Written.Given:
				e.saw(Eyes{s.Written.Text, false})
			default:
				e.Open++
			}
		}
		if len(e.Seen)+e.Open > 0 {
			return
		}
	}
}

func (e *Evidence) saw(by Eyes) {
	if !slices.Contains(e.Seen, by) {
		e.Seen = append(e.Seen, by)
	}
}

// Proved reports whether all that had to be signed was, by seals that hold.
func (e *Evidence) Proved() bool {
	return len(e.Seen) > 0 && e.Open == 0 && !slices.ContainsFunc(e.Seen, func(x Eyes) bool { return !x.Proved })
}

// observe looks for the latest assessments of the learner that rate the aim, one for each role.
func (e *Evidence) observe(all []*assessment.Assessment) {
	for _, a := range all {
		if a.Procedure != e.Aim.Procedure.ID || !strings.EqualFold(a.Learner, e.Learner) || a.Of(e.Aim.Number, e.Aim.Words) == "" {
			continue
		}
		latest := &e.Observed
		if a.Role == assessment.Checks {
			latest = &e.Checked
		}
		if *latest == nil || later(a, *latest) {
			*latest = a
		}
	}
}

// later orders assessments by their time, those of one time by their attempt. Of two that are equal in both the worse one stands.
func later(a, than *assessment.Assessment) bool {
	by := cmp.Or(a.At().Compare(than.At()), cmp.Compare(a.Attempt, than.Attempt))
	return by > 0 || by == 0 && a.Missed() && !than.Missed()
}

// fell reports whether an observer saw that the aim is not reached yet, or only with help.
func (e *Evidence) fell() bool {
	return e.Observed != nil && !e.Observed.Reached(e.Aim.Number, e.Aim.Words)
}

// practised is the day on which the aim was last shown in practice: an observer saw it, or the record has it, signed and proved. What an
// observer saw not reached is shown only by what was done on a later day.
func (e *Evidence) practised() (day retention.Day, is bool) {
	if e.Observed != nil && !e.fell() {
		day, is = retention.DayOf(e.Observed.At()), true
	}
	if e.Does && e.Proved() && (!e.fell() || e.Done > retention.DayOf(e.Observed.At())) {
		day, is = max(day, e.Done), true
	}
	return day, is
}

// judge sets how far the aim is shown, and until when.
func (e *Evidence) judge(months int, on retention.Day) {
	done, practised := e.practised()
	switch {
	case e.Knows && practised:
		e.Until = min(e.Known, done).Months(months)
		if e.Status = Shown; e.Until < on {
			e.Status = RunOut
		}
	case e.Knows || e.Does || e.Observed != nil || e.Checked != nil:
		e.Status = Part
	default:
		e.Status = None
	}
}
