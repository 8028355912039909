package host

import (
	"net/http"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/store"
	"matchmark/compile/pagetest"
)

// What the host draws on sheets, and on the page by which a tablet comes to trust it, leads back to the host, as a camera reads it.
func TestCodesLeadBack(t *testing.T) {
	c := newClass(t, store.Options{})
	for _, page := range []string{"procedure/oven-fan-out/steps.html", "procedure/oven-fan-out/"} {
		var code pageCode
		c.want(http.StatusOK, &code, "GET", "/class/code/"+page, nil, "Host", "192.168.4.20:8080")
		if want := "https://192.168.4.20:8080/" + page; code.Link != want || pagetest.Scan(t, code.Path, code.Side) != want {
			t.Errorf("%s: %q, drawn %q", page, code.Link, pagetest.Scan(t, code.Path, code.Side))
		}
	}
	refused(t, c.want(http.StatusNotFound, nil, "GET", "/class/code/procedure/nothing.html", nil))

	trust := pagetest.Parse(t, c.want(http.StatusOK, nil, "GET", "/trust/", nil).Body.Bytes())
	drawn := trust.All(".page-code svg")
	if len(drawn) != 1 {
		t.Fatalf("%d codes on the page of trust", len(drawn))
	}
	path, box := drawn[0].All("path")[0].Attributes["d"], strings.Fields(drawn[0].Attributes["viewbox"]+drawn[0].Attributes["viewBox"])
	side, err := strconv.Atoi(box[len(box)-1])
	assert.NilError(t, err)
	if got, want := pagetest.Scan(t, path, side), trust.All(".page-code code")[0].Text(); got != want || !strings.HasSuffix(want, "/trust/") {
		t.Errorf("the code of trust reads %q, beside it stands %q", got, want)
	}
}
