package source

import (
	"fmt"
	"strings"
	"testing"
)

// Each closing line of a procedure is left out in turn, and a fault is planted in its last
// step: the block that is not closed is one message, and the other fault is told all the same.
func TestEachMissingClosingLine(t *testing.T) {
	const src = procedureHead + `::: step look "Look" {time=1}
::: caution warning {about=1}
It is hot.
:::
Look at it.
::: key-point "Do not touch it"
It is hot.
:::
::: variant belt
::: tip
Use a torch.
:::
:::
::: fasteners {figure=front}
- remove 1
:::
::: hold "Before the lift"
- The floor is clear
:::
:::

::: step feel "Feel" {time=1}
Feel it.
::: actions
- remove guard
:::
:::

::: step smell "Smell" {tmie=1}
Smell it.
:::
`
	lines := strings.Split(src, "\n")
	left := 0
	for i, line := range lines[:len(lines)-5] {
		if line != ":::" {
			continue
		}
		left++
		_, log := readFiles(t, map[string]string{"job.md": strings.Join(append(lines[:i:i], lines[i+1:]...), "\n")})
		count := map[string]int{}
		for _, d := range log.Sorted() {
			count[string(d.Code)]++
		}
		if got := fmt.Sprint(count); got != "map[missing-attribute:1 unclosed-block:1 unknown-attribute:1]" {
			t.Errorf("without line %d: %s", i+1, got)
		}
	}
	if left != 9 {
		t.Errorf("%d closing lines were left out", left)
	}
}
