package classresult

import (
	"matchmark/procedure/quiz/itemanalysis"
)

// Step is a step that was not understood.
type Step struct {
	// Name is such as "Step 9, Undo the front feet", Share such as "45 %": the answers that were not right.
	Name, Share string
	// Missed says of each question on it who did not know it.
	// Where the question may be wrong rather than the learners, they say so.
	Missed []string
}

// parts of a class, as a trainer says them: from which share on, and in which words.
var parts = []struct {
	from float64
	word string
}{{0.9, "all"}, {0.7, "most"}, {0.6, "two-thirds"}, {0.45, "half"}, {0.3, "third"}, {0.2, "quarter"}}

// fewestParts is from how many learners on a part of a class has a name: "1 of 1" is not nearly everybody.
const fewestParts = 5

// steps lists the steps on which a part of the class that is worth a word had a question not right.
func (w *writer) steps() []Step {
	var out []Step
	for _, s := range w.analysis.Steps() {
		step := Step{Name: w.step(s.ID), Share: w.percent(s.Share()) + " %"}
		for _, it := range s.Items {
			words := w.missed(it)
			if words != "" && it.Verdict == itemanalysis.CheckKey {
				words += " " + w.words.T("result.step.doubt")
			}
			if words != "" {
				step.Missed = append(step.Missed, words)
			}
		}
		if len(step.Missed) > 0 {
			out = append(out, step)
		}
	}
	return out
}

// missed says which part of the class did not know an answer; empty when it was a small one.
func (w *writer) missed(it itemanalysis.Item) string {
	for _, p := range parts {
		switch {
		case 1-it.Difficulty < p.from:
		case w.analysis.Learners < fewestParts:
			return w.words.T("result.step.missed.few", w.analysis.Learners-it.Right, w.analysis.Learners, w.stem(it.ID))
		default:
			return w.words.T("result.step.missed", w.words.T("result.part."+p.word), w.analysis.Learners-it.Right, w.analysis.Learners, w.stem(it.ID))
		}
	}
	return ""
}

func (w *writer) stem(id string) string {
	for _, q := range w.quiz.Questions {
		if q.ID == id {
			return q.Stem.Plain()
		}
	}
	return id
}

// step names a step as the first variant that has it does.
func (w *writer) step(id string) string {
	if w.quiz.Procedure != nil {
		for _, job := range w.quiz.Procedure.Jobs() {
			if s := job.Step(id); s != nil {
				return w.words.T("result.step", s.Number, s.Title)
			}
		}
	}
	return id
}
