package source

import (
	"strings"
	"testing"

	"matchmark/procedure"
)

// A step that is a heading says what a step that is a block says.
func TestHeadedSteps(t *testing.T) {
	old := procedureHead + `Two people.

::: step hood-off "Take the rear hood off" {time=6/8/12 people=2 tools="ratchet, socket-13, gloves" needs=dead figure=over}
::: caution caution {about=hood}
Sharp.
:::
Undo the screws.

::: fasteners {figure=over}
- remove 1
:::
::: actions {reach="45 cm" from="95 cm"}
- remove hood
- clean hood
:::
::: tip
A tray.
:::
:::

::: step guard "Guard" {time=3}
Lift it.
:::
`
	light := procedureHead + `Two people.

## Take the rear hood off {#hood-off}

{time=6/8/12 people=2 tools="ratchet, socket-13, gloves"
needs=dead figure=over}

::: caution caution {about=hood}
Sharp.
:::
Undo the screws.

- [ ] remove 1
- [ ] remove hood {reach="45 cm" from="95 cm"}
- [ ] clean hood

::: tip
A tray.
:::

## Guard {#guard}
{time=3}
Lift it.
`
	a, _ := readProcedure(t, old)
	b, all := readProcedure(t, light)
	for _, d := range all {
		if d.Code != "undefined-name" {
			t.Fatal(printed(all))
		}
	}
	if len(a.Steps) != 2 || len(b.Steps) != 2 {
		t.Fatalf("%d and %d steps", len(a.Steps), len(b.Steps))
	}
	for i := range a.Steps {
		if x, y := procedure.Fingerprint(a.Steps[i]), procedure.Fingerprint(b.Steps[i]); x != y {
			t.Errorf("step %d\n%s\n%s", i, x, y)
		}
	}
	if procedure.Fingerprint(a) != procedure.Fingerprint(b) {
		t.Error("the introductions differ")
	}
	act := b.Steps[0].Actions()[1]
	if got := act.Span.At(); act.Span.Text() != "remove hood" || got.Column != 7 || got.Line != strings.Count(light[:strings.Index(light, "- [ ] remove hood")], "\n")+1 {
		t.Errorf("an act stands at %v: %q", got, act.Span.Text())
	}
	if s := b.Steps[0].Span; s.Text() != "## Take the rear hood off {#hood-off}" {
		t.Errorf("a step stands at %q", s.Text())
	}
}
