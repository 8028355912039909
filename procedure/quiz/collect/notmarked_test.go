package collect

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure/quiz"
)

// Whoever cannot be marked is counted and named, whatever it is that cannot be used.
func TestNotMarked(t *testing.T) {
	q := sample()
	const head = "mixer-quiz,why,signs,lock,oil,sort,bolt\n"
	const bad, open = "Z,A,A,1,-,A\n", "-,-,-,-,-,-\n"
	json := func(learner string, try int, change func(*quiz.Response)) string {
		return string(saved(q, learner, try, right(), change))
	}
	tests := []struct {
		name  string
		files []File
		want  string
	}{
		{"a bad cell", []File{{"a.csv", []byte(head + "Ada," + bad + "Ben," + open)}}, "marked Ben; left Ada a.csv:2"},
		{"names in any case, and none", []File{{"a.csv", []byte(head + "," + bad + "ben," + bad + "Ada," + bad + "Ben," + bad + "," + bad)}},
			"marked; left Ada a.csv:4; left ben a.csv:3; left  a.csv:2; left  a.csv:6"},
		{"one of two lines", []File{{"a.csv", []byte(head + "Ada," + bad + "ada," + open)}}, "marked ada and 1 more"},
		{"forms of another wording", []File{{"a.csv", []byte("mixer-quiz 0123456789ab,why\nAda,A\n\n,,\nBen,A\n")}}, "marked; left Ada a.csv:2; left Ben a.csv:5"},
		{"a column that is missing", []File{{"a.csv", []byte("mixer-quiz,why\nAda,A\n")}}, "marked; left Ada a.csv:2"},
		{"another quiz", []File{{"a.csv", []byte("oven-quiz,why\nAda,A\n")}, {"b.json", []byte(json("Ada", 1, func(r *quiz.Response) { r.Quiz = "oven-quiz" }))}}, "marked"},
		{"a table that breaks off", []File{{"a.csv", []byte(head + "Ada," + open + "\"Ben,")}}, "marked Ada; 1 unread"},
		{"a result that breaks off", []File{{"a.json", []byte(json("Ada", 1, nil)[:80])}}, "marked; 1 unread"},
		{"too large", []File{{"a.json", make([]byte, largest+1)}}, "marked; 1 unread"},
		{"no result at all", []File{{"a.json", []byte(`{"times": []}`)}}, "marked"},
		{"a later version", []File{{"a.json", []byte(json("Ada", 1, func(r *quiz.Response) { r.Version = 2 }))}}, "marked; left Ada a.json"},
		{"a wording that is not known", []File{{"a.json", []byte(json("Ada", 1, func(r *quiz.Response) { r.Edition = "ffffffffffff" }))}}, "marked; left Ada a.json"},
		{"no time, an answer short, one too many", []File{
			{"a.json", []byte(json("Ada", 1, func(r *quiz.Response) { r.Started = "noon" }))},
			{"b.json", []byte(json("Ben", 1, func(r *quiz.Response) { r.Answers = r.Answers[1:] }))},
			{"c.json", []byte(json("Cid", 1, func(r *quiz.Response) { r.Answers = append(r.Answers, quiz.Marked{Question: "x"}) }))},
		}, "marked; left Ada a.json; left Ben b.json; left Cid c.json"},
		{"the same try with other answers", []File{{"a.json", []byte(json("Ada", 1, nil))}, {"b.json", saved(q, "Ada", 1, nil, nil)}}, "marked Ada and 1 more"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := leftOut(Read(q, tt.files)); got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
}

func leftOut(c *Collection) string {
	out := "marked"
	for _, l := range c.Learners {
		out += " " + l.Name
		if l.NotMarked > 0 {
			out += fmt.Sprintf(" and %d more", l.NotMarked)
		}
	}
	for _, n := range c.NotMarked {
		out += fmt.Sprintf("; left %s %s", n.Name, n.File)
		if n.Line > 0 {
			out += fmt.Sprint(":", n.Line)
		}
	}
	if c.Unread > 0 {
		out += fmt.Sprintf("; %d unread", c.Unread)
	}
	return out
}

// However many faults a table has, everybody in it is counted.
func TestMoreFaultsThanAreListed(t *testing.T) {
	c := Read(sample(), []File{{"a.csv", []byte("mixer-quiz,why,signs,lock,oil,sort,bolt\n" + strings.Repeat(",Z,Z,Z,Z,Z,Z\n", 300))}})
	last := c.Faults[len(c.Faults)-1]
	if len(c.NotMarked) != 300 || len(c.Faults) != mostFaults+1 || last.Wrong.String() != "there are more faults in this table than are listed" || last.Place.Line != 18 {
		t.Errorf("%d left out, %d faults, the last %s: %s", len(c.NotMarked), len(c.Faults), last.Place, last.Wrong)
	}
}
