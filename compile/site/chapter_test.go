package site

import (
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

// A chapter begins with its title and its cautions, which stand once on the page; trades stand at their steps and acts.
func TestChaptersAndTrades(t *testing.T) {
	lib := library()
	lib.Trades = []procedure.Trade{{ID: "slinger", Name: "Slinger with ticket"}}
	steps := lib.Procedures[0].Steps
	standing := []*procedure.Caution{{Signal: procedure.WarningWord, Standing: true, Prose: procedure.Words(steps[0].Span, "Keep clear of the chains.")}}
	for i, s := range steps {
		s.Chapter = "Out of the machine"
		s.Stand(standing, i == 0)
	}
	last := steps[len(steps)-1]
	last.Chapter, last.Who = "On the pallet", []procedure.Ref{ref("slinger")}
	files := emitAll(t, lib)
	page := pagetest.Page(t, files, "procedure/out/steps-belt.html")
	assert.Equal(t, len(page.All(".signal.standing")), 2) // one for each chapter
	var begins []string
	for _, e := range page.All("article[data-chapter]") {
		begins = append(begins, e.Attributes["data-chapter"])
	}
	assert.DeepEqual(t, begins, []string{"Out of the machine", "On the pallet"})
	if who := page.All("article[data-who]"); len(who) != 1 || who[0].Attributes["data-who"] != "Slinger with ticket" || !strings.Contains(who[0].Text(), "Slinger with ticket") {
		t.Errorf("%d steps say who does them", len(who))
	}
	overview := pagetest.Page(t, files, "procedure/out/index.html")
	for _, want := range []string{"Out of the machine", "On the pallet", "Slinger with ticket"} {
		if !strings.Contains(overview.Text(), want) {
			t.Errorf("the overview does not say %q", want)
		}
	}
}
