package source

import "testing"

// Values are printed from their rows, torques in both units.
//
// Source: 1 lbf·ft = 1.3558179483314004 N·m, NIST SP 811, appendix B.8.
func TestValueReferences(t *testing.T) {
	machine := machineHead + `::: register parts
| id | name | mass |
|---|---|---|
| gearbox | Gearbox | 64 kg |
:::

::: register fasteners
| no | name | kind | torque | count | joins |
|---|---|---|---|---|---|
| 17 | Foot bolt | bolt | 80 N·m | 2 | gearbox |
| 18 | Cap bolt | bolt | 100 lbf·ft | 1 | gearbox |
:::
`
	lib, log := readFiles(t, map[string]string{"job.md": procedureHead + "## Look {#look}\n{time=6}\n\n`17.torque`, `18.torque`, `17.count`, `17.joins`, `gearbox.mass`, `gearbox.name`, `config.yaml`, `17.bag`\n", "mixer.md": machine})
	p := lib.Resolve(log).Procedures[0]
	want := "80 N·m (59 lbf·ft), 100 lbf·ft (136 N·m), 2, Gearbox, 64 kg, Gearbox, config.yaml, 17.bag"
	if got := p.Steps[0].Blocks[0].Shows().Text.Plain(); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
