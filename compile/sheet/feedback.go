package sheet

import "matchmark/procedure/assessment"

// feedback is what a class says of each step: the trainer counts hands, or each learner ticks.
func (e emitter) feedback() error {
	v, err := e.paper(Feedback, "trainer")
	if err != nil {
		return err
	}
	t := e.table(Feedback, "steps", "at-step", "clear", "asked", "wrong", "longer", "remark")
	for _, s := range e.job.Steps {
		t.add(append([]paperCell{cell(stepTitle(s))}, blanks(len(t.Columns)-1)...)...)
	}
	whole := e.table(Feedback, "whole", "question", "answer")
	for _, key := range []string{"safe", "tools", "done-myself", "pace", "other"} {
		whole.add(cell(e.words.T("paper.feedback."+key)), paperCell{})
	}
	v.Tables = []paperTable{t, whole}
	return e.write(Feedback, paperPage(v))
}

// followUp is what a learner did on the job, weeks after the class.
func (e emitter) followUp() error {
	v, err := e.paper(FollowUp, "learner", "supervisor", "trainer")
	if err != nil {
		return err
	}
	aims := e.table(FollowUp, "aims", "aim", "when", "how", "seen-by")
	for _, aim := range assessment.Aims(e.job.Procedure) {
		how := paperCell{}
		for _, verdict := range assessment.Verdicts {
			how.Boxes = append(how.Boxes, e.words.T("assess.verdict."+string(verdict)))
		}
		aims.add(cell(aim), paperCell{}, how, paperCell{})
	}
	if len(aims.Rows) == 0 {
		aims.Lead = e.words.T("paper.no-aims")
		aims.Rows = blankRows(4, len(aims.Columns))
	}
	whole := e.table(FollowUp, "whole", "question", "answer")
	for _, key := range []string{"machine", "differs", "trouble", "near-miss", "again"} {
		whole.add(cell(e.words.T("paper.follow-up."+key)), paperCell{})
	}
	v.Tables = []paperTable{aims, whole}
	return e.write(FollowUp, paperPage(v))
}
