package host

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"matchmark/compile/host/invite"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

const finding = "ffffffffffffffffffffffffff"

// withFinding is a record of Ada's with a finding that stops the work.
func withFinding() *record.Record {
	r := newRecord(aJob, aTablet, "Ada")
	r.Findings = map[string]record.Finding{finding: {
		Phase: record.Removal, Step: "fan-off", Name: "Fan", Kind: record.Damaged, Severity: record.StopsWork, Words: "cracked", Found: 1_000, Stamp: record.Stamp{At: 1_000, Tablet: aTablet, By: "Ada"},
	}}
	return r
}

func stateOf(t *testing.T, c *class, job string) *record.Record {
	t.Helper()
	r, err := c.Store.Record(t.Context(), job)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Whoever is on the network, and in no class, reads nothing of anybody and writes nothing.
func TestAttackFromTheNetwork(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	own := c.token
	for name, token := range map[string]string{"nothing": "", "the name alone": aTablet + ".", "another secret": aTablet + "." + strings.Repeat("A", 52), "another's name": bTablet + own[26:]} {
		c.token = token
		for _, at := range []string{"POST /class/record", "GET /class/record/" + aJob, "PUT /class/photo/" + aJob + "/" + strings.Repeat("a", 64), "GET /class/photo/" + aJob + "/" + strings.Repeat("a", 64),
			"POST /class/result", "GET /class/me", "POST /class/join", "GET /class/invite/" + aJob} {
			method, path, _ := strings.Cut(at, " ")
			w := c.ask(method, path, withFinding())
			if w.Code != http.StatusUnauthorized || strings.Contains(w.Body.String(), "Ada") {
				t.Errorf("with %s, %s: %d %s", name, at, w.Code, w.Body)
			}
			refused(t, w)
		}
	}
	c.token = ""
	if w := c.ask("GET", "/class/jobs?procedure=oven-fan-out&variant=", nil); w.Code != http.StatusNotFound || strings.Contains(w.Body.String(), aJob) {
		t.Errorf("jobs to join: %d %s", w.Code, w.Body)
	}
	if w := c.ask("GET", "/class/hello", nil); strings.Contains(w.Body.String(), "Ada") || strings.Contains(w.Body.String(), aJob) {
		t.Errorf("hello says %s", w.Body)
	}
}

// A tablet of the class sees its own jobs alone, and of another's nothing.
func TestAttackOnTheJobOfAnother(t *testing.T) {
	c := newClass(t, store.Options{})
	name, photo, data := newPhoto(t, 40)
	r := withFinding()
	r.Photos = map[string]record.Photo{name: photo}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.want(http.StatusNoContent, nil, "PUT", "/class/photo/"+aJob+"/"+name, data, "Content-Type", "image/jpeg")
	c.as(bTablet, "Ben")
	before := stateOf(t, c, aJob)
	forged := withFinding()
	forged.Machine.Value = "No. 7"
	for _, at := range []string{"POST /class/record", "GET /class/record/" + aJob, "GET /class/photo/" + aJob + "/" + name, "GET /class/invite/" + aJob} {
		method, path, _ := strings.Cut(at, " ")
		w := c.ask(method, path, forged)
		if w.Code != http.StatusForbidden || strings.Contains(w.Body.String(), "Ada") {
			t.Errorf("%s: %d %s", at, w.Code, w.Body)
		}
		refused(t, w)
	}
	refused(t, c.want(http.StatusForbidden, nil, "PUT", "/class/photo/"+aJob+"/"+name, data, "Content-Type", "image/jpeg"))
	if after := stateOf(t, c, aJob); after.Machine != before.Machine || len(after.Tablets) != 1 {
		t.Errorf("the record is now %+v", after)
	}
	// The trainer sees that it asks, and puts it on the job: then it sees the job, and Ada's name still not.
	c.enter()
	var state struct{ Asks []classAsk }
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if len(state.Asks) != 1 || state.Asks[0].Learner != "Ben" || state.Asks[0].Job != aJob {
		t.Fatalf("asks %+v", state.Asks)
	}
	c.want(http.StatusNoContent, nil, "POST", "/board/tablet", map[string]any{"number": state.Asks[0].Number, "do": "bind", "job": aJob})
	w := c.want(http.StatusOK, nil, "GET", "/class/record/"+aJob, nil)
	if strings.Contains(w.Body.String(), "Ada") || !strings.Contains(w.Body.String(), "cracked") {
		t.Errorf("Ben's tablet reads %s", w.Body)
	}
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if len(state.Asks) != 0 {
		t.Errorf("it still asks: %+v", state.Asks)
	}
}

// On one job, another tablet neither takes back the finder's finding in her name nor with a stamp of the year
// 2100, and her correction stands.
func TestAttackOnAFinding(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	c.as(bTablet, "Ben").put(bTablet, aJob)
	c.clock = c.clock.Add(time.Second)
	for name, tablet := range map[string]string{"in her name": aTablet, "in his own": bTablet, "in nobody's": strings.Repeat("c", 26)} {
		forged := withFinding()
		f := forged.Findings[finding]
		f.Withdrawn, f.Stamp = true, record.Stamp{At: record.LatestMoment, Tablet: tablet, By: "Ada"}
		forged.Findings[finding] = f
		forged.Repairs = map[string]record.Repair{finding: {Done: true, Note: name, Stamp: record.Stamp{At: record.LatestMoment, Tablet: tablet, By: "Ada"}}}
		c.want(http.StatusOK, nil, "POST", "/class/record", forged)
		r := stateOf(t, c, aJob)
		if f := r.Findings[finding]; f.Withdrawn || f.FoundBy != "Ada" || f.By != "Ada" {
			t.Errorf("%s: the finding is %+v", name, f)
		}
		if x, there := r.Repairs[finding]; there && (x.By != "Ben" || x.At > c.clock.UnixMilli()+5) {
			t.Errorf("%s: the repair is %+v", name, x)
		}
	}
	// Ada corrects her words, and says that it is not repaired.
	c.as(aTablet, "Ada")
	c.clock = c.clock.Add(time.Second)
	r := withFinding()
	f := r.Findings[finding]
	f.Words, f.At = "cracked from hub to rim", c.clock.UnixMilli()
	r.Findings[finding] = f
	r.Repairs = map[string]record.Repair{finding: {Stamp: record.Stamp{At: c.clock.UnixMilli(), Tablet: aTablet}}}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	now := stateOf(t, c, aJob)
	if now.Findings[finding].Words != f.Words || now.Repairs[finding].Done || now.Repairs[finding].By != "Ada" {
		t.Errorf("after the correction: %+v, %+v", now.Findings[finding], now.Repairs[finding])
	}
	// Once the trainer has looked, she takes it back herself: the board says who did.
	c.enter()
	c.want(http.StatusOK, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": record.StopKey(finding)})
	c.clock = c.clock.Add(time.Second)
	f.Withdrawn, f.At = true, c.clock.UnixMilli()
	r.Findings[finding] = f
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	if f := stateOf(t, c, aJob).Findings[finding]; !f.Withdrawn || f.By != "Ada" {
		t.Errorf("taken back: %+v", f)
	}
	history, err := c.Store.History(t.Context(), aJob)
	if err != nil {
		t.Fatal(err)
	}
	states := 0
	for i, x := range history {
		if i > 0 && x.Seq <= history[i-1].Seq {
			t.Errorf("the sequence goes from %d to %d", history[i-1].Seq, x.Seq)
		}
		if x.Part == "findings" {
			states++
		}
	}
	if states != 3 {
		t.Errorf("%d states of the finding are kept, want all three", states)
	}
}

// A row stamped at the last allowed time counts as written when it came, and whoever touches it next stands.
func TestAttackByTheLastStamp(t *testing.T) {
	c := newClass(t, store.Options{})
	row := "out/fan-off--remove-1"
	tick := func(tablet string, on bool, at int64) *record.Record {
		r := newRecord(aJob, tablet, "")
		r.Ticks[row] = record.Entry[bool]{Value: on, Stamp: record.Stamp{At: at, Tablet: tablet}}
		return r
	}
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, aTablet, "Ada"))
	c.as(bTablet, "Ben").put(bTablet, aJob)
	var got kept
	c.want(http.StatusOK, &got, "POST", "/class/record", tick(bTablet, true, record.LatestMoment))
	if at := got.Record.Ticks[row].At; at != c.clock.UnixMilli() {
		t.Errorf("the row is stamped %d, and it is %d", at, c.clock.UnixMilli())
	}
	// Ada's tablet has the row from the file of another, and touches it: one beyond the last stamp.
	c.as(aTablet, "Ada")
	c.clock = c.clock.Add(time.Second)
	c.want(http.StatusOK, &got, "POST", "/class/record", tick(aTablet, false, record.LatestMoment+1))
	if e := got.Record.Ticks[row]; e.Value || e.By != "Ada" || e.At > c.clock.UnixMilli() {
		t.Errorf("Ada's touch: %+v", e)
	}
	// Ben's tablet sends its old lie once more.
	c.as(bTablet, "Ben")
	c.clock = c.clock.Add(time.Second)
	c.want(http.StatusOK, &got, "POST", "/class/record", tick(bTablet, true, record.LatestMoment))
	if got.Record.Ticks[row].Value {
		t.Error("the same lie, sent again, stands")
	}
}

// A clock that is off is set right by what it says that it is now.
func TestClocksAreSetRight(t *testing.T) {
	c := newClass(t, store.Options{})
	now := c.clock.UnixMilli()
	for shift, want := range map[int64]int64{0: now - 5_000, -3_600_000: now - 5_000, 86_400_000 * 365: now - 5_000, 1_000: now - 4_000} {
		r := newRecord(aJob, aTablet, "Ada")
		row := fmt.Sprintf("out/fan-off--remove-%d", max(shift, -shift))
		r.Ticks[row] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: now + shift - 5_000, Tablet: aTablet}}
		var got kept
		c.want(http.StatusOK, &got, "POST", fmt.Sprintf("/class/record?clock=%d", now+shift), r)
		if at := got.Record.Ticks[row].At; at != want {
			t.Errorf("a clock that is %d ms ahead: stamped %d, want %d", shift, at-now, want-now)
		}
	}
}

// The code of the class is needed, it is not guessed, and what it opens is not somebody else's name.
func TestAttackOnEnrolment(t *testing.T) {
	c := newClass(t, store.Options{})
	c.token = ""
	c.enter()
	var shown invitation
	c.want(http.StatusOK, &shown, "GET", "/board/invite", nil)
	if shown.Path == "" || !strings.HasSuffix(shown.Link, "#join="+strings.ReplaceAll(shown.Code, " ", "")) || !strings.HasPrefix(shown.Link, "http://192.168.4.20:8080/") {
		t.Errorf("invitation %+v", shown)
	}
	c.want(http.StatusOK, nil, "POST", "/board/people", []byte("name;group;id\nCem;East;77\nAda;East;12\n\"Dörte Bäcker\";West;\n"), "Content-Type", "text/csv")
	c.cookie = nil
	for _, wrong := range []string{"", "AAAAAAAA", shown.Code[:7], "22222222", strings.Repeat("A", 1000)} {
		refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/enrol", map[string]string{"code": wrong, "tablet": bTablet, "name": "Ben"}))
		refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/list", map[string]string{"code": wrong}))
	}
	var list struct {
		People []struct{ ID, Name, Team string }
	}
	c.want(http.StatusOK, &list, "POST", "/class/list", map[string]string{"code": strings.ToLower(shown.Code)})
	var names []string
	for _, p := range list.People {
		names = append(names, p.Name)
	}
	if !slices.Equal(names, []string{"Cem", "Dörte Bäcker"}) { // Ada has a tablet
		t.Fatalf("names to pick: %v", names)
	}
	var cem, second mine
	c.want(http.StatusOK, &cem, "POST", "/class/enrol", map[string]string{"code": shown.Code, "tablet": bTablet, "person": list.People[0].ID, "machine": "No. 4"})
	if cem.Learner != "Cem" || cem.State != store.In || len(cem.Secret) < 50 || cem.Tablet != bTablet {
		t.Errorf("enrolled: %+v", cem)
	}
	// Somebody types Ada's name and takes her tablet's: neither is given.
	c.want(http.StatusOK, &second, "POST", "/class/enrol", map[string]string{"code": shown.Code, "tablet": aTablet, "name": "ada"})
	if second.Tablet == aTablet || second.State != store.Asks {
		t.Errorf("a second Ada: %+v", second)
	}
	c.token = second.Tablet + "." + second.Secret
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/record", newRecord(bJob, second.Tablet, "Ada")))
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/result", newResult("Ada", 1)))
	// The trainer knows her: the new tablet gets the jobs of the old one, whose secret counts no more.
	c.as(aTablet, "Ada").want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	c.enter()
	c.want(http.StatusNoContent, nil, "POST", "/board/tablet", map[string]any{"number": second.Number, "do": "in-place"})
	refused(t, c.want(http.StatusUnauthorized, nil, "GET", "/class/record/"+aJob, nil))
	c.token = second.Tablet + "." + second.Secret
	c.want(http.StatusOK, nil, "GET", "/class/record/"+aJob, nil)
	var me mine
	c.want(http.StatusOK, &me, "GET", "/class/me", nil)
	if len(me.Jobs) != 1 || me.Jobs[0].Job != aJob || me.Secret != "" {
		t.Errorf("the tablet in her old one's place: %+v", me)
	}
	// A new code makes the old one worthless, and one that has run out is replaced.
	c.want(http.StatusOK, nil, "POST", "/board/invite", map[string]string{})
	c.want(http.StatusForbidden, nil, "POST", "/class/list", map[string]string{"code": shown.Code})
	c.want(http.StatusOK, &shown, "GET", "/board/invite", nil)
	c.clock = c.clock.Add(invite.ClassTime)
	c.want(http.StatusForbidden, nil, "POST", "/class/list", map[string]string{"code": shown.Code})
	// Guessing comes to an end.
	c.from = "192.168.4.99:5000"
	last := 0
	for range guessesAtOnce + 1 {
		last = c.ask("POST", "/class/list", map[string]string{"code": "AAAAAAAA"}).Code
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("guess %d of a code: %d", guessesAtOnce+1, last)
	}
}

// The second tablet of a job joins by the job's code, which another tablet of the job shows, and which runs out.
func TestJobCode(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	var shown invitation
	c.want(http.StatusOK, &shown, "GET", "/class/invite/"+aJob, nil)
	var me mine
	c.as(bTablet, "Ben").want(http.StatusOK, &me, "POST", "/class/join", map[string]string{"code": shown.Code})
	if me.Joined != aJob || len(me.Jobs) != 1 {
		t.Errorf("joined: %+v", me)
	}
	c.token = ""
	var fresh mine
	c.want(http.StatusOK, &fresh, "POST", "/class/enrol", map[string]string{"code": shown.Code, "name": "Cem"})
	if fresh.Joined != aJob || len(fresh.Jobs) != 1 || len(fresh.Tablet) != 26 {
		t.Errorf("joined from outside the class: %+v", fresh)
	}
	c.clock = c.clock.Add(2 * invite.JobTime)
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/enrol", map[string]string{"code": shown.Code, "name": "Dan"}))
}

// What a tablet brings of one that is in no class, whose file was opened on it, stands under its own name.
func TestWorkOfAStrangerComesAlong(t *testing.T) {
	c := newClass(t, store.Options{})
	r := withFinding()
	stranger := strings.Repeat("s", 26)
	r.Ticks["out/fan-off--remove-1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 5, Tablet: stranger, By: "Somebody"}}
	r.Work = map[string]record.Interval{"out/fan-off@" + stranger + "@5": {From: 5, To: 60_005}}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	got := stateOf(t, c, aJob)
	if e := got.Ticks["out/fan-off--remove-1"]; e.By != "Ada" || e.Tablet != aTablet || !e.Value || len(got.Work) != 1 {
		t.Errorf("the stranger's row: %+v, work %v", e, got.Work)
	}
}
