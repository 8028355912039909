package killtest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"matchmark/compile"
	"matchmark/compile/host/store"
	"matchmark/compile/starter"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

const tabletsOfClass = 200

// mostMemory is what a host may take, whoever attacks it.
const mostMemory = 512 << 20

// TestKilledHost lets a class of 200 tablets write while others attack the host, and kills that at random moments.
// It wants everything that was acknowledged to be there, once. After half of the kills the database's log is damaged or
// removed: then the host has to say so, and when the tablets have come back, everything that they hold has to be there, once.
// MATCHMARK_KILLS says how often; it is 4 when not set, 2 in a short run.
func TestKilledHost(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there is no kill -9")
	}
	kills := 4
	if testing.Short() {
		kills = 2
	}
	if stated := os.Getenv("MATCHMARK_KILLS"); stated != "" {
		var err error
		if kills, err = strconv.Atoi(stated); err != nil {
			t.Fatal(err)
		}
	}
	h := newHost(t)
	model, try := inputs(t, h.library)
	sums := &tally{refusals: map[int]string{}}
	var class []*tablet
	for i := range tabletsOfClass {
		class = append(class, newTablet(i, h.base, model, try, runtime.GOOS == "linux", sums))
	}
	enrol(t, h, class)
	moments := rand.New(rand.NewPCG(3, 1))
	var loaded time.Duration
	var found, wrong counts
	damaged, lost, peak := 0, 0, int64(0)
	for kill := range kills {
		h.start(t)
		ctx, stop := context.WithCancel(t.Context())
		var all sync.WaitGroup
		attack(ctx, &all, h, model)
		for _, tablet := range class {
			all.Go(func() { tablet.work(ctx) })
		}
		began := time.Now()
		time.Sleep(300*time.Millisecond + time.Duration(moments.IntN(1200))*time.Millisecond)
		peak = max(peak, h.peak(t))
		h.kill(t)
		loaded += time.Since(began)
		stop()
		all.Wait() // no tablet waits for an answer any more
		spoilt := kill%2 == 1 && damage(t, h.data, moments)
		found = look(t, h.data, class, kill+1, spoilt)
		if spoilt {
			damaged++
			lost += found.lost
			for _, tablet := range class {
				tablet.unaware = true
			}
			continue
		}
		wrong.lost, wrong.doubled = wrong.lost+found.lost, wrong.doubled+found.doubled
		if (kill+1)%10 == 0 {
			t.Logf("after %d kills: %d rows, %d findings, %d photos and %d results acknowledged, %d lost, %d doubled", kill+1, found.ticks, found.findings, found.photos, found.results, wrong.lost, wrong.doubled)
		}
	}
	// The class comes back, and all that it has arrives.
	h.start(t)
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Minute)
	defer stop()
	var all sync.WaitGroup
	for _, tablet := range class {
		all.Go(func() {
			for ctx.Err() == nil && !(tablet.greet(ctx) && !tablet.sendOne(ctx)) {
				time.Sleep(20 * time.Millisecond)
			}
			if ctx.Err() != nil {
				t.Errorf("tablet %d could not hand in what it had", tablet.number)
			}
		})
	}
	all.Wait()
	peak = max(peak, h.peak(t))
	h.kill(t)
	found = look(t, h.data, class, kills+1, false)
	held := counts{}
	for _, tablet := range class {
		if tablet.unaware {
			t.Errorf("tablet %d did not hear that the host may have lost something", tablet.number)
		}
		held.results += len(tablet.tries)
		for _, j := range tablet.jobs {
			held.ticks += len(j.Ticks)
			held.photos += len(j.photos)
		}
	}
	if held.ticks != found.ticks || held.photos != found.photos || held.results != found.results {
		t.Errorf("the tablets hold %+v, and acknowledged is %+v", held, found)
	}
	if peak > mostMemory {
		t.Errorf("the host took %d MB", peak>>20)
	}
	wrong.lost, wrong.doubled = wrong.lost+found.lost, wrong.doubled+found.doubled
	if sums.refused.Load() > 0 {
		t.Errorf("%d posts were refused: %v", sums.refused.Load(), sums.refusals)
	}
	if sums.answered.Load() < int64(10*kills) {
		t.Errorf("only %d posts were answered: that was no load", sums.answered.Load())
	}
	t.Logf("%d times the log was damaged or gone, which lost %d acknowledged entries that the tablets sent again; the host took %d MB at most; %d posts had to wait", damaged, lost, peak>>20, sums.waited.Load())
	slices.Sort(sums.took)
	rate := float64(sums.answered.Load()) / loaded.Seconds()
	bare := bareCommits(t)
	t.Logf("%d kills, %d tablets, %d posts sent, %d acknowledged; acknowledged entries: %d rows, %d findings, %d photos, %d results; lost %d, doubled %d",
		kills, tabletsOfClass, sums.sent.Load(), sums.answered.Load(), found.ticks, found.findings, found.photos, found.results, wrong.lost, wrong.doubled)
	t.Logf("%.0f answers a second, half within %v, 99 of 100 within %v; bare commits one after another: %.0f a second; ratio %.1f",
		rate, sums.took[len(sums.took)/2].Round(time.Millisecond), sums.took[len(sums.took)*99/100].Round(time.Millisecond), bare, rate/bare)
}

// enrol lets the tablets into the class, two by two on one job, and one whose secret attackers get hold of, before the host starts.
func enrol(t *testing.T, h *host, class []*tablet) {
	t.Helper()
	s := h.kept(t)
	defer s.Close()
	for i, tablet := range class {
		made, secret, err := s.Enrol(t.Context(), store.Claim{Tablet: tablet.name, Name: fmt.Sprintf("Learner %d", tablet.number)})
		if err != nil || made.Name != tablet.name || made.State != store.In {
			t.Fatalf("%+v, %v", made, err)
		}
		tablet.token, tablet.other = made.Name+"."+secret, class[i^1]
	}
	made, secret, err := s.Enrol(t.Context(), store.Claim{Tablet: theirTablet, Name: "Nobody"})
	if err != nil || made.Name != theirTablet {
		t.Fatalf("%+v, %v", made, err)
	}
	h.stolen = made.Name + "." + secret
}

// kept opens what a host keeps that does not run.
func (h *host) kept(t *testing.T) *store.Store {
	t.Helper()
	if err := store.Folder(h.data); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), h.data, store.Options{Database: h.database, Workshop: h.workshop})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// inputs are a record and a try that the library takes.
func inputs(t *testing.T, dir string) (*record.Record, quiz.Response) {
	t.Helper()
	var log diagnostic.Log
	lib, err := compile.Load(os.DirFS(dir), &log)
	if err != nil {
		t.Fatal(err)
	}
	if err := compile.MakeQuestions(lib); err != nil {
		t.Fatal(err)
	}
	p, q := lib.Procedures[0], lib.Quizzes[0]
	try := quiz.Response{Format: quiz.ResponseFormat, Version: quiz.ResponseVersion, Quiz: q.ID, Edition: quiz.Edition(q), Started: "2026-11-25T09:00:00Z", Finished: "2026-11-25T09:10:00Z"}
	for _, x := range q.Questions {
		try.Answers = append(try.Answers, quiz.Marked{Question: x.ID, Kind: x.Kind})
	}
	return &record.Record{Format: record.Format, Version: record.Version, Procedure: p.ID, Edition: p.Edition, Content: record.Content(p)}, try
}

// host is the command as it is typed.
type host struct {
	command, library, data, base, port string
	stolen                             string // the token of the tablet that attackers have
	database, workshop                 string // of a database of several; empty for a class of its own

	process *exec.Cmd
	output  strings.Builder
}

func newHost(t *testing.T) *host {
	t.Helper()
	dir := t.TempDir()
	h := &host{command: filepath.Join(dir, "matchmark"), library: filepath.Join(dir, "library"), data: filepath.Join(dir, "class")}
	h.listen(t)
	if _, err := starter.Write(h.library); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("go", "build", "-o", h.command, "matchmark/cmd/matchmark").CombinedOutput(); err != nil {
		t.Fatalf("building the command: %v\n%s", err, out)
	}
	return h
}

// listen finds a free port, and has the host ended with the test.
func (h *host) listen(t *testing.T) {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, h.port, _ = net.SplitHostPort(listener.Addr().String())
	h.base = "http://127.0.0.1:" + h.port
	listener.Close()
	t.Cleanup(func() {
		if h.process != nil {
			h.process.Process.Kill()
			h.process.Wait()
		}
	})
}

// start starts the host and waits until it answers.
func (h *host) start(t *testing.T) {
	t.Helper()
	h.output.Reset()
	args := []string{"serve", h.library, "--data", h.data, "--http", h.port, "--https", "off", "--keep", "2"}
	if h.database != "" {
		args = append(args, "--workshop", h.workshop)
	}
	h.process = exec.Command(h.command, args...)
	if runtime.GOOS == "linux" {
		// Beyond this the system gives it no more memory, and it ends.
		h.process = exec.Command("sh", append([]string{"-c", fmt.Sprintf(`ulimit -d %d; exec "$0" "$@"`, mostMemory>>10), h.command}, args...)...)
	}
	h.process.Stdout, h.process.Stderr = &h.output, &h.output
	h.process.Env = append(os.Environ(), "MATCHMARK_DATABASE="+h.database)
	if err := h.process.Start(); err != nil {
		t.Fatal(err)
	}
	for deadline := time.Now().Add(time.Minute); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if reply, err := http.Get(h.base + "/class/hello"); err == nil {
			reply.Body.Close()
			if reply.StatusCode == http.StatusOK {
				return
			}
		}
	}
	t.Fatal("the host does not answer")
}

// peak is the most memory that the host had, in bytes; 0 where the system does not say. A host that has ended by itself fails the test.
// Source: Linux, proc_pid_status(5), VmHWM.
func (h *host) peak(t *testing.T) int64 {
	t.Helper()
	if runtime.GOOS != "linux" {
		return 0
	}
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", h.process.Process.Pid))
	m := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(status)
	if err != nil || m == nil {
		t.Fatalf("the host has ended: %v\n%s", err, h.output.String())
	}
	n, err := strconv.ParseInt(string(m[1]), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n << 10
}

// damage flips four bytes of the log beside a database, or removes it; false when there is none.
func damage(t *testing.T, data string, draw *rand.Rand) bool {
	t.Helper()
	name := filepath.Join(data, "class.db-wal")
	content, err := os.ReadFile(name)
	if err != nil || len(content) < 64 {
		return false
	}
	if draw.IntN(2) == 0 {
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
		return true
	}
	at := draw.IntN(len(content) - 4)
	for i := range 4 {
		content[at+i] ^= byte(1 + draw.IntN(255))
	}
	if err := os.WriteFile(name, content, 0o600); err != nil {
		t.Fatal(err)
	}
	return true
}

// kill is kill -9.
func (h *host) kill(t *testing.T) {
	t.Helper()
	if err := h.process.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	h.process.Wait() // it says that it was killed
	h.process = nil
}

// counts are the entries that were acknowledged, and what is wrong with them.
type counts struct{ ticks, findings, photos, results, lost, doubled int }

// look opens the database, which checks it from end to end, and compares. What a spoilt one has lost is no fault, but it has to say so.
func look(t *testing.T, data string, class []*tablet, kill int, spoilt bool) (out counts) {
	t.Helper()
	s, err := store.Open(t.Context(), data, store.Options{}) // with integrity_check and foreign_key_check
	restored := spoilt && restore(t, data, err)
	if restored {
		s, err = store.Open(t.Context(), data, store.Options{})
	}
	if err != nil {
		t.Fatalf("after kill %d: %v", kill, err)
	}
	defer s.Close()
	if !restored && !s.Found().Unclean {
		t.Errorf("after kill %d: nobody learns that the host was killed", kill)
	}
	if out = lookIn(t, s, class, kill, spoilt); out.lost > 0 && !restored && s.Found().Damage == nil {
		t.Errorf("after kill %d: %d entries are lost without a word", kill, out.lost)
	}
	return out
}

// restore does what the host advises where a database was refused as damaged, and is false where it was not. A log that goes away
// while it is being moved into the database takes half of that with it: the other half is then no database.
// Source: SQLite, How To Corrupt An SQLite Database File, 1.4: a log that is removed.
func restore(t *testing.T, data string, err error) bool {
	t.Helper()
	var refused *store.RefusedError
	if !errors.As(err, &refused) || refused.Why != store.Damaged {
		return false
	}
	if refused.Backup == "" {
		t.Fatalf("the host names no backup: %v", err)
	}
	if _, _, err := store.Restore(t.Context(), data, refused.Backup, time.Now()); err != nil {
		t.Fatal(err)
	}
	t.Logf("the database was got back from %s: %v", filepath.Base(refused.Backup), err)
	return true
}

// lookIn compares what a store has with what was acknowledged.
func lookIn(t *testing.T, s *store.Store, class []*tablet, kill int, spoilt bool) (out counts) {
	t.Helper()
	jobs, err := s.Jobs(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	records := map[string]*record.Record{}
	words := map[string]string{}
	for _, j := range jobs {
		records[j.Record.Job] = j.Record
		if strings.HasPrefix(j.Record.Job, theirs) {
			continue // of an attacker, who writes the same over and over
		}
		for name, f := range j.Record.Findings {
			if other, twice := words[f.Words]; twice {
				out.doubled++
				t.Errorf("after kill %d: one finding is there twice, as %s and %s", kill, other, name)
			}
			words[f.Words] = name
		}
	}
	results, err := s.Results(t.Context(), "", 0)
	if err != nil {
		t.Fatal(err)
	}
	tries := map[string]int{}
	for _, r := range results {
		tries[fmt.Sprintf("%s %d", r.Response.Learner, r.Response.Try)]++
	}
	for key, n := range tries {
		if n > 1 {
			out.doubled++
			t.Errorf("after kill %d: result %s is there %d times", kill, key, n)
		}
	}
	for _, tablet := range class {
		if !tablet.unaware {
			out.add(lookFor(t, s, records, tries, tablet, kill, spoilt))
		}
	}
	return out
}

func (c *counts) add(d counts) {
	c.ticks += d.ticks
	c.findings += d.findings
	c.photos += d.photos
	c.results += d.results
	c.lost += d.lost
	c.doubled += d.doubled
}

// lookFor looks for all that was acknowledged to one tablet. An entry may be a
// later one than that: then the answer to the later one was lost, and not the entry.
func lookFor(t *testing.T, s *store.Store, records map[string]*record.Record, tries map[string]int, tablet *tablet, kill int, spoilt bool) counts {
	t.Helper()
	out := counts{ticks: len(tablet.kept.ticks), findings: len(tablet.kept.findings), photos: len(tablet.kept.photos), results: len(tablet.kept.results)}
	lost := func(what, key string) {
		if out.lost++; spoilt {
			return
		}
		t.Errorf("after kill %d: %s %s of tablet %d was acknowledged and is lost", kill, what, key, tablet.number)
	}
	in := func(key string) (*record.Record, string) {
		job, name, _ := strings.Cut(key, " ")
		if r := records[job]; r != nil {
			return r, name
		}
		return new(record.Record), name
	}
	for _, key := range slices.Sorted(maps.Keys(tablet.kept.ticks)) {
		r, row := in(key)
		if e, there := r.Ticks[row]; !there || e.Value != tablet.kept.ticks[key].Value && e.At <= tablet.kept.ticks[key].At {
			lost("row", key)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(tablet.kept.findings)) {
		r, name := in(key)
		if f, there := r.Findings[name]; !there || f.Words != tablet.kept.findings[key].Words || !slices.Equal(f.Photos, tablet.kept.findings[key].Photos) {
			lost("finding", key)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(tablet.kept.photos)) {
		job, hash, _ := strings.Cut(key, " ")
		data, err := s.Photo(t.Context(), job, hash)
		if name, _, bad := record.NewPhoto(data); err != nil || bad != nil || name != hash {
			lost("photo", key)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(tablet.kept.results)) {
		if tries[key] == 0 {
			lost("result", key)
		}
	}
	return out
}

// bareCommits is how many commits a second the database makes of itself, one row
// each and one after another, synced as the host's are.
func bareCommits(t *testing.T) float64 {
	t.Helper()
	file := filepath.Join(t.TempDir(), "bare.db")
	db, err := sql.Open("sqlite", "file:"+file+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if _, err := db.Exec("CREATE TABLE x (a INTEGER PRIMARY KEY, b TEXT)"); err != nil {
		t.Fatal(err)
	}
	const commits = 200
	began := time.Now()
	for i := range commits {
		if _, err := db.Exec("INSERT INTO x VALUES (?, 'a row of the record')", i); err != nil {
			t.Fatal(err)
		}
	}
	return commits / time.Since(began).Seconds()
}
