package refit

import (
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/state/statetest"
)

// The way back follows what was found: what is only taken out for one answer is only fitted for it, and a step that the author
// writes for it is there on that way alone.
func TestWayBackFollowsTheAnswer(t *testing.T) {
	p := statetest.Procedure(statetest.Machine(`
base frame
part hood 12
part ring 1
bolt 1 hood frame
bolt 2 ring frame
`), strings.Join([]string{"hood: remove 1; remove hood", "ask: inspect ring", "ring: remove 2; remove ring"}, "\n"))
	p.Step("ask").Blocks = append(p.Step("ask").Blocks, &procedure.Decision{Name: "worn"})
	p.Step("ring").If = "worn"
	add := Additions{Steps: []*procedure.Step{
		{ID: "ring-back", Title: "New ring", Blocks: p.Step("ring").Blocks},
		{ID: "look", Title: "Look", After: statetest.Refs("ring-back"), Blocks: p.Step("ask").Blocks},
	}}
	back := Derive(p, add, func(key string, _ ...any) string { return key })
	got := map[string]procedure.When{}
	var order []string
	for _, s := range back.Steps {
		got[s.ID] = s.If
		order = append(order, s.ID)
	}
	want := map[string]procedure.When{"ring-back": "worn", "look": "", "hood-back": ""}
	for id, c := range want {
		if is, there := got[id]; !there || is != c {
			t.Errorf("step %s is done if %q (%v), want %q", id, is, there, c)
		}
	}
	if len(back.Steps) != len(want) || slices.Index(order, "ring-back") > slices.Index(order, "look") {
		t.Errorf("the way back is %v", order)
	}
}

// Two ways of doing one thing lead to one step of the way back; what only differs in how it came off goes back once.
func TestTwoWaysOut(t *testing.T) {
	p := statetest.Procedure(statetest.Machine(`
base frame
part hub 3
nut 1 hub frame
`), "ask: inspect hub\npull: remove 1; remove hub\nslide: remove 1; remove hub")
	p.Step("ask").Blocks = append(p.Step("ask").Blocks, &procedure.Decision{Name: "stuck"})
	p.Step("pull").If, p.Step("slide").If = "stuck", "not stuck"
	back := Derive(p, Additions{}, func(key string, _ ...any) string { return key })
	for _, answers := range []map[string]bool{{"stuck": true}, {"stuck": false}} {
		var fits int
		for _, s := range back.Steps {
			if s.If.Fails(answers) {
				continue
			}
			for _, a := range s.Actions() {
				if a.Verb == procedure.Fit && a.Object.ID == "hub" {
					fits++
				}
			}
		}
		if fits != 1 {
			t.Errorf("%v: the hub is fitted %d times", answers, fits)
		}
	}
}
