package sheet

import (
	"matchmark/procedure"
	"matchmark/procedure/state"
)

// assessment is the observer's sheet: what to look for at each step, for both of a pair, at two attempts.
func (e emitter) assessment() error {
	v, err := e.paper(Assessment, "learner-a", "learner-b", "observer")
	if err != nil {
		return err
	}
	if aims := e.job.Procedure.Aims; len(aims) > 0 {
		t := e.table(Assessment, "aims", "aim", "learner-a", "learner-b")
		for _, aim := range aims {
			t.add(cell(aim), e.seen(), e.seen())
		}
		v.Tables = append(v.Tables, t)
	}
	t := e.table(Assessment, "steps", "look-for", "learner-a", "learner-b", "evidence")
	for _, s := range e.job.Steps {
		rows := e.observed(s)
		if len(rows) > 0 {
			t.Rows = append(append(t.Rows, paperRow{Heading: stepTitle(s)}), rows...)
		}
	}
	v.Tables = append(v.Tables, t)
	result := e.table(Assessment, "result", "what", "learner-a", "learner-b")
	for _, key := range []string{"critical", "repeat", "record", "verdict"} {
		result.add(append([]paperCell{cell(e.words.T("paper.assessment." + key))}, blanks(2)...)...)
	}
	v.Tables = append(v.Tables, result)
	return e.write(Assessment, paperPage(v))
}

// seen are the boxes for the first and the second attempt.
func (e emitter) seen() paperCell {
	return paperCell{Boxes: []string{e.words.T("paper.first"), e.words.T("paper.second")}}
}

// observed is what an observer can see in a step: what could hurt, key points, values, what is looked at, and the hold point. What
// ends the assessment when it is missed says so: a danger, and a hold point that somebody else signs.
func (e emitter) observed(s *procedure.Step) []paperRow {
	var out []paperRow
	add := func(critical bool, evidence, look string) {
		c := cell(look)
		if critical {
			c = strong(e.words.T("paper.critical", look))
		}
		out = append(out, paperRow{Cells: []paperCell{c, e.seen(), e.seen(), cell(evidence)}})
	}
	for _, b := range s.Blocks {
		shown := b.Shows()
		switch {
		case shown.Warning != nil && shown.Warning.Signal != procedure.Notice:
			add(shown.Warning.Signal == procedure.Danger, "", e.words.T("paper.heeds", e.words.T("signal."+string(shown.Warning.Signal)), shown.Warning.Prose.Plain()))
		case shown.Point != nil:
			add(false, "", shown.Point.Point)
		case shown.Looks != nil:
			for _, item := range shown.Looks.Items {
				evidence := ""
				if item.Limits != nil {
					evidence = e.words.T("paper.value")
				}
				add(false, evidence, e.words.T("paper.looks", item.Look, item.Accept.Plain()))
			}
		case shown.Readings != nil:
			for _, r := range shown.Readings.Rows {
				add(false, e.words.T("paper.value"), r.Words)
			}
		}
	}
	for _, t := range e.torques {
		if t.Step == s.Number && !t.Fastener.Torque.IsZero() {
			add(false, e.words.T("paper.value"), e.words.T("paper.torque", t.Fastener.ID, t.Fastener.Name, e.quantity(t.Fastener.Torque)))
		}
	}
	if hold := state.Hold(s); hold != nil {
		add(hold.Signature != "", e.words.T("paper.signature"), e.words.T("paper.holds", hold.Title))
	}
	return out
}
