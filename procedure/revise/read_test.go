package revise

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"matchmark/procedure/diagnostic"
)

func TestReadCSV(t *testing.T) {
	want := []Record{
		{Step: "hub-off", Minutes: 9.5, Procedure: "out", Variant: "belt", Repetition: 1, Line: 2},
		{Step: "hub-off", Minutes: 41, Repetition: 2, Interrupted: true, Line: 4},
	}
	for name, table := range map[string]string{
		"plain":         "step,minutes,procedure,variant,repetition,interrupted,note\nhub-off,9.5,out,belt,1,,\n\nhub-off,41,,,2,yes,\"lunch, long\"\n",
		"other order":   "Minutes , STEP,repetition,interrupted,variant,procedure\n9.5,hub-off,1,no,belt,out\n\n41,hub-off,2,YES\n",
		"CRLF and BOM":  "\ufeffstep,minutes,procedure,variant,repetition,interrupted\r\nhub-off,9.5,out,belt,1,\r\n\r\nhub-off,41,,,2,yes\r\n",
		"semicolons":    "step;minutes;procedure;variant;repetition;interrupted\nhub-off;9,5;out;belt;1;\n\nhub-off;41;;;2;yes",
		"quoted breaks": "step,minutes,procedure,variant,repetition,note,interrupted\nhub-off,9.5,out,belt,1,\"a\nb\"\nhub-off,41,,,2,,yes",
	} {
		got, err := Read("times.CSV", []byte(table))
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}

func TestReadJSON(t *testing.T) {
	got, err := Read("times.json", []byte("\ufeff{\"times\": [\n {\"step\": \"hub-off\", \"minutes\": 9.5, \"procedure\": \"out\", \"variant\": \"belt\", \"repetition\": 1, \"note\": \"\"},\n\n"+
		" {\"step\": \"hub-off\", \"minutes\": 41,\n  \"repetition\": 2, \"interrupted\": true}]}\n"))
	want := []Record{
		{Step: "hub-off", Minutes: 9.5, Procedure: "out", Variant: "belt", Repetition: 1, Line: 2},
		{Step: "hub-off", Minutes: 41, Repetition: 2, Interrupted: true, Line: 4},
	}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, err)
	}
	if got, err := ReadJSON([]byte(`{"times": []}`)); err != nil || len(got) != 0 {
		t.Errorf("no times: %v, %v", got, err)
	}
}

// faults writes faults as "line:column message; do", one a line.
func faults(t *testing.T, err error) string {
	var all diagnostic.Faults
	if !errors.As(err, &all) {
		t.Fatalf("%v is no list of faults", err)
	}
	var out []string
	for _, f := range all {
		if f.Advice.Empty() || f.Wrong.Empty() {
			t.Errorf("%+v says too little", f)
		}
		out = append(out, fmt.Sprintf("%d:%d %s", f.Place.Line, f.Place.Column, f.Says()))
	}
	return strings.Join(out, "\n")
}

func TestFaultsOfTables(t *testing.T) {
	for _, test := range []struct{ name, table, want string }{
		{"empty", "", "1:1 the table is empty"},
		{"only empty lines", "\n\n", "1:1 the table is empty"},
		{"unknown column", "stepp,minutes\na,1\n", "1:1 there is no column \"stepp\"\n1:1 the column step is missing"},
		{"column twice", "step,minutes,step\n", "1:14 the column step is there twice"},
		{"no heading", "hub-off,9.5\n", "1:1 there is no column \"hub-off\"\n1:9 there is no column \"9.5\"\n1:1 the column step is missing\n1:1 the column minutes is missing"},
		{"bad cells", "step,minutes,repetition,interrupted\n,9\nä,x,0,perhaps\na,-1\na,NaN\na,1e99\na,0x10\na,1,2,3,4\na\n",
			"2:1 the step is missing\n3:3 \"x\" is no number of minutes\n3:5 \"0\" is no count of repetitions\n3:7 \"perhaps\" is neither yes nor no\n" +
				"4:3 -1 minutes is no time that a step can take\n5:3 \"NaN\" is no number of minutes\n6:3 1e+99 minutes is no time that a step can take\n7:3 \"0x10\" is no number of minutes\n" +
				"8:7 \"3\" is neither yes nor no\n8:9 the line has 5 cells, and there are 4 columns\n9:1 the minutes are missing"},
		{"decimal comma between commas", "step,minutes\na,9,5\n", "2:5 the line has 3 cells, and there are 2 columns"},
		{"an open quotation mark", "step,minutes\na,\"9\n", "2:1 this line is no line of a table: a quotation mark is missing, or there is one too many"},
		{"a byte-order mark has no width", "\ufeffstepp,minutes\n", "1:1 there is no column \"stepp\"\n1:1 the column step is missing"},
	} {
		records, err := ReadCSV([]byte(test.table))
		if got := faults(t, err); len(records) != 0 || !sameLines(got, test.want) {
			t.Errorf("%s:\n%s\nwant\n%s", test.name, got, test.want)
		}
	}
	var all diagnostic.Faults
	_, err := ReadCSV([]byte("step,minuts\n"))
	if !errors.As(err, &all) || all[0].Advice.String() != "Did you mean minutes?" || err.Error() != `line 1, column 6: there is no column "minuts" (and 1 more)` {
		t.Errorf("%v: %+v", err, all)
	}
	_, err = ReadCSV([]byte("step,minutes\n" + strings.Repeat("a,x\n", 1000)))
	if !errors.As(err, &all) || len(all) != 100 {
		t.Errorf("%d faults are told", len(all))
	}
}

// sameLines compares two lists of lines in any order.
func sameLines(a, b string) bool {
	count := map[string]int{}
	for _, l := range strings.Split(a, "\n") {
		count[l]++
	}
	for _, l := range strings.Split(b, "\n") {
		count[l]--
	}
	for _, n := range count {
		if n != 0 {
			return false
		}
	}
	return true
}

func TestFaultsOfObjects(t *testing.T) {
	for _, test := range []struct{ name, file, want string }{
		{"empty", "", "1:1 the file ends too early"},
		{"a list", "[]", "1:1 the file does not hold an object"},
		{"no times", "\n {}", "1:1 the list of times is missing"},
		{"other key", "{\n \"time\": []}", `2:2 there is no key "time" here`},
		{"no list", `{"times": 5}`, "1:11 the times are no list"},
		{"twice", `{"times": [], "times": []}`, "1:15 the list of times is there twice"},
		{"more behind", "{\"times\": []}\n{}", "2:1 the file goes on after its end"},
		{"cut off", "{\"times\": [\n{\"step\": \"a\", \"minutes\": 1}", "2:28 the file ends too early"},
		{"broken", "{\"times\": [\n{\"step\": \"a\",, \"minutes\": 1}]}", "2:14 the file cannot be read as JSON from here on"},
		{"a key without marks", "{\n times: []}", "2:2 the file cannot be read as JSON from here on"},
		{"no object", "{\"times\": [\n5,\nnull]}", "2:1 a time is no object\n3:1 a time is no object"},
		{"bad values", "{\"times\": [\n{\"step\": 4, \"minutes\": \"9\"},\n{\"step\": \"\", \"minutes\": 1},\n{\"step\": \"a\", \"minutes\": 0},\n{\"stepp\": \"a\"},\n{\"step\": \"a\", \"minutes\": null},\n{\"step\": \"a\", \"minutes\": 1, \"repetition\": -1}]}",
			"2:1 minutes cannot be \"9\"\n2:1 step cannot be 4\n3:1 the step is empty\n4:1 0 minutes is no time that a step can take\n5:1 there is no key \"stepp\"\n5:1 the key step is missing\n5:1 the key minutes is missing\n6:1 minutes cannot be null\n7:1 -1 is no count of repetitions"},
	} {
		records, err := ReadJSON([]byte(test.file))
		if got := faults(t, err); len(records) != 0 || !sameLines(got, test.want) {
			t.Errorf("%s:\n%s\nwant\n%s", test.name, got, test.want)
		}
	}
}

func TestOtherEndings(t *testing.T) {
	if _, err := Read("times.xlsx", nil); err == nil || !strings.Contains(err.Error(), "times.xlsx") {
		t.Errorf("%v", err)
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"step,minutes,procedure,variant,repetition,interrupted,note\nhub-off,9.5,out,belt,1,yes,\"x\ny\"\n", "step;minutes\r\na;9,5\r\n", "\ufeffstep,minutes\na,\"9",
		`{"times": [{"step": "hub-off", "minutes": 9.5, "interrupted": true}]}`, "{\"times\": [\n{\"step\": 4}, 5, null]} x", "\ufeff{\"times\"", `{"times":[[[[`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		lines := strings.Count(string(data), "\n") + 1
		for _, read := range []func([]byte) ([]Record, error){ReadCSV, ReadJSON} {
			records, err := read(data)
			if err != nil {
				var all diagnostic.Faults
				if !errors.As(err, &all) || len(records) > 0 || len(all) == 0 {
					t.Fatalf("%v with %d records", err, len(records))
				}
				for _, fault := range all {
					if fault.Place.Line < 1 || fault.Place.Line > lines || fault.Place.Column < 1 || fault.Wrong.Empty() || fault.Advice.Empty() || utf8.RuneCountInString(fault.Says().String()) > 250 {
						t.Fatalf("%+v in %d lines", fault, lines)
					}
				}
			}
			for _, r := range records {
				if r.Step == "" || !(r.Minutes > 0) || math.IsInf(r.Minutes, 0) || r.Repetition < 0 || r.Line < 1 || r.Line > lines {
					t.Fatalf("%+v in %d lines", r, lines)
				}
			}
		}
	})
}
