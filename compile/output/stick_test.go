package output

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/held/heldtest"
)

// On a file system that has neither hard links nor modes, a site is written as on any other, and the second time over the first.
func TestSiteOnAStick(t *testing.T) {
	dir := firstSite(t)
	want := read(t, dir)
	heldtest.Without(t)
	build := mustBegin(t, dir)
	for name, content := range want {
		if name != Marker {
			write(t, build, map[string]string{name: content})
		}
	}
	write(t, build, map[string]string{"new.html": "new"})
	assert.NilError(t, build.Commit())
	want["new.html"] = "new"
	delete(want, Marker)
	wantSite(t, dir, want)
}
