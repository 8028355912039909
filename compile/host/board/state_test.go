package board

import (
	"strings"
	"testing"

	"matchmark/compile/host/store"
	"matchmark/procedure"
	"matchmark/procedure/record"
)

const (
	aTablet = "aaaaaaaaaaaaaaaaaaaaaaaaaa"
	bTablet = "bbbbbbbbbbbbbbbbbbbbbbbbbb"
)

// plans is a library of one procedure with a hold point on each way.
func plans() *Plans {
	hold := func(signature string) *procedure.Hold {
		return &procedure.Hold{Title: "Before the lift", Signature: signature, Confirmations: []procedure.Prose{{}, {}}}
	}
	out := &procedure.Procedure{ID: "fan-out", Title: "Take the fan out", Edition: "1", Steps: []*procedure.Step{
		{ID: "fan-off", Title: "Undo the fan", Blocks: []procedure.Block{hold("trainer")}}, {ID: "fan-down", Title: "Set it down", Blocks: []procedure.Block{hold("")}},
	}}
	out.Back = &procedure.Procedure{ID: "fan-out-back", Title: "Put the fan back", Steps: []*procedure.Step{{ID: "fan-on", Title: "Fit the fan", Blocks: []procedure.Block{hold("trainer")}}}, Forth: out}
	return NewPlans(&procedure.Library{Procedures: []*procedure.Procedure{out, out.Back}})
}

func tablet(way record.Way, step, waits string, at int64) record.Tablet {
	return record.Tablet{Learner: "Ada", Way: way, Step: step, Waits: waits, Stamp: record.Stamp{At: at, Tablet: aTablet}}
}

func given(yes bool) record.Confirmation { return record.Confirmation{Given: yes} }

func one(t *testing.T, r *record.Record) Job {
	t.Helper()
	s := plans().State([]store.Job{{Began: 1, Changed: 2, Record: r}}, nil)
	if len(s.Jobs) != 1 {
		t.Fatalf("%d jobs", len(s.Jobs))
	}
	return s.Jobs[0]
}

func TestHolds(t *testing.T) {
	for name, test := range map[string]struct {
		record *record.Record
		want   string // KEY TITLE @SINCE GIVEN SIGNED, one hold point a line
	}{
		"nothing has happened": {&record.Record{Procedure: "fan-out"}, ""},
		"a row is ticked":      {&record.Record{Procedure: "fan-out", Confirmed: map[string]record.Confirmation{"out/fan-off--confirm_2": given(true)}}, "out/fan-off--sign Before the lift @0 01"},
		"a row is taken back":  {&record.Record{Procedure: "fan-out", Confirmed: map[string]record.Confirmation{"out/fan-off--confirm_2": given(false)}}, ""},
		"nobody has to sign":   {&record.Record{Procedure: "fan-out", Confirmed: map[string]record.Confirmation{"out/fan-down--confirm": given(true)}}, " Before the lift @0 10"},
		"two wait":             {&record.Record{Procedure: "fan-out", Tablets: map[string]record.Tablet{aTablet: tablet("out", "fan-off", "fan-off--sign", 9), bTablet: tablet("out", "fan-off", "fan-off--sign", 7)}}, "out/fan-off--sign Before the lift @7 00"},
		"on the way back":      {&record.Record{Procedure: "fan-out", Tablets: map[string]record.Tablet{aTablet: tablet("back", "fan-on", "fan-on--sign", 9)}}, "back/fan-on--sign Before the lift @9 00"},
		"signed":               {&record.Record{Procedure: "fan-out", Tablets: map[string]record.Tablet{aTablet: tablet("out", "fan-off", "fan-off--sign", 9)}, Signed: map[string]record.Signature{"out/fan-off--sign": {Who: "Kim"}}}, "out/fan-off--sign Before the lift @0 00 Kim"},
		"of an older edition":  {&record.Record{Procedure: "fan-out", Tablets: map[string]record.Tablet{aTablet: tablet("out", "gone", "gone--sign", 9)}}, "out/gone--sign gone--sign @9 "},
		"of another library":   {&record.Record{Procedure: "other", Tablets: map[string]record.Tablet{aTablet: tablet("out", "gone", "gone--sign", 9)}}, "out/gone--sign gone--sign @9 "},
	} {
		var got []string
		for _, h := range one(t, test.record).Holds {
			line := h.Key + " " + h.Title + " @" + string(rune('0'+h.WaitingSince)) + " "
			for _, c := range h.Confirmations {
				line += map[bool]string{true: "1", false: "0"}[c.Given]
			}
			if h.Signed != nil {
				line += " " + h.Signed.Who
			}
			got = append(got, line)
		}
		if s := strings.Join(got, "\n"); s != test.want {
			t.Errorf("%s: %q, want %q", name, s, test.want)
		}
	}
}

func TestSigns(t *testing.T) {
	p := plans()
	waiting := &record.Record{Procedure: "fan-out", Tablets: map[string]record.Tablet{aTablet: tablet("out", "gone", "gone--sign", 9)}}
	for key, want := range map[string]bool{
		"out/fan-off--sign": true, "back/fan-on--sign": true, "out/gone--sign": true, "out/fan-on--sign": false, "out/fan-down--sign": false, "out/fan-off--confirm": false, "back/gone--sign": false, "": false,
	} {
		if p.Signs(waiting, key) != want {
			t.Errorf("%q can be signed: %v", key, !want)
		}
	}
}

func TestTabletsAndWays(t *testing.T) {
	passed := func(keys ...string) map[string]record.Entry[bool] {
		out := map[string]record.Entry[bool]{}
		for _, k := range keys {
			out[k] = record.Entry[bool]{Value: true}
		}
		return out
	}
	job := one(t, &record.Record{
		Procedure: "fan-out", Tablets: map[string]record.Tablet{bTablet: tablet("out", "ui_end", "", 5), aTablet: tablet("back", "fan-on", "fan-on--sign", 9)},
		Passed: passed("out/fan-off", "out/fan-down"),
	})
	if a := job.Tablets[0]; a.Number != 1 || a.Of != 1 || a.StepTitle != "Fit the fan" || a.Waits != "back/fan-on--sign" || a.WaitsTitle != "Before the lift" {
		t.Errorf("tablet %+v", a)
	}
	if b := job.Tablets[1]; b.Step != "ui_end" || b.Of != 2 || b.Number != 0 {
		t.Errorf("tablet at the end: %+v", b)
	}
	if !job.Done.Out || job.Done.Back || job.Title != "Take the fan out" {
		t.Errorf("job %+v", job)
	}
	if half := one(t, &record.Record{Procedure: "fan-out", Passed: passed("out/fan-off", "back/fan-on")}); half.Done.Out || !half.Done.Back {
		t.Errorf("half way: %+v", half.Done)
	}
	if other := one(t, &record.Record{Procedure: "other"}); other.Title != "other" || !other.Older || other.Done.Out {
		t.Errorf("a job of another library: %+v", other)
	}
}
