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
