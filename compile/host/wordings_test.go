package host

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/board"
	"matchmark/compile/host/store"
	"matchmark/procedure/quiz"
)

// A try is marked by the wording that was shown, or not at all.
func TestResultsOfOtherWordings(t *testing.T) {
	c := newClass(t, store.Options{})
	q := c.plans.Quiz("oven-quiz")
	then := quiz.WordingOf(q)
	then.Edition = "aaaaaaaaaaaa"
	then.Questions = then.Questions[:2]
	then.Questions[0].Critical, then.Questions[1].Critical = false, false
	key, err := json.Marshal(then)
	assert.NilError(t, err)
	assert.NilError(t, c.Store.KeepWordings(t.Context(), []store.Wording{{Quiz: then.Quiz, Edition: then.Edition, Key: key}}))
	c.again() // with the wording of before among those that it knows

	send := func(learner, edition string, want int, answers ...quiz.Marked) {
		t.Helper()
		r := newResult(learner, 1)
		r.Edition, r.Answers = edition, answers
		c.as(strings.Repeat(strings.ToLower(learner[:1]), 26), learner).want(want, nil, "POST", "/class/result", r)
	}
	right := func(i int) quiz.Marked {
		x := q.Questions[i]
		m := quiz.Marked{Question: x.ID, Kind: x.Kind, Right: true}
		m.Chosen = quiz.RightChoices(x)
		return m
	}
	send("Ada", "aaaaaaaaaaaa", http.StatusOK, right(0), right(1))
	send("Ben", "ffffffffffff", http.StatusOK, right(0))                             // of a wording that nobody knows
	send("Cid", "aaaaaaaaaaaa", http.StatusUnprocessableEntity, right(0))            // half of one that is known
	send("Dan", quiz.Edition(q), http.StatusUnprocessableEntity, right(0), right(1)) // a part of the present one
	c.enter()
	var state board.State
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	got := map[string]board.Result{}
	for _, r := range state.Results {
		got[r.Learner] = r
	}
	if r := got["Ada"]; !r.Marked || !r.Passed || r.Score != 100 {
		t.Errorf("by the wording that was shown: %+v", r)
	}
	if r, there := got["Ben"]; !there || r.Marked || r.Passed || r.Score != 0 {
		t.Errorf("of a wording that nobody knows: %+v", r)
	}
	if len(got) != 2 {
		t.Errorf("%+v", got)
	}
	kept, err := c.Store.Wordings(t.Context())
	if err != nil || len(kept) != len(c.Library.Quizzes)+1 {
		t.Errorf("%d wordings are kept (%v)", len(kept), err)
	}
}
