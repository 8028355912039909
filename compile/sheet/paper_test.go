package sheet

import (
	"slices"
	"strings"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/state/statetest"
)

// A library makes the papers that its settings name, and only a refitting brings a machine back to service.
func TestPapersAreMadeWhereTheyAreAskedFor(t *testing.T) {
	lib := refitting()
	lib.Papers = []procedure.Paper{procedure.IsolationPaper, procedure.ReleasePaper}
	var papers []string
	for at := range emit(t, lib) {
		for _, k := range []Kind{Risk, Isolation, Assessment, Release} {
			if strings.HasSuffix(at, "/"+string(k)+".html") {
				papers = append(papers, at)
			}
		}
	}
	slices.Sort(papers)
	if want := []string{"procedure/out-back/isolation.html", "procedure/out-back/release.html", "procedure/out/isolation.html"}; !slices.Equal(papers, want) {
		t.Errorf("made are %q", papers)
	}
}

// What keeps energy away and goes with a fastener ends too, in its place among what acts undo.
func TestReleaseListsWhatEndsWithAFastener(t *testing.T) {
	lib := refitting()
	lib.Papers = []procedure.Paper{procedure.ReleasePaper}
	m, out := lib.Machines[0], lib.Procedures[0]
	m.Conditions = append(m.Conditions, &procedure.Condition{Row: row("vented", "pipe vented"), Energy: true, By: []procedure.Ref{ref("3")}, Undo: "shut the bleed"})
	m.Energies = []*procedure.EnergySource{{Row: row("air", "air"), Kind: "pressure", Isolated: []procedure.Ref{ref("vented")}}}
	m.Index()
	out.Steps[0].Blocks = append(out.Steps[0].Blocks, actions(procedure.Loosen, "3"), actions(procedure.Establish, "vented"))
	p := pagetest.Page(t, emit(t, lib), "procedure/out-back/release.html")
	var freed []string
	for _, row := range p.Texts(".paper tr") {
		if strings.HasPrefix(row, "pipe vented") || strings.HasPrefix(row, "zone barred off") {
			freed = append(freed, row)
		}
	}
	if want := []string{"pipe vented shut the bleed step 2", "zone barred off take the barrier away step 3"}; !slices.Equal(freed, want) {
		t.Errorf("it lists %q, want %q", freed, want)
	}
}

// What the model does not know is a gap or room to write, and what a row rates is rated by the library's matrix.
func TestRiskAssessment(t *testing.T) {
	lib := library()
	lib.Papers = []procedure.Paper{procedure.RiskPaper}
	lib.Matrix = procedure.RiskMatrix{Harms: []string{"first aid", "lost days"}, Chances: []string{"unlikely", "likely"}, Levels: [][]string{{"low", "low"}, {"low", "high"}}}
	m := lib.Machines[0]
	m.Thing("oil").Fluid.Hazard, m.Thing("oil").Fluid.Risk = "hot", "Likely, lost days"
	m.Energies = []*procedure.EnergySource{{Row: statetest.Row("mains", "mains"), Kind: "electric", Where: "main switch"}}
	p := pagetest.Page(t, emit(t, lib), "procedure/out/risk-belt.html")
	pagetest.Expect(t, p, map[string][]string{
		".paper h2":            {"Energy, for the whole job", "Step by step", "How it is rated", "Signed"},
		".paper .of-step th":   {"1. Drain the oil", "3. Lift it out"},
		".paper td.gap":        {"Isolated at: main switch Nothing in this job keeps it away. What is done:"},
		".paper td:last-child": {"", "high lost days · likely", "", "low", "high"},
	})
}

func TestAssessmentAsksForWhatCanBeSeen(t *testing.T) {
	lib := library()
	lib.Papers = []procedure.Paper{procedure.AssessmentPaper}
	p := pagetest.Page(t, emit(t, lib), "procedure/out/assessment-belt.html")
	pagetest.Expect(t, p, map[string][]string{
		".paper td.thing": {"Must: Heeds the Danger: The oil is hot.", "Must: Keeps the hold point: Before the lift"},
	})
}
