package sessions

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/state/statetest"
)

// rows writes a session's rows as "step start-end latest", with a mark at checkpoints.
func rows(s Session) string {
	var out []string
	for _, r := range s.Rows {
		name := string(r.Kind)
		if r.Step != nil {
			name = r.Step.ID
		}
		line := fmt.Sprintf("%s %g-%g %g", name, r.Start, r.End, r.Latest)
		if r.Checkpoint {
			line += "!"
		}
		out = append(out, line)
	}
	return strings.Join(out, ", ")
}

// Worked by hand: all times are certain and 10 minutes are spare, so every row may start 10 minutes late.
// c, d, e and the quiz make 65 minutes, more than 60: a break stands before the quiz too.
func TestTimetable(t *testing.T) {
	j := job("a 30: remove 1", "b 20: stop", "c 30: remove 2", "d 10: hold", "e 10: stop")
	p := split(t, []Item{{Job: j}, {Title: "Quiz", Time: estimate("15")}},
		Rules{Length: 160, SetUp: 10, ClearDown: 5, Break: Break{Length: 10, Every: 60}, Confidence: 0.95})
	const want = "set-up 0-10 10, a 10-40 20!, b 40-60 50, break 60-70 70, c 70-100 80!, d 100-110 110!, e 110-120 120, " +
		"break 120-130 130, work 130-145 140!, clear-down 145-150 155"
	if len(p.Sessions) != 1 {
		t.Fatalf("%d sessions", len(p.Sessions))
	}
	s := p.Sessions[0]
	if got := rows(s); got != want {
		t.Errorf("\n%s, want\n%s", got, want)
	}
	if s.Breaks != 20 || s.End != 150 || s.Spare != 10 || s.LongStretch || s.Overrun != 0 || s.CarefulEnd != 150 {
		t.Errorf("%+v", s)
	}
	if last := s.Rows[len(s.Rows)-2]; last.Item.Title != "Quiz" || last.Step != nil || last.Stop != AfterOther {
		t.Errorf("%+v", last)
	}
}

// With uncertain times the latest start leaves room for what may still go wrong: worked by hand,
// 100 - (40 + 1.6449·4) before b (normal quantile of 95 % from tables), 100 - (80 + 1.6449·5.657) before a.
func TestLatestStart(t *testing.T) {
	p := split(t, whole(job("a 28/40/52: stop", "b 28/40/52: stop")), Rules{Length: 100, Confidence: 0.95})
	r := p.Sessions[0].Rows
	if !near(r[1].Latest, 53.42, 5e-3) || !near(r[0].Latest, 10.70, 5e-3) {
		t.Errorf("latest %v and %v", r[0].Latest, r[1].Latest)
	}
}

func TestBreaks(t *testing.T) {
	for _, test := range []struct {
		name        string
		steps       []string
		want        string
		longStretch bool
	}{
		{"none is needed", []string{"a 30: stop", "b 30: stop"}, "", false},
		{"none at the end", []string{"a 60: stop"}, "", false},
		{"at the last safe stop before", []string{"a 20: stop", "b 20: stop", "c 30: stop"}, "after b", false},
		{"at no other step", []string{"a 20: stop", "b 20: remove 1", "c 30: stop"}, "after a", false},
		{"late when there is no safe stop before", []string{"a 70: stop", "b 30: stop"}, "after a", true},
		{"not at all when there is none", []string{"a 50: remove 1", "b 50: stop"}, "", true},
		{"several", []string{"a 40: stop", "b 40: stop", "c 40: stop"}, "after a after b", false},
	} {
		p := split(t, whole(job(test.steps...)), Rules{Length: 300, Break: Break{Length: 10, Every: 60}, Confidence: 0.9})
		s := p.Sessions[0]
		var got []string
		for i, r := range s.Rows {
			if r.Kind == BreakRow {
				got = append(got, "after "+s.Rows[i-1].Step.ID)
			}
		}
		if strings.Join(got, " ") != test.want || s.LongStretch != test.longStretch || s.Breaks != float64(10*len(got)) {
			t.Errorf("%s: breaks %q, %+v", test.name, got, s)
		}
	}
}

// The machine is proved dead in the step p; after a break, and in the next session, work under that proof begins
// with p again. Worked by hand: times are certain.
func TestProofsAfterAStop(t *testing.T) {
	j := statetest.Job(machine+"energy dead\n", strings.Join([]string{
		"on: establish dead; verify dead", "look: mark gearbox; stop", "a: loosen 1; stop", "b: remove 1; stop", "c: tighten 2; stop",
	}, "\n"))
	for i, likely := range []float64{10, 5, 40, 40, 30} {
		j.Steps[i].Time = procedure.Estimate{Optimistic: likely, Likely: likely, Pessimistic: likely}
	}
	p := split(t, whole(j), Rules{Length: 120, SetUp: 5, ClearDown: 5, Break: Break{Length: 15, Every: 60}, Confidence: 0.9})
	var got []string
	for _, s := range p.Sessions {
		got = append(got, rows(s))
	}
	const want = "set-up 0-5 55, on 5-15 60!, look 15-20 70, a 20-60 75!, clear-down 60-65 115\n" +
		"set-up 0-5 5, on 5-15 10!, b 15-55 20!, break 55-70 60, on 70-80 75!, c 80-110 85!, clear-down 110-115 115"
	if out := strings.Join(got, "\n"); out != want {
		t.Errorf("\n%s, want\n%s", out, want)
	}
	if kind := p.Sessions[1].Rows[1].Kind; kind != ProofRow {
		t.Errorf("a proof is %s", kind)
	}
}
