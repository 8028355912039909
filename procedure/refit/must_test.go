package refit

import (
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/prose"
	"matchmark/procedure/state/statetest"
)

// What must be kept to goes along with what its step acts on; not so what holds for taking out, or of a step that nothing turns round.
func TestMustsGoAlong(t *testing.T) {
	p := statetest.Procedure(statetest.Machine("base frame\npart hood 12\nbolt 1 hood frame"), "look: inspect hood\nhood: remove 1; remove hood")
	must := func(words string, outOnly bool) procedure.Block {
		return &procedure.Must{Prose: procedure.Prose{Nodes: []prose.Node{{Kind: prose.Line, Inside: 1}, {Kind: prose.Text, Text: words}}}, OutOnly: outOnly}
	}
	p.Step("look").Blocks = append(p.Step("look").Blocks, must("of the look", false))
	p.Step("hood").Blocks = append(p.Step("hood").Blocks, must("never over 120 °C", false), must("no lever", true))
	var got []string
	for _, s := range Derive(p, Additions{}, func(key string, _ ...any) string { return key }).Steps {
		for _, b := range s.Blocks {
			if m := b.Shows().Must; m != nil {
				got = append(got, s.ID+": "+m.Plain())
			}
		}
	}
	if all := strings.Join(got, ", "); all != "hood-back: never over 120 °C" {
		t.Errorf("on the way back must be kept to: %s", all)
	}
}
