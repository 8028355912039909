package sheet

import (
	"slices"
	"strings"
	"testing"

	"matchmark/compile/pagetest"
)

// The whole job lists what there is to print of the removal and of its refitting, each in the order in which it is needed.
func TestWholeJob(t *testing.T) {
	page := pagetest.Page(t, emit(t, refitting()), "procedure/out/whole.html")
	ways := page.All(".whole-way")
	var links [][]string
	for _, way := range ways {
		var to []string
		for _, a := range way.All("a") {
			to = append(to, a.Attributes["href"])
		}
		links = append(links, to)
	}
	if len(links) != 2 ||
		!slices.Equal(links[0], []string{"index.html", "checklist.html", "tools.html", "labels.html", "times.html", "steps.html"}) ||
		!slices.Equal(links[1], []string{"../../procedure/out-back/index.html", "../../procedure/out-back/checklist.html", "../../procedure/out-back/tools.html", "../../procedure/out-back/torque.html", "../../procedure/out-back/times.html", "../../procedure/out-back/steps.html"}) {
		t.Errorf("sheets %q", links)
	}
	if part := page.All(".whole-way a")[0].Attributes["data-part"]; part != "job--plan" {
		t.Errorf("of the overview, %q is taken", part)
	}
	// A page may open frames only where sheets are set together.
	for at, want := range map[string]bool{"procedure/out/whole.html": true, "procedure/out/checklist.html": false} {
		policy := pagetest.Page(t, emit(t, refitting()), at).All("meta[http-equiv]")[0].Attributes["content"]
		if got := strings.Contains(policy, "frame-src"); got != want {
			t.Errorf("%s: policy %q", at, policy)
		}
	}
}
