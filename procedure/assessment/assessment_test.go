package assessment

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/state/statetest"
)

// latest is when the tests take place.
var latest = Latest(time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC))

func workshop() *procedure.Library {
	return &procedure.Library{Procedures: []*procedure.Procedure{{ID: "out", Aims: []string{"Lift it", "Put it down"}}}}
}

// A line is what can be seen in a step; a danger and a hold point that somebody signs must be.
func TestLines(t *testing.T) {
	m := statetest.Machine("base frame\npart cover 3\nbolt 1 cover frame\nenergy off undo")
	p := statetest.Procedure(m, "off: establish off; verify off; hold\ncover: caution cover; remove 1, cover")
	var got []string
	for _, l := range Lines(analysis.NewJob(p.Jobs()[0])) {
		got = append(got, fmt.Sprint(l.ID, " ", l.Kind, " ", l.Must, " ", l.Evidence))
	}
	hold := p.Steps[0].Blocks[len(p.Steps[0].Blocks)-1].(*procedure.Hold)
	want := []string{fmt.Sprint("off.1 holds ", hold.Signature != "", " signature"), "cover.1 heeds " + fmt.Sprint(cautionOf(p.Steps[1]).Signal == procedure.Danger) + " "}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func cautionOf(s *procedure.Step) *procedure.Caution {
	for _, b := range s.Blocks {
		if w := b.Shows().Warning; w != nil {
			return w
		}
	}
	return nil
}

func TestRead(t *testing.T) {
	const good = `{"format":"matchmark assessment","version":1,"procedure":"out","way":"out","learner":" Ada  Berg","role":"does","attempt":1,"finished":"2026-03-02T09:00:00Z","aims":[{"number":1,"words":"Lift it","verdict":"alone"}],"lines":[{"line":"a.1","must":true,"seen":true}]}`
	for _, tt := range []struct{ name, file, data, want, fault string }{
		{"a file", "a.json", good, "Ada Berg does 1 reached=true", ""},
		{"a line missed", "a.json", strings.Replace(good, `"seen":true`, `"seen":false`, 1), "Ada Berg does 1 reached=false", ""},
		{"other words", "a.json", strings.Replace(good, "Lift it", "Sing", 1), "Ada Berg does 1 reached=false", ""},
		{"no learner", "a.json", strings.Replace(good, " Ada  Berg", " ", 1), "", "names no learner"},
		{"another procedure", "a.json", strings.Replace(good, `"procedure":"out"`, `"procedure":"in"`, 1), "", `no procedure "in"`},
		{"an aim that is not there", "a.json", strings.Replace(good, `"number":1`, `"number":3`, 1), "", "no aim 3"},
		{"a verdict that is none", "a.json", strings.Replace(good, "alone", "fine", 1), "", "no verdict"},
		{"a role that is none", "a.json", strings.Replace(good, "does", "sings", 1), "", "neither does nor checks"},
		{"a later version", "a.json", strings.Replace(good, `"version":1`, `"version":2`, 1), "", "version is 2"},
		{"no JSON", "a.json", "{", "", "no JSON"},
		{"a day that is still to come", "a.json", strings.Replace(good, "2026-03-02", "2026-03-12", 1), "", "its date, 2026-03-12, is still to come"},
		{"a clock that is ahead by hours", "a.json", strings.Replace(good, "2026-03-02T09", "2026-03-11T07", 1), "Ada Berg does 1 reached=true", ""},
		{"a table", "a.csv", "assessment out,date,must,1,2,role,attempt\nAda,2026-03-02,yes,a,n,checks,2\nBen,2026-03-02,no,allein,,,\n", "Ada checks 2 reached=true; Ben does 1 reached=false", ""},
		{"with semicolons", "a.csv", "\xef\xbb\xbfassessment out;date;must;1\nAda;2026-03-02;ja;mit Hilfe\n\n", "Ada does 1 reached=false", ""},
		{"a bad line leaves the others", "a.csv", "assessment out,date,must,1\nAda,yesterday,yes,a\nBen,2026-03-02,yes,a\n", "Ben does 1 reached=true", `2: the line cannot be used: "yesterday" is no day`},
		{"a table's day that is still to come", "a.csv", "assessment out,date,must,1\nAda,2062-03-02,yes,a\nBen,2026-03-02,yes,a\n", "Ben does 1 reached=true", "2: the line cannot be used: its date, 2062-03-02, is still to come"},
		{"must is open", "a.csv", "assessment out,date,must,1\nAda,2026-03-02,,a\n", "", "whether each line with Must was seen"},
		{"no column must", "a.csv", "assessment out,date,1\nAda,2026-03-02,a\n", "", "the column \"must\" is missing"},
		{"an unknown column", "a.csv", "assessment out,date,must,mood\n", "", "has no column \"mood\""},
		{"an aim beyond", "a.csv", "assessment out,date,must,3\nAda,2026-03-02,yes,a\n", "", "no aim 3"},
		{"too many cells", "a.csv", "assessment out,date,must\nAda,2026-03-02,yes,a\n", "", "it has 4 cells"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if strings.Contains(tt.data, "assessment") && !Is(tt.file, []byte(tt.data)) {
				t.Error("it does not count as an assessment")
			}
			all, faults := Read(workshop(), tt.file, []byte(tt.data), latest)
			var got []string
			for _, a := range all {
				got = append(got, fmt.Sprintf("%s %s %d reached=%v", a.Learner, a.Role, a.Attempt, a.Reached(1, "Lift it")))
			}
			if strings.Join(got, "; ") != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
			var told []string
			for _, f := range faults {
				told = append(told, fmt.Sprint(f.Place.Line, ": ", f.Wrong.String()))
			}
			if said := strings.Join(told, "\n"); !strings.Contains(said, tt.fault) || tt.fault == "" && said != "" {
				t.Errorf("told %q, want %q", said, tt.fault)
			}
		})
	}
	if Is("results.csv", []byte("mixer-quiz 3fa1,1,2\n")) || Is("record.json", []byte(`{"format":"matchmark job record"}`)) {
		t.Error("something else counts as an assessment")
	}
}

// Whatever a file holds, what is read of it can be used, and nothing panics.
func FuzzRead(f *testing.F) {
	f.Add("a.csv", []byte("assessment out,date,must,1,role\nAda,2026-03-02,yes,a,does\n"))
	f.Add("a.csv", []byte("assessment out;date;must;1\n\"Ada;2026-03-02;yes;a\n"))
	f.Add("a.json", []byte(`{"format":"matchmark assessment","version":1,"procedure":"out","way":"out","learner":"A","role":"does","attempt":1,"finished":"2026-03-02","aims":[],"lines":[]}`))
	f.Fuzz(func(t *testing.T, name string, data []byte) {
		all, faults := Read(workshop(), name, data, latest)
		for _, a := range all {
			if err := a.Check(workshop(), latest); err != nil || a.Learner == "" {
				t.Errorf("%+v: %v", a, err)
			}
		}
		for _, f := range faults {
			if f.Wrong.String() == "" || f.Advice.String() == "" {
				t.Errorf("%+v says nothing", f)
			}
		}
	})
}
