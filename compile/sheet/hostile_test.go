package sheet

import (
	"testing"

	"github.com/a-h/templ"

	"matchmark/compile/page"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

func TestHostileStringsStayText(t *testing.T) {
	lift := func(v liftView, c page.Caution) templ.Component {
		v.Caution = c // every lift sheet has one
		return liftPage(v)
	}
	pagetest.Hostile(t, []any{page.Plain, page.Quiet, page.Active, page.Kept, procedure.Remove, procedure.Keep}, checklistPage, loneChecklist, labelsPage, lift, toolsPage, torquePage, wholePage, paperPage, deckPages)
}
