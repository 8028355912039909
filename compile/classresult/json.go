package classresult

import "matchmark/procedure/quiz/itemanalysis"

// Marked is how a class did, for scripts. A figure that there is not, since the class is too small for it, is null.
type Marked struct {
	Quiz string `json:"quiz"`
	// Pass is the pass mark in percent, NotMarked how many learners could not be marked.
	Pass      int              `json:"pass"`
	Learners  []MarkedLearner  `json:"learners"`
	NotMarked int              `json:"notMarked"`
	Questions []MarkedQuestion `json:"questions"`
	// Steps are those that questions are about, the least understood first.
	Steps            []MarkedStep `json:"steps"`
	Mean             *float64     `json:"mean"`
	StandardDev      *float64     `json:"standardDeviation"`
	Alpha            *float64     `json:"alpha"`
	AlphaLow         *float64     `json:"alphaLow"`
	AlphaHigh        *float64     `json:"alphaHigh"`
	MeasurementError *float64     `json:"measurementError"`
}

// MarkedLearner is the last try of a learner.
type MarkedLearner struct {
	Name          string   `json:"name"`
	Tries         int      `json:"tries"`
	Points        int      `json:"points"`
	Of            int      `json:"of"`
	Percent       int      `json:"percent"`
	Passed        bool     `json:"passed"`
	CriticalWrong []string `json:"criticalWrong"`
}

// MarkedQuestion is what first tries tell about a question.
type MarkedQuestion struct {
	Number         int      `json:"number"`
	ID             string   `json:"id"`
	Step           string   `json:"step"`
	Points         int      `json:"points"`
	Critical       bool     `json:"critical"`
	Answers        int      `json:"answers"`
	Right          int      `json:"right"`
	Open           int      `json:"open"`
	Difficulty     *float64 `json:"difficulty"`
	Discrimination *float64 `json:"discrimination"`
	PointBiserial  *float64 `json:"pointBiserial"`
	Corrected      *float64 `json:"correctedPointBiserial"`
	AlphaIfDeleted *float64 `json:"alphaIfDeleted"`
	Verdict        string   `json:"verdict"`
}

// MarkedStep is a step with how many of the answers to the questions on it were not right.
type MarkedStep struct {
	ID     string `json:"id"`
	Missed int    `json:"missed"`
	Of     int    `json:"of"`
}

// JSON returns the class for scripts.
func (v *View) JSON() Marked {
	from, a := v.from, v.analysis
	out := Marked{
		Quiz: from.Quiz.ID, Pass: from.Quiz.Pass, NotMarked: len(from.NotMarked),
		Learners: []MarkedLearner{}, Questions: []MarkedQuestion{}, Steps: []MarkedStep{},
		Mean: known(a.Mean), StandardDev: known(a.SD), Alpha: known(a.Alpha), AlphaLow: known(a.AlphaLow), AlphaHigh: known(a.AlphaHigh), MeasurementError: known(a.SEM),
	}
	for _, l := range from.Learners {
		s := l.Last().Score
		out.Learners = append(out.Learners, MarkedLearner{l.Name, len(l.Tries), s.Points, s.Of, s.Percent, s.Passed, append([]string{}, s.CriticalWrong...)})
	}
	for _, q := range v.Questions {
		it := q.item
		out.Questions = append(out.Questions, MarkedQuestion{
			Number: q.Number, ID: it.ID, Step: it.Step, Points: it.Points, Critical: it.Critical, Answers: q.learners, Right: it.Right, Open: it.Open,
			Difficulty: known(it.Difficulty), Discrimination: known(it.Discrimination), PointBiserial: known(it.PointBiserial),
			Corrected: known(it.Corrected), AlphaIfDeleted: known(it.AlphaIfDeleted), Verdict: q.Verdict,
		})
	}
	for _, s := range a.Steps() {
		out.Steps = append(out.Steps, MarkedStep{s.ID, s.Missed, s.Of})
	}
	return out
}

// known is a figure, or nil when there is none.
func known(x float64) *float64 {
	if !itemanalysis.Known(x) {
		return nil
	}
	return &x
}
