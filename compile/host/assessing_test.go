package host

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"matchmark/compile/host/store"
	"matchmark/procedure/assessment"
	"matchmark/procedure/record"
)

// assessed is what an observer saw of a learner at the oven fan: the first aim reached alone.
func assessed(learner string) assessment.Assessment {
	return assessment.Assessment{
		Format: assessment.Format, Version: assessment.Version, Procedure: "oven-fan-out", Way: record.Removal, Learner: learner, Observer: "Somebody Else",
		Role: assessment.Does, Attempt: 1, Finished: "2026-11-25T09:30:00Z",
		Aims: []assessment.Aim{{Number: 1, Verdict: assessment.Alone}}, Lines: []assessment.Seen{{Line: "x.1", Must: true, Seen: true, Evidence: "64 kg"}}, Again: "nothing",
	}
}

// A sheet that the trainer fills in is kept in the trainer's name, counts with the class's results, comes out as the file that the command
// reads, and goes with its learner.
func TestAssessmentsAreKeptAndGoWithTheirLearner(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusUnauthorized, nil, "POST", "/board/assessment", assessed("Ada"))
	c.enter()
	for range 2 {
		c.want(http.StatusNoContent, nil, "POST", "/board/assessment", assessed("ADA"))
	}
	if got := refused(t, c.want(http.StatusUnprocessableEntity, nil, "POST", "/board/assessment", assessed("Nobody Known"))); !strings.Contains(got.Problem, "Nobody") {
		t.Errorf("%+v", got)
	}
	early := assessed("Ada")
	early.Finished = c.Now().AddDate(0, 0, 2).Format(time.RFC3339)
	if got := refused(t, c.want(http.StatusUnprocessableEntity, nil, "POST", "/board/assessment", early)); !strings.Contains(got.Problem, "is still to come") {
		t.Errorf("%+v", got)
	}
	wrong := assessed("Ada")
	wrong.Aims[0].Number = 99
	refused(t, c.want(http.StatusUnprocessableEntity, nil, "POST", "/board/assessment", wrong))

	kept, err := c.Store.Assessments(t.Context())
	if err != nil || len(kept) != 1 || kept[0].Learner != "Ada" || kept[0].Observer != "Kim Holt" {
		t.Fatalf("%+v, %v", kept, err)
	}
	if page := c.want(http.StatusOK, nil, "GET", "/board/assessments", nil).Body.String(); !strings.Contains(page, "/procedure/oven-fan-out/assessment") || !strings.Contains(page, "/board/assessment/"+kept[0].Hash) {
		t.Error(page)
	}
	if page := c.want(http.StatusOK, nil, "GET", "/board/competence", nil).Body.String(); !strings.Contains(page, "observed 2026-11-25, attempt 1: alone (Kim Holt)") {
		t.Error(page)
	}
	file := c.want(http.StatusOK, nil, "GET", "/board/assessment/"+kept[0].Hash, nil).Body.Bytes()
	if all, faults := assessment.Read(c.Library, "a.json", file, assessment.Latest(c.Now())); len(all) != 1 || len(faults) != 0 || all[0].Learner != "Ada" {
		t.Errorf("%+v, %+v", all, faults)
	}

	var people []store.Learner
	c.want(http.StatusOK, &people, "GET", "/board/learners", nil)
	for _, p := range people {
		if p.Name != "Ada" {
			continue
		}
		if p.Results != 1 {
			t.Errorf("%+v", p)
		}
		var export store.Export
		c.want(http.StatusOK, &export, "GET", "/board/learner/export?id="+p.ID, nil)
		var mine assessment.Assessment
		if len(export.Assessments) != 1 || json.Unmarshal(export.Assessments[0], &mine) != nil || mine.Observer != "" || mine.Again != "nothing" {
			t.Errorf("%s", export.Assessments)
		}
		c.want(http.StatusOK, nil, "POST", "/board/learner/delete", map[string]string{"id": p.ID})
	}
	if kept, err = c.Store.Assessments(t.Context()); err != nil || len(kept) != 0 {
		t.Errorf("%+v, %v", kept, err)
	}
}
