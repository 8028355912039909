package host

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"matchmark/compile/host/pgtest"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// newWorkshop is a class of a workshop in a database of several, with an account of each role whose password is thePIN.
func newWorkshop(t *testing.T, address, name string) *class {
	t.Helper()
	c := &class{t: t, folder: t.TempDir(), clock: time.Now(), from: "192.168.4.77:50000", tokens: map[string]string{}}
	c.start(store.Options{Database: address, Workshop: name})
	for who, role := range map[string]store.Role{"Tina": store.TrainerRole, "Hana": store.HeadRole, "Ali": store.AdministratorRole} {
		err := c.Store.PutAccount(t.Context(), "", store.Account{Name: who, Role: role, Password: pin.Hash(thePIN)})
		if err != nil && err != store.ErrTaken {
			t.Fatal(err)
		}
	}
	return c.as(aTablet, "Ada")
}

// signIn opens the board by an account.
func (c *class) signIn(who, password string) {
	c.t.Helper()
	c.cookie = nil
	c.clock = c.clock.Add(time.Hour) // whoever has guessed wrong has waited
	w := c.want(http.StatusOK, nil, "POST", "/board/pin", map[string]string{"who": who, "pin": password})
	all := w.Result().Cookies()
	c.cookie = all[len(all)-1]
}

// What an account may do goes by its role, on every host of the database, and ends with it. All of it is in the trail.
func TestRoles(t *testing.T) {
	address := pgtest.Shared(t).Database(t, "roles")
	c, other := newWorkshop(t, address, "Ovens"), newWorkshop(t, address, "Mixers")
	for who, may := range map[string]map[string]int{
		"":     {"/board/state": 401, "/board/all/": 401, "/board/accounts/": 401},
		"tina": {"/board/state": 200, "/board/all/": 403, "/board/accounts/": 200},
		"Hana": {"/board/state": 200, "/board/all/": 200, "/board/accounts/": 200},
		"ALI":  {"/board/state": 200, "/board/all/": 200, "/board/accounts/": 200},
	} {
		if c.cookie = nil; who != "" {
			c.signIn(who, thePIN)
		}
		for path, want := range may {
			c.want(want, nil, "GET", path, nil)
		}
		want := http.StatusForbidden
		switch who {
		case "":
			want = http.StatusUnauthorized
		case "ALI":
			want = http.StatusUnprocessableEntity
		}
		c.want(want, nil, "POST", "/board/account", map[string]any{"name": "Eve", "role": "administrator", "password": "short"})
	}
	c.cookie = nil
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/board/pin", map[string]string{"who": "Nobody Here", "pin": thePIN}))
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/board/pin", map[string]string{"who": "Tina", "pin": "wrong"}))

	c.signIn("Ali", thePIN)
	const first, second = "a first password", "quite another one"
	c.want(http.StatusNoContent, nil, "POST", "/board/account", map[string]any{"name": "Lee Roth", "role": "trainer", "password": first})
	refused(t, c.want(http.StatusConflict, nil, "POST", "/board/account", map[string]any{"name": "lee  roth", "role": "trainer", "password": first}))
	if page := c.want(http.StatusOK, nil, "GET", "/board/accounts/", nil).Body.String(); !strings.Contains(page, "Lee Roth") || strings.Contains(page, "argon2id") {
		t.Error("the list of accounts is without a name, or with a hash")
	}
	// On another host, with a password of one's own; the session that the old one opened ends.
	eventually(t, "an account that was given on another host", func() bool {
		_, err := other.Store.Account(t.Context(), "Lee Roth")
		return err == nil
	})
	other.signIn("Lee Roth", first)
	old := other.cookie
	refused(t, other.want(http.StatusForbidden, nil, "POST", "/board/password", map[string]string{"old": "wrong", "new": second}))
	refused(t, other.want(http.StatusUnprocessableEntity, nil, "POST", "/board/password", map[string]string{"old": first, "new": "short"}))
	other.clock = other.clock.Add(time.Hour)
	w := other.want(http.StatusNoContent, nil, "POST", "/board/password", map[string]string{"old": first, "new": second})
	other.cookie = old
	other.want(http.StatusUnauthorized, nil, "GET", "/board/state", nil)
	other.cookie = w.Result().Cookies()[0]
	other.want(http.StatusOK, nil, "GET", "/board/state", nil)
	// Removed here, out there.
	account, err := other.Store.Account(t.Context(), "Lee Roth")
	if err != nil {
		t.Fatal(err)
	}
	c.want(http.StatusNoContent, nil, "POST", "/board/account", map[string]any{"number": account.Number, "remove": true})
	eventually(t, "an account that was removed on another host", func() bool { return other.ask("GET", "/board/state", nil).Code == http.StatusUnauthorized })
	var trail []trailStep
	c.want(http.StatusOK, &trail, "GET", "/board/trail", nil)
	var done []string
	for _, s := range trail {
		if s.Who == "Ali" {
			done = append(done, s.What)
		}
		if strings.Contains(s.About, "Lee") {
			t.Errorf("the trail names somebody: %+v", s)
		}
	}
	for _, what := range []string{"gave-account", "removed-account", "entered"} {
		if !slices.Contains(done, what) {
			t.Errorf("the trail of Ali lacks %s: %v", what, done)
		}
	}
}

func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); !is(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("in vain: %s", what)
		}
	}
}

// The board over all workshops shows what each does and what waits, with names; a name that was deleted goes from it.
func TestAllWorkshops(t *testing.T) {
	address := pgtest.Shared(t).Database(t, "overview")
	c, other := newWorkshop(t, address, "Ovens"), newWorkshop(t, address, "Mixers <b>")
	here, there := newRecord(aJob, aTablet, "Ada"), newRecord(bJob, bTablet, "Zoe Unterberg")
	there.Machine.Value = "Mixer 9"
	there.Machine.Tablet = bTablet
	place := there.Tablets[bTablet]
	place.Waits = "some--sign"
	there.Tablets[bTablet] = place
	c.want(http.StatusOK, nil, "POST", "/class/record", here)
	other.as(bTablet, "Zoe Unterberg").want(http.StatusOK, nil, "POST", "/class/record", there)
	c.signIn("Hana", thePIN)
	c.clock = time.Now()
	page := func() string { return c.want(http.StatusOK, nil, "GET", "/board/all/", nil).Body.String() }
	got := page()
	for _, want := range []string{"Ovens", "Mixers &lt;b&gt;: Mixer 9", "Zoe Unterberg", "Ada", "No. 4", `<dd>1</dd>`} {
		if !strings.Contains(got, want) {
			t.Errorf("the board over all workshops lacks %q", want)
		}
	}
	people, err := other.Store.People(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range people {
		if p.Name == "Zoe Unterberg" {
			if _, _, err := other.Store.Forget(t.Context(), "", p.ID); err != nil {
				t.Fatal(err)
			}
		}
	}
	eventually(t, "a name that was deleted elsewhere goes from the board over all workshops", func() bool { return !strings.Contains(page(), "Zoe") })
}

// While the database is away, pages are served, the board shows what it knew and since when, and whoever sends something is told to keep it.
func TestAwayOnTheBoard(t *testing.T) {
	server := pgtest.Start(t, true)
	c := newWorkshop(t, server.Database(t, "away"), "Ovens")
	r := newRecord(aJob, aTablet, "Ada")
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.signIn("Hana", thePIN)
	var state struct {
		Away int64
		Jobs []json.RawMessage
	}
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if state.Away != 0 || len(state.Jobs) != 1 {
		t.Fatalf("%+v", state)
	}
	c.want(http.StatusOK, nil, "GET", "/board/all/", nil)
	server.Stop(true)
	eventually(t, "the host notices", func() bool { _, away := c.Store.Away(); return away })
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if state.Away == 0 || len(state.Jobs) != 1 {
		t.Errorf("the board says %+v", state)
	}
	if page := c.want(http.StatusOK, nil, "GET", "/board/all/", nil).Body.String(); !strings.Contains(page, "out of reach since") {
		t.Error("the board over all workshops does not say that the database is away")
	}
	c.want(http.StatusOK, nil, "GET", "/", nil)
	r.Ticks["out/x--remove-1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 2_000, Tablet: aTablet}}
	for _, w := range []struct {
		method, path string
		body         any
	}{{"POST", "/class/record", r}, {"POST", "/class/result", newResult("Ada", 1)}, {"GET", "/class/hello", nil}, {"POST", "/board/end", map[string]string{}}} {
		got := c.want(http.StatusServiceUnavailable, nil, w.method, w.path, w.body)
		if why := refused(t, got); !strings.Contains(why.Problem, "since") || got.Header().Get("Retry-After") == "" {
			t.Errorf("%s: %+v", w.path, why)
		}
	}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the host finds it again", func() bool { _, away := c.Store.Away(); return !away })
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if state.Away != 0 {
		t.Errorf("the board says %+v", state)
	}
	eventually(t, "the window says both", func() bool {
		said := strings.Join(c.said(), "\n")
		return strings.Contains(said, "cannot be reached") && strings.Contains(said, "is back")
	})
	if entries, err := os.ReadDir(filepath.Join(c.folder, "backups")); err != nil || len(entries) != 0 {
		t.Errorf("the data folder has copies of what is in the database: %v, %v", entries, err)
	}
}
