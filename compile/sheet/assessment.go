package sheet

import (
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/assessment"
	"matchmark/procedure/record"
)

// fillForm is what the assessment's page needs to be filled in on a device: whose sheet it is. assess.js does the rest.
type fillForm struct {
	Procedure, Way, Variant string
}

// assessWords are what the script says; it fills in {0}.
var assessWords = []string{"seen", "missed", "evidence", "unrated", "verdict.alone", "verdict.help", "verdict.not-yet", "who", "open", "kept", "saved", "refused", "away", "here", "enter", "elsewhere", "emptied", "unstored", "scarce"}

// assessment is the observer's sheet: what to look for at each step, for both of a pair, at two attempts.
func (e emitter) assessment() error {
	v, err := e.paper(Assessment, "learner-a", "learner-b", "observer")
	if err != nil {
		return err
	}
	v.Form = e.fillForm()
	v.Scripts = append(v.Scripts, "hold.js", "assess.js")
	v.Styles = append(v.Styles, "assess.css")
	if aims := assessment.Aims(e.job.Procedure); len(aims) > 0 {
		t := e.table(Assessment, "aims", "aim", "learner-a", "learner-b")
		for i, aim := range aims {
			t.add(cell(aim), e.seen(), e.seen())
			t.Rows[i].Aim = i + 1
		}
		v.Tables = append(v.Tables, t)
	}
	v.Tables = append(v.Tables, e.observed())
	result := e.table(Assessment, "result", "what", "learner-a", "learner-b")
	for _, key := range []string{"critical", "repeat", "record", "verdict"} {
		result.add(append([]paperCell{cell(e.words.T("paper.assessment." + key))}, blanks(2)...)...)
	}
	v.Tables = append(v.Tables, result)
	return e.write(Assessment, paperPage(v))
}

func (e emitter) fillForm() *fillForm {
	f := &fillForm{Procedure: e.job.Procedure.ID, Way: string(record.Removal)}
	if removal := e.job.Procedure.Removal; removal != nil {
		f.Procedure, f.Way = removal.ID, string(record.Refitting)
	}
	if e.job.Variant != nil {
		f.Variant = e.job.Variant.ID
	}
	return f
}

// seen are the boxes for the first and the second attempt.
func (e emitter) seen() paperCell {
	return paperCell{Boxes: []string{e.words.T("paper.first"), e.words.T("paper.second")}}
}

// observed is what an observer can see, step by step.
func (e emitter) observed() paperTable {
	t := e.table(Assessment, "steps", "look-for", "learner-a", "learner-b", "evidence")
	var last *procedure.Step
	for _, l := range assessment.Lines(e.analysed) {
		if l.Step != last {
			t.Rows, last = append(t.Rows, paperRow{Heading: stepTitle(l.Step)}), l.Step
		}
		look, evidence := cell(e.lookFor(&l)), paperCell{}
		if l.Must {
			look = strong(e.words.T("paper.critical", e.lookFor(&l)))
		}
		if l.Evidence != "" {
			evidence = cell(e.words.T("paper." + l.Evidence))
		}
		t.Rows = append(t.Rows, paperRow{Cells: []paperCell{look, e.seen(), e.seen(), evidence}, Line: l.ID, Must: l.Must})
	}
	return t
}

// lookFor is what an observer looks for.
func (e emitter) lookFor(l *assessment.Line) string {
	switch l.Kind {
	case assessment.Heeds:
		return e.words.T("paper.heeds", e.words.T("signal."+string(l.Caution.Signal)), l.Caution.Prose.Plain())
	case assessment.Looks:
		return e.words.T("paper.looks", l.Words, l.Accept)
	case assessment.Torque:
		return e.words.T("paper.torque", l.Fastener.ID, l.Fastener.Name, e.quantity(l.Fastener.Torque))
	case assessment.Holds:
		return e.words.T("paper.holds", l.Words)
	}
	return l.Words
}

// aimNumber is the number of a row's aim as the page writes it; empty for none.
func (r *paperRow) aimNumber() string {
	if r.Aim == 0 {
		return ""
	}
	return strconv.Itoa(r.Aim)
}
