package sheet

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

func TestCodeLeadsToThePage(t *testing.T) {
	for address, want := range map[string]string{
		"https://shop.example":        "https://shop.example/procedure/out/steps-belt.html",
		"https://shop.example/train/": "https://shop.example/train/procedure/out/steps-belt.html",
	} {
		c, err := NewCode(&procedure.Library{Address: address}, "procedure/out/steps-belt.html", "The steps")
		assert.NilError(t, err)
		if c.Address != want || c.Says != "The steps" {
			t.Errorf("the words beside the code are %q, %q", c.Says, c.Address)
		}
		if got := pagetest.Scan(t, c.Path, c.Side); got != want {
			t.Errorf("the code reads %q, want %q", got, want)
		}
	}
}
