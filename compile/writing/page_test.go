package writing

import (
	"io/fs"
	"net/http"
	"net/http/httptest"
	"testing"

	"gotest.tools/v3/assert"
)

// TestPageKeepsItsSize weighs the page to write in, as it is before its script shows anything, and its styles. What its script
// may weigh stands with the tests in a browser, which make it anew.
func TestPageKeepsItsSize(t *testing.T) {
	x := newTrial(t)
	code, page := x.send(httptest.NewRequest(http.MethodGet, Path, nil))
	assert.Equal(t, code, http.StatusOK)
	styles, err := fs.ReadFile(x.theme.Assets(), "preview.write.css")
	assert.NilError(t, err)
	for what, weight := range map[string]struct{ is, most int }{"page": {len(page), 16_000}, "styles": {len(styles), 12_000}} {
		t.Logf("%s: %d bytes", what, weight.is)
		if weight.is > weight.most {
			t.Errorf("the %s has %d bytes, at most %d are allowed", what, weight.is, weight.most)
		}
	}
}

// TestPagesOfAFile says which pages of the site stand beside a text.
func TestPagesOfAFile(t *testing.T) {
	x := newTrial(t)
	for name, want := range map[string]views{
		job:                       {"procedure/drill-belt-off/steps.html", "procedure/drill-belt-off/index.html", "procedure/drill-belt-off/lift.html"},
		"machines/bench-drill.md": {Page: "machine/bench-drill.html"},
		"quizzes/drill-quiz.md":   {Page: "quiz/drill-quiz/index.html"},
		"courses/first-course.md": {Page: "course/first-course.html"},
		"refits/drill-belt-on.md": {Page: "index.html"},
	} {
		assert.Equal(t, ask[opened](x, "open", asked{File: name}).Views, want, name)
	}
}
