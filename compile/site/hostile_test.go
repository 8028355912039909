package site

import (
	"testing"

	"matchmark/compile/page"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

func TestHostileStringsStayText(t *testing.T) {
	pagetest.Hostile(t, []any{page.Plain, page.Quiet, page.Active, page.Kept, procedure.Remove, procedure.Keep}, startPage, lettersPage, coursePage, machinePage, overviewPage, stepsPage, glossaryPage)
}
