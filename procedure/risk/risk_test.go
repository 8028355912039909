package risk

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/state/statetest"
)

// guarded is a job on a machine with one source of energy, a sharp cover and a load.
func guarded() *analysis.Job {
	m := statetest.Machine("base frame\npart cover 3\npart gearbox 64 under=cover\nbolt 1 cover frame\nbolt 2 gearbox frame\nhoist crane 250\nenergy off undo\nenergy steam undo\ncondition barred undo")
	m.Thing("cover").Part.Hazard = "sharp"
	m.Energies = []*procedure.EnergySource{{Row: statetest.Row("mains", "mains"), Kind: "electric", Where: "main switch", Isolated: statetest.Refs("off"), Proved: statetest.Refs("off")}}
	m.Conditions[2].Zone = true
	m.Tools = []*procedure.Tool{{Row: statetest.Row("gloves", "Cut-resistant gloves"), Kind: procedure.Protection}, {Row: statetest.Row("helmet", "Helmet"), Kind: procedure.Protection}}
	m.Index()
	p := statetest.Procedure(m, strings.Join([]string{
		"off: establish off; verify off; hold; stop",
		"cover: remove 1, cover",
		"bar: establish barred; caution gearbox; hold",
		"lift: lift gearbox with crane; remove 2",
	}, "\n"))
	p.Steps[1].Tools = statetest.Refs("gloves", "helmet")
	p.Steps[3].Tools = statetest.Refs("helmet")
	return analysis.NewJob(p.Jobs()[0])
}

// What a step can do is what its acts touch and lift, and what is done about it is what the step itself says.
func TestRisksOfSteps(t *testing.T) {
	var got []string
	for _, r := range Of(guarded()) {
		var worn, gear, barred []string
		for _, x := range r.Done.Worn {
			worn = append(worn, x.ID)
		}
		for _, x := range r.Done.Gear {
			gear = append(gear, x.ID)
		}
		for _, x := range r.Done.Barred {
			barred = append(barred, x.ID)
		}
		got = append(got, fmt.Sprintf("%s: %s %q load=%v worn=%v gear=%v barred=%v warned=%d hold=%v", r.Step.ID, r.Row.ID, r.Words, r.Lift != nil, worn, gear, barred, len(r.Done.Warned), r.Done.Hold != nil))
	}
	want := []string{
		`cover: cover "sharp" load=false worn=[gloves] gear=[] barred=[] warned=0 hold=true`,
		`cover: cover "" load=true worn=[gloves] gear=[] barred=[] warned=0 hold=true`,
		`lift: gearbox "" load=true worn=[helmet] gear=[crane] barred=[barred] warned=0 hold=true`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
}

func TestSources(t *testing.T) {
	job := guarded()
	sources := Sources(job)
	if len(sources) != 1 || sources[0].Open() || len(sources[0].Kept) != 1 {
		t.Fatalf("%+v", sources)
	}
	k := sources[0].Kept[0]
	if !slices.Equal(k.Made, []int{1}) || !slices.Equal(k.Proved, []int{1}) || len(k.Ended) != 0 || k.AtStart || !slices.Equal(k.Again, []int{2}) {
		t.Errorf("%+v", k)
	}
	if unnamed := Unnamed(job); len(unnamed) != 1 || unnamed[0].ID != "steam" || len(unnamed[0].Made) != 0 {
		t.Errorf("%+v", unnamed)
	}
	job.Machine.Energies[0].Isolated = statetest.Refs("steam")
	job.Machine.Energies[0].Proved = nil
	if s := Sources(job); !s[0].Open() {
		t.Error("a source that nothing keeps away does not say so")
	}
}

// A valve is proved shut by its bleed alone, before the work and after a stop.
func TestProvedByAnother(t *testing.T) {
	m := statetest.Machine("base frame\npart cover 3\nbolt 1 cover frame\nenergy shut undo\nenergy bled undo needs=shut")
	m.Conditions[0].ProvedBy = statetest.Refs("bled")
	m.Energies = []*procedure.EnergySource{{Row: statetest.Row("air", "compressed air"), Kind: "pressure", Isolated: statetest.Refs("shut"), Proved: statetest.Refs("shut")}}
	p := statetest.Procedure(m, "off: establish shut; establish bled; verify bled; stop\ncover: remove 1, cover")
	sources := Sources(analysis.NewJob(p.Jobs()[0]))
	if k := sources[0].Kept[0]; !slices.Equal(k.Proved, []int{1}) || !slices.Equal(k.Again, []int{2}) {
		t.Errorf("%+v", k)
	}
}

func TestNothingDone(t *testing.T) {
	m := Measures{}
	if !m.None() {
		t.Error("nothing is something")
	}
	m.Hold = &procedure.Hold{}
	if m.None() {
		t.Error("a hold point is nothing")
	}
}
