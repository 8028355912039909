package building

import (
	"encoding/json"
	"testing"

	"github.com/a-h/templ"
	"gotest.tools/v3/assert"

	"matchmark/compile/page"
	"matchmark/compile/pagetest"
)

func TestHostileStringsStayText(t *testing.T) {
	arrive := func(s page.Shell, parcel string) templ.Component {
		data, err := json.Marshal(parcel)
		assert.NilError(t, err)
		return arrivePage(s, data)
	}
	pagetest.Hostile(t, nil, missingPage, trainerPage, openlyPage, keysPage, assessmentsPage, arrive, trustPage, boardPage, overviewPage, accountsPage)
}
