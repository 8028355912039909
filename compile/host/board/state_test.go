package board

import (
	"crypto/ed25519"
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
	out.Refitting = &procedure.Procedure{ID: "fan-out-back", Title: "Put the fan back", Steps: []*procedure.Step{{ID: "fan-on", Title: "Fit the fan", Blocks: []procedure.Block{hold("trainer")}}}, Removal: out}
	return NewPlans(&procedure.Library{Procedures: []*procedure.Procedure{out, out.Refitting}}, nil)
}

func tablet(way record.Phase, step, waits string, at int64) record.Tablet {
	return record.Tablet{Learner: "Ada", Phase: way, Step: step, Waits: waits, Stamp: record.Stamp{At: at, Tablet: aTablet}}
}

func given(yes bool) record.Confirmation { return record.Confirmation{Given: yes} }

func one(t *testing.T, r *record.Record) Job {
	t.Helper()
	return plans().Job(store.Job{Began: 1, Changed: 2, Record: r})
}

// sealed is a record on a machine, with a signature that was given when it was on No. 4, and a tablet that waits.
func sealed(machine string) *record.Record {
	const row = "out/fan-off--sign"
	r := &record.Record{Procedure: "fan-out", Machine: record.Entry[string]{Value: "No. 4"}, Tablets: map[string]record.Tablet{aTablet: tablet("out", "fan-off", "fan-off--sign", 9)}}
	salt := strings.Repeat("0", 32)
	by := record.Signature{Who: record.Pseudonym("Kim", salt), Name: "Kim", Salt: salt, Step: "fan-off"}
	r.Signed = map[string]record.Signature{row: record.Seal(r, row, by, ed25519.NewKeyFromSeed([]byte(strings.Repeat("k", ed25519.SeedSize))))}
	r.Machine.Value = machine
	return r
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
		"in the refitting":     {&record.Record{Procedure: "fan-out", Tablets: map[string]record.Tablet{aTablet: tablet("back", "fan-on", "fan-on--sign", 9)}}, "back/fan-on--sign Before the lift @9 00"},
		"signed":               {sealed("No. 4"), "out/fan-off--sign Before the lift @0 00 Kim"},
		"signed elsewhere":     {sealed("No. 7"), "out/fan-off--sign Before the lift @9 00 broken Kim"},
		"written on a tablet":  {&record.Record{Procedure: "fan-out", Confirmed: map[string]record.Confirmation{"out/fan-off--sign": {Given: true, Text: "AB"}}}, "out/fan-off--sign Before the lift @0 00 unproved AB"},
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
				line += " " + h.Signed.Name
			}
			if h.Broken != "" {
				line += " broken " + h.Broken
			}
			if h.Unproved != "" {
				line += " unproved " + h.Unproved
			}
			got = append(got, line)
		}
		if s := strings.Join(got, "\n"); s != test.want {
			t.Errorf("%s: %q, want %q", name, s, test.want)
		}
	}
}

// What the library does not have cannot be signed, also when a tablet of an older edition waits for it.
func TestWhatCanBeSigned(t *testing.T) {
	p := plans()
	waiting := &record.Record{Procedure: "fan-out", Tablets: map[string]record.Tablet{aTablet: tablet("out", "gone", "gone--sign", 9)}}
	for key, want := range map[string]bool{
		"out/fan-off--sign": true, "back/fan-on--sign": true, "out/gone--sign": false, "out/fan-on--sign": false, "out/fan-down--sign": false, "out/fan-off--confirm": false, "back/gone--sign": false, "": false, "out/": false,
	} {
		if (p.Hold(waiting, key) != nil) != want {
			t.Errorf("%q can be signed: %v", key, !want)
		}
	}
	hold := p.Hold(waiting, "out/fan-off--sign")
	half := &record.Record{Confirmed: map[string]record.Confirmation{"out/" + hold.Rows[0].ID: given(true)}}
	whole := &record.Record{Confirmed: map[string]record.Confirmation{}}
	for _, row := range hold.Rows {
		whole.Confirmed["out/"+row.ID] = given(true)
	}
	if len(hold.Rows) < 2 || hold.Confirmed(half) || !hold.Confirmed(whole) || strings.Count(hold.Lines(), "\n") != len(hold.Rows)-1 {
		t.Errorf("hold point %+v with the lines %q", hold, hold.Lines())
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
