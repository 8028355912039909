//go:build browser

package browsertest

import (
	"path"
	"testing"

	"gotest.tools/v3/assert"
)

// kinds are the kinds of pages of a site, as patterns of package path.
var kinds = []struct {
	pattern string
	sheet   bool // made for paper
}{
	{"index.html", false},
	{"glossary.html", false},
	{"course/*.html", false},
	{"machine/*.html", false},
	{"procedure/*/index.html", false},
	{"procedure/*/steps*.html", false},
	{"procedure/*/checklist*.html", true},
	{"procedure/*/whole*.html", true},
	{"procedure/*/tools*.html", true},
	{"procedure/*/labels*.html", true},
	{"procedure/*/torque*.html", true},
	{"procedure/*/lift*.html", true},
	{"procedure/*/risk*.html", true},
	{"procedure/*/isolation*.html", true},
	{"procedure/*/assessment*.html", true},
	{"procedure/*/release*.html", true},
	{"procedure/*/deck*.html", true},
	{"procedure/*/feedback*.html", true},
	{"procedure/*/follow-up*.html", true},
	{"course/*/class.html", true},
	{"course/*/order.html", true},
	{"course/*/lesson.html", true},
	{"course/*/attendance.html", true},
	{"procedure/*/times*.html", false},
	{"course/*/plan.html", false},
	{"course/*/session-*.html", true},
	{"course/*/proposed-session-*.html", true},
	{"quiz/*/index.html", false},
	{"quiz/*/form*.html", true},
	{"quiz/*/answers*.html", true},
	{"quiz/*/key.html", true},
	{"reference/language.html", false},
	{"reference/messages.html", false},
	{"reference/*.html", false}, // the guide
}

// isScreen reports whether a page is made for the screen.
func (s *site) isScreen(page string) bool {
	for _, kind := range kinds {
		if ok, _ := path.Match(kind.pattern, page); ok {
			return !kind.sheet
		}
	}
	return true
}

// oneOfEachKind returns the first page of each kind. A page of no kind is a fault
// of this list, which would leave it unseen.
func (s *site) oneOfEachKind(t *testing.T) []string {
	t.Helper()
	for _, page := range s.pages {
		known := false
		for _, kind := range kinds {
			ok, err := path.Match(kind.pattern, page)
			assert.NilError(t, err)
			known = known || ok
		}
		if !known {
			t.Errorf("page %s is of no known kind", page)
		}
	}
	var pages []string
	for _, kind := range kinds {
		if page := s.first(kind.pattern); page == "" {
			t.Errorf("the demo has no page %s", kind.pattern)
		} else {
			pages = append(pages, page)
		}
	}
	return pages
}
