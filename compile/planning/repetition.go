package planning

import (
	"strconv"

	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
	"matchmark/themes"
)

// repetitions is how many repetitions the learning table shows.
const repetitions = 5

// learningView is how long the jobs of a course take when they are done again.
type learningView struct {
	// Stated is the repetition that the authors' times stand for.
	Stated int
	Form   string
	Rate   string
	// Factors are the times of the repetitions as parts of the stated ones.
	Factors []string
	Rows    []learningRow
}

type learningRow struct {
	Title string
	Times []string
}

// learningView returns nil for a course that states no learning curve.
func (e *emitter) learningView(a *agenda) *learningView {
	p := a.Course.Pace
	if p.Learning.Rate == 0 || len(a.Jobs) == 0 {
		return nil
	}
	v := &learningView{Stated: p.Stated, Form: string(p.Learning.Form), Rate: e.words.Number(100*p.Learning.Rate, 1)}
	for _, row := range p.Learning.Table(1, p.Stated, repetitions) {
		v.Factors = append(v.Factors, e.words.Number(row.Factor, 2))
	}
	for _, job := range a.Jobs {
		row := learningRow{Title: e.jobTitle(job)}
		for _, r := range p.Learning.Table(sessions.Expected(job), p.Stated, repetitions) {
			row.Times = append(row.Times, schedule.Duration(r.Time))
		}
		v.Rows = append(v.Rows, row)
	}
	return v
}

// repetition names a repetition, counted from 0; those from the fifth on have one name.
func repetition(w *themes.Words, i int) string {
	return w.T("plan.repetition." + strconv.Itoa(min(i, repetitions-1)+1))
}
