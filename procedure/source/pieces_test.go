package source

import (
	"strings"
	"testing"

	"matchmark/procedure"
)

// A step of the way back that is one list says what it says in blocks.
func TestStepAsOneList(t *testing.T) {
	const blocks = `## Put the foot on {#foot-off-back}
{time=2}

::: caution danger {about="4, 5"}
It tips: stand aside.
:::

Hold the foot.

- [ ] fit 4: finger-tight

Turn it in.

It runs by hand.

- [ ] fit 5
- [ ] clean foot
- [ ] must: Never strike it.

::: inspect {of=foot}
- Seat: at most 0.1 mm

:::

::: variant belt
Lay the belts on.

- [ ] connect belts

:::

> **By hand**
> A spanner cuts the thread.

::: hold "Before the lift" {signature=trainer}
- The floor is clear
- Nobody stands under it

:::
`
	const list = `## Put the foot on {#foot-off-back}
{time=2}
- caution danger {about="4, 5"}: It tips: stand aside.
- Hold the foot.
- [ ] fit 4: finger-tight
- Turn it in.
- It runs by hand.
- [ ] fit 5
- [ ] clean foot
- [ ] must: Never strike it.
- inspect {of=foot}:
  - Seat: at most 0.1 mm
- variant belt:
  - Lay the belts on.
  - [ ] connect belts
- **By hand** A spanner cuts the thread.
- hold "Before the lift" {signature=trainer}:
  - The floor is clear
  - Nobody stands under it
`
	want, got := wayBackStep(t, blocks), wayBackStep(t, list)
	if procedure.Fingerprint(want) != procedure.Fingerprint(got) {
		t.Errorf("as a list the step is\n%s\nwant\n%s", procedure.Fingerprint(got), procedure.Fingerprint(want))
	}
	if n := len(got.Blocks); n != len(want.Blocks) || n < 9 {
		t.Errorf("the list has %d blocks, want %d", n, len(want.Blocks))
	}
	// Blank lines between items change nothing.
	if loose := wayBackStep(t, strings.ReplaceAll(list, "\n- ", "\n\n- ")); procedure.Fingerprint(loose) != procedure.Fingerprint(want) {
		t.Errorf("with blank lines the step is\n%s", procedure.Fingerprint(loose))
	}
}

// What is likely meant as a block and is none is told, and so is "differs" where there is nothing to differ from.
func TestStepAsOneListSlips(t *testing.T) {
	for _, c := range []struct{ step, want string }{
		{"## Foot {#foot-off-back}\n- [ ] fit 4\n- hold \"Stop\" {signature=trainer}\n", "has no colon"},
		{"## Foot {#foot-off-back}\n- [ ] fit 4\n- cauton danger: It tips.\n", "no block kind"},
		{"## Foot {#foot-off-back}\n- caution peril: It tips.\n- [ ] fit 4\n", "peril"},
		{"## Foot {#foot-off-back}\n- hold \"Stop\": The floor is clear\n- [ ] fit 4\n", "a list and nothing else"},
		{"## Foot {#foot-off-back}\n{differs=yes}\n- tip: Look.\n", "takes no value"},
		{"## {#other}\n{time=2}\n- tip: Look.\n", "no title"},
		{"## Foot {#foot-off-back}\n- [ ] fit 4\n- fit 5\n", "no box"},
	} {
		_, log := readFiles(t, map[string]string{"mixer.md": machineHead, "round.md": waysBackJob, "back.md": "---\nkind: refit\nprocedure: round\n---\n" + c.step})
		if all := printed(log.Sorted()); !strings.Contains(all, c.want) {
			t.Errorf("%q: the messages are\n%s\nwant %q", c.step, all, c.want)
		}
	}
	_, log := readFiles(t, map[string]string{"mixer.md": machineHead, "round.md": "---\nkind: procedure\nid: round\ntitle: Round\nmachine: mixer\nedition: \"1\"\n---\n## Foot {#foot}\n{time=2 differs}\nLook.\n"})
	if all := printed(log.Sorted()); !strings.Contains(all, `"differs" does nothing here`) {
		t.Errorf("in a procedure, the messages are\n%s", all)
	}
}

// wayBackStep reads a refit file with one step.
func wayBackStep(t *testing.T, step string) *procedure.Step {
	t.Helper()
	lib, log := readFiles(t, map[string]string{"mixer.md": machineHead, "round.md": waysBackJob, "back.md": "---\nkind: refit\nprocedure: round\n---\n" + step})
	p := lib.Resolve(log).Procedures[0]
	if all := log.Sorted(); len(all) > 0 {
		t.Fatal(printed(all))
	}
	return p.RefitFile.Steps[0]
}
