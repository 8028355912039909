package collect

import (
	"fmt"
	"strings"
	"testing"
)

func TestEstimates(t *testing.T) {
	const head = "mixer-quiz,why,signs,lock,oil,sort,bolt\n"
	for _, tt := range []struct{ name, table, want string }{
		{"numbers in any order and form", "mixer-quiz;6;5;4;3;2;1\nAda;10;20;30,5;40 %;50%;100\n", "Ada [1 0.5 0.4 0.305 0.2 0.1]\n"},
		{"what is no percentage", head + "Ada,101,-1,,abc,0.5,50\nBen,0,0,0,0,0,0\n", "Ben [0 0 0 0 0 0]\n2:5 2:9 2:12 2:13 2:17\n"},
		{"no name, and one twice", head + ",1,1,1,1,1,1\nAda,1,1,1,1,1,1\nada,2,2,2,2,2,2\nBen,1,1,1,1,1,1,1\n", "Ada [0.01 0.01 0.01 0.01 0.01 0.01]\n2:1 4:1 5:17\n"},
		{"of another wording", "mixer-quiz 0123456789ab,why\nAda,1\n", "1:1\n"},
		{"of another quiz", "oven-quiz,why\nAda,1\n", "1:1\n"},
		{"nobody", head, "1:1\n"},
		{"nothing", "", "1:1\n"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			judges, faults := Estimates(sample(), []File{{"a.csv", []byte(tt.table)}})
			got := ""
			for _, j := range judges {
				got += fmt.Sprintln(j.Name, j.Shares)
			}
			var places []string
			for _, f := range faults {
				places = append(places, fmt.Sprintf("%d:%d", f.Place.Line, f.Place.Column))
			}
			if len(places) > 0 {
				got += strings.Join(places, " ") + "\n"
			}
			if got != tt.want {
				t.Errorf("got\n%swant\n%s", got, tt.want)
			}
		})
	}
}

// Whatever a table holds, nothing panics, shares are shares, and nothing is passed over in silence.
func FuzzEstimates(f *testing.F) {
	f.Add([]byte("mixer-quiz,why,signs,lock,oil,sort,bolt\nAda,10,20,30,40,50,100\n"))
	f.Add([]byte("mixer-quiz 0123;1;2;3;4;5;6\r\n\"Ada\";1,5;;;;;\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		judges, faults := Estimates(sample(), []File{{"x.csv", data}})
		for _, j := range judges {
			for _, share := range j.Shares {
				if !(share >= 0 && share <= 1) || j.Name == "" {
					t.Errorf("%+v", j)
				}
			}
		}
		if len(judges) == 0 && len(faults) == 0 {
			t.Errorf("%q was passed over in silence", data)
		}
	})
}
