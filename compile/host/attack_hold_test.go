package host

import (
	"crypto/ed25519"
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"matchmark/compile/host/board"
	"matchmark/compile/host/holdpoint"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// atHold is a record of Ada's at the demo's first hold point to sign, with so many of its lines confirmed.
func atHold(hold board.HoldPoint, lines int) *record.Record {
	r := newRecord(aJob, aTablet, "Ada")
	at := r.Tablets[aTablet]
	at.Step, at.Waits = hold.Step, hold.Signature
	r.Tablets[aTablet] = at
	r.Confirmed = map[string]record.Confirmation{}
	for i, row := range hold.Rows {
		r.Confirmed["out/"+row.ID] = record.Confirmation{Given: i < lines, Stamp: record.Stamp{At: 2_000 + int64(lines), Tablet: aTablet}}
	}
	return r
}

// Initials that a learner types open nothing that counts: board and record show them as not proved, until the trainer signs.
func TestAttackByInitials(t *testing.T) {
	c := newClass(t, store.Options{})
	hold := firstHold(t, c)
	key := "out/" + hold.Signature
	r := atHold(hold, len(hold.Rows))
	r.Confirmed[key] = record.Confirmation{Given: true, Text: "Kim Holt", Stamp: record.Stamp{At: 9_000, Tablet: aTablet}}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.enter()
	var state boardState
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if h := state.Jobs[0].Holds[0]; h.Signed != nil || h.Unproved != "Kim Holt" || h.UnprovedBy != "Ada" || h.WaitingSince == 0 {
		t.Errorf("on the board: %+v", h)
	}
	if w := c.want(http.StatusOK, nil, "GET", "/board/workorder/"+aJob, nil); !strings.Contains(w.Body.String(), "not proved") {
		t.Error("the work order does not say that it is not proved")
	}
	c.want(http.StatusOK, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": key})
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if h := state.Jobs[0].Holds[0]; h.Signed == nil || h.Unproved != "" {
		t.Errorf("after the trainer has confirmed it: %+v", h)
	}
	if w := c.want(http.StatusOK, nil, "GET", "/board/workorder/"+aJob, nil); strings.Contains(w.Body.String(), "not proved") {
		t.Error("the work order still says that it is not proved")
	}
}

// A code opens the hold point that it is shown for, as it stands, once, for two minutes.
func TestAttackOnHoldCodes(t *testing.T) {
	c := newClass(t, store.Options{})
	hold := firstHold(t, c)
	key := "out/" + hold.Signature
	show := func(want int) string {
		t.Helper()
		c.enter()
		var shown struct{ Code string }
		w := c.want(want, nil, "POST", "/board/code", map[string]string{"job": aJob, "key": key})
		if want == http.StatusOK {
			c.want(http.StatusOK, &shown, "POST", "/board/code", map[string]string{"job": aJob, "key": key})
		} else {
			refused(t, w)
		}
		c.cookie = nil
		return shown.Code
	}
	give := func(want int, job, key, code string) {
		t.Helper()
		w := c.want(want, nil, "POST", "/class/sign", map[string]string{"job": job, "key": key, "code": code})
		if want != http.StatusOK {
			refused(t, w)
		}
	}
	c.want(http.StatusOK, nil, "POST", "/class/record", atHold(hold, len(hold.Rows)-1))
	show(http.StatusConflict) // a line is open
	give(http.StatusConflict, aJob, key, "000000")
	c.want(http.StatusOK, nil, "POST", "/class/record", atHold(hold, len(hold.Rows)))
	give(http.StatusForbidden, aJob, key, "000000") // none is shown
	code := show(http.StatusOK)

	// For another tablet, job or row it is worth nothing.
	c.as(bTablet, "Ben")
	give(http.StatusForbidden, aJob, key, code)
	other := atHold(hold, len(hold.Rows))
	other.Job = bJob
	c.as(aTablet, "Ada").want(http.StatusOK, nil, "POST", "/class/record", other)
	give(http.StatusForbidden, bJob, key, code)
	give(http.StatusUnprocessableEntity, aJob, "out/nothing--sign", code)

	// The record goes to another machine meanwhile, or time runs out, or somebody guesses.
	moved := atHold(hold, len(hold.Rows))
	moved.Machine = record.Entry[string]{Value: "No. 7", Stamp: record.Stamp{At: c.clock.UnixMilli(), Tablet: aTablet}}
	c.want(http.StatusOK, nil, "POST", "/class/record", moved)
	give(http.StatusForbidden, aJob, key, code)
	code = show(http.StatusOK)
	c.clock = c.clock.Add(holdpoint.CodeTime)
	give(http.StatusForbidden, aJob, key, code)
	code = show(http.StatusOK)
	for range holdpoint.MostWrong {
		give(http.StatusForbidden, aJob, key, "x")
	}
	give(http.StatusForbidden, aJob, key, code)
	if r := stateOf(t, c, aJob); len(r.Signed) != 0 {
		t.Fatalf("signed: %+v", r.Signed)
	}

	code = show(http.StatusOK)
	give(http.StatusOK, aJob, key, code)
	r := stateOf(t, c, aJob)
	if g := r.Signed[key]; g.Name != "Kim Holt" || g.Machine != "No. 7" || g.Lines != hold.Lines() || !record.Verify(r, key, g) {
		t.Errorf("signed by code: %+v", r.Signed[key])
	}
	give(http.StatusForbidden, aJob, key, code) // used up
}

// A signature that was given on mixer 4 does not stay when the record is given to mixer 7; the trainer signs again.
func TestAttackByAnotherMachine(t *testing.T) {
	c := newClass(t, store.Options{})
	hold := firstHold(t, c)
	key := "out/" + hold.Signature
	c.want(http.StatusOK, nil, "POST", "/class/record", atHold(hold, len(hold.Rows)))
	c.enter()
	sign := func() { c.want(http.StatusOK, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": key}) }
	sign()
	c.clock = c.clock.Add(time.Second)
	c.want(http.StatusNoContent, nil, "POST", "/board/job", map[string]string{"job": aJob, "do": "rename", "machine": "No. 7"})
	var state boardState
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if h := state.Jobs[0].Holds[0]; h.Signed != nil || h.Broken != "Kim Holt" || state.Jobs[0].Machine != "No. 7" {
		t.Errorf("after the rename: %+v", h)
	}
	sign()
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if h := state.Jobs[0].Holds[0]; h.Signed == nil || h.Signed.Machine != "No. 7" {
		t.Errorf("signed again: %+v", h)
	}
	// On a job that was declared void nothing is signed; restored, it is as it was.
	c.want(http.StatusNoContent, nil, "POST", "/board/job", map[string]string{"job": aJob, "do": "rename", "machine": "No. 9"})
	c.want(http.StatusNoContent, nil, "POST", "/board/job", map[string]string{"job": aJob, "do": "void"})
	refused(t, c.want(http.StatusConflict, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": key}))
	c.want(http.StatusNoContent, nil, "POST", "/board/job", map[string]string{"job": aJob, "do": "restore"})
	sign()
	// Who did what stands on the trail.
	var steps []trailStep
	c.want(http.StatusOK, &steps, "GET", "/board/trail", nil)
	var what []string
	for _, s := range steps {
		what = append(what, s.What)
	}
	if got := strings.Join(what, " "); got != "signed restored voided renamed signed renamed signed entered joined" {
		t.Errorf("the trail: %s", got)
	}
	if steps[0].Who != "Kim Holt" || steps[0].Machine != "No. 9" {
		t.Errorf("the last step: %+v", steps[0])
	}
	// A deleted job does not come back with its tablet.
	c.want(http.StatusOK, nil, "POST", "/board/job", map[string]string{"job": aJob, "do": "delete"})
	refused(t, c.want(http.StatusGone, nil, "POST", "/class/record", atHold(hold, 1)))
	if jobs, err := c.Store.Jobs(t.Context(), 0); err != nil || len(jobs) != 0 {
		t.Errorf("%d jobs, %v", len(jobs), err)
	}
}

// A finding that stops the work stops it until the trainer has looked: no tablet lets it go on, whichever entry it sends.
func TestAttackOnAStop(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	key := record.StopKey(finding)
	stops := func(want bool) {
		t.Helper()
		if got := stateOf(t, c, aJob).Stopped(finding); got != want {
			t.Errorf("the work stops: %t, want %t", got, want)
		}
	}
	send := func(change func(r *record.Record, s record.Stamp)) {
		t.Helper()
		c.clock = c.clock.Add(time.Second)
		tablet, _, _ := strings.Cut(c.token, ".")
		r := withFinding()
		change(r, record.Stamp{At: c.clock.UnixMilli(), Tablet: tablet})
		c.want(http.StatusOK, nil, "POST", "/class/record", r)
	}
	finds := func(change func(f *record.Finding)) func(r *record.Record, s record.Stamp) {
		return func(r *record.Record, s record.Stamp) {
			f := r.Findings[finding]
			change(&f)
			f.Stamp = s
			r.Findings[finding] = f
		}
	}
	ways := map[string]func(r *record.Record, s record.Stamp){
		"repaired": func(r *record.Record, s record.Stamp) {
			r.Repairs = map[string]record.Repair{finding: {Done: true, Stamp: s}}
		},
		"taken back": finds(func(f *record.Finding) { f.Withdrawn = true }),
		"sunk":       finds(func(f *record.Finding) { f.Severity = record.Watch }),
		"initials": func(r *record.Record, s record.Stamp) {
			r.Confirmed = map[string]record.Confirmation{key: {Given: true, Text: "Kim Holt", Stamp: s}}
		},
		"a seal of a key of its own": func(r *record.Record, s record.Stamp) {
			f := r.Findings[finding]
			r.Signed = map[string]record.Signature{key: record.Seal(r, key, record.Signature{Who: "x", At: s.At, Lines: f.Text()}, ed25519.NewKeyFromSeed(make([]byte, 32)))}
		},
	}
	for _, way := range slices.Sorted(maps.Keys(ways)) {
		for _, tablet := range []string{aTablet, bTablet} {
			c.as(tablet, map[string]string{aTablet: "Ada", bTablet: "Ben"}[tablet]).put(tablet, aJob)
			send(ways[way])
			if stops(true); t.Failed() {
				t.Fatalf("%s by %s", way, tablet)
			}
		}
	}
	// The board shows it among those that wait, with what the tablet says.
	c.enter()
	var state boardState
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if h := state.Jobs[0].Holds; len(h) != 1 || h[0].Finding != finding || h[0].Signed != nil || h[0].Unproved != "Kim Holt" || h[0].WaitingSince == 0 || !h[0].Known {
		t.Fatalf("on the board: %+v", h)
	}
	order := func(want string) {
		t.Helper()
		if w := c.want(http.StatusOK, nil, "GET", "/board/workorder/"+aJob, nil); !strings.Contains(w.Body.String(), want) {
			t.Errorf("the work order does not say %q", want)
		}
	}
	order("No class host has confirmed it")
	// A code from the board opens it on the tablet, once, and only for what the finding said then.
	show := func() string {
		t.Helper()
		var shown struct{ Code string }
		c.want(http.StatusOK, &shown, "POST", "/board/code", map[string]string{"job": aJob, "key": key})
		return shown.Code
	}
	code := show()
	send(finds(func(f *record.Finding) { f.Words = "only a scratch" }))
	c.as(aTablet, "Ada")
	send(finds(func(f *record.Finding) { f.Words = "cracked to the rim" }))
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/sign", map[string]string{"job": aJob, "key": key, "code": code}))
	stops(true)
	c.want(http.StatusOK, nil, "POST", "/class/sign", map[string]string{"job": aJob, "key": key, "code": show()})
	stops(false)
	order("inspected by Kim Holt")
	// What the finding says afterwards, nobody has looked at.
	send(finds(func(f *record.Finding) { f.Words = "the shaft is cracked too" }))
	stops(true)
	c.want(http.StatusOK, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": key})
	stops(false)
	// The trainer does not look at what does not stop.
	send(finds(func(f *record.Finding) { f.Severity, f.Words = record.Watch, "a scratch on the shaft" }))
	refused(t, c.want(http.StatusUnprocessableEntity, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": key}))
	refused(t, c.want(http.StatusUnprocessableEntity, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": record.StopKey(strings.Repeat("e", 26))}))
}
