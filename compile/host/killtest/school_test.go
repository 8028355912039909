package killtest

import (
	"context"
	"encoding/hex"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"matchmark/compile/host/pgtest"
	"matchmark/compile/host/store"
)

const workshops = 3

// school is several workshops, each with its host and its tablets.
type school struct {
	hosts   []*host
	classes [][]*tablet
	sums    *tally
}

// newSchool makes the workshops, on a database or with "" each on its own, with so many tablets together. Tablets have the addresses of their numbers.
func newSchool(t *testing.T, first *host, database string, tablets int) *school {
	t.Helper()
	out := &school{sums: &tally{refusals: map[int]string{}}}
	model, try := inputs(t, first.library)
	for i := range workshops {
		h := &host{command: first.command, library: first.library, data: filepath.Join(t.TempDir(), "class"), database: database}
		if database != "" {
			h.workshop = fmt.Sprint("Workshop ", i+1)
		}
		h.listen(t)
		var class []*tablet
		for n := range tablets / workshops {
			class = append(class, newTablet(i*tablets/workshops+n, h.base, model, try, runtime.GOOS == "linux", out.sums))
		}
		enrol(t, h, class)
		h.start(t)
		out.hosts, out.classes = append(out.hosts, h), append(out.classes, class)
	}
	return out
}

// work has all tablets work until the function that it returns is called, which waits for them.
func (s *school) work(t *testing.T) (rest func()) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	var all sync.WaitGroup
	for _, class := range s.classes {
		for _, tablet := range class {
			all.Go(func() { tablet.work(ctx) })
		}
	}
	return func() {
		stop()
		all.Wait()
	}
}

// pace has the school work for a time, and says how many posts a second were answered and how fast.
func (s *school) pace(t *testing.T, d time.Duration) (rate float64, half, most time.Duration) {
	t.Helper()
	before := s.sums.answered.Load()
	s.sums.mu.Lock()
	s.sums.took = nil
	s.sums.mu.Unlock()
	began := time.Now()
	rest := s.work(t)
	time.Sleep(d)
	answered := s.sums.answered.Load() - before
	rate = float64(answered) / time.Since(began).Seconds()
	rest()
	slices.Sort(s.sums.took)
	if len(s.sums.took) == 0 {
		t.Fatal("nothing was answered")
	}
	return rate, s.sums.took[len(s.sums.took)/2], s.sums.took[len(s.sums.took)*99/100]
}

func (s *school) end(t *testing.T) {
	t.Helper()
	for _, h := range s.hosts {
		h.kill(t)
	}
}

// TestKilledSchool lets three workshops work on one database, and at random moments kills a host, or stops the database, in good order or as a
// crash does. It wants everything that was acknowledged to be there, once; pages to be served while the database is away; and no name to be left
// after deletion. Beside that it measures the same school with a file for each class. MATCHMARK_STOPS says how
// often, and MATCHMARK_TABLETS how many work; 4 and 60 when not set. A short run that says nothing leaves it out.
func TestKilledSchool(t *testing.T) {
	stops, tablets, pace := 4, 60, 5*time.Second
	if testing.Short() {
		if os.Getenv("MATCHMARK_STOPS") == "" {
			t.Skip("make test-all stops a school's database")
		}
		pace = 2 * time.Second
	}
	for name, into := range map[string]*int{"MATCHMARK_STOPS": &stops, "MATCHMARK_TABLETS": &tablets} {
		if stated := os.Getenv(name); stated != "" {
			var err error
			if *into, err = strconv.Atoi(stated); err != nil {
				t.Fatal(err)
			}
		}
	}
	server := pgtest.Start(t, true)
	first := newHost(t)
	alone := newSchool(t, first, "", tablets)
	rate, half, most := alone.pace(t, pace)
	t.Logf("files: %.0f answers a second, half within %v, 99 of 100 within %v", rate, half.Round(time.Millisecond), most.Round(time.Millisecond))
	alone.end(t)
	s := newSchool(t, first, server.Database(t, "school"), tablets)
	rate, half, most = s.pace(t, pace)
	t.Logf("one database: %.0f answers a second, half within %v, 99 of 100 within %v", rate, half.Round(time.Millisecond), most.Round(time.Millisecond))

	moments := rand.New(rand.NewPCG(5, 2))
	var found counts
	for stop := range stops {
		rest := s.work(t)
		time.Sleep(200*time.Millisecond + time.Duration(moments.IntN(1000))*time.Millisecond)
		var killed *host
		switch stop % 3 {
		case 0:
			killed = s.hosts[moments.IntN(len(s.hosts))]
			killed.kill(t)
		default:
			server.Stop(stop%3 == 2)
			s.away(t)
			time.Sleep(time.Duration(moments.IntN(1000)) * time.Millisecond)
			if err := server.Start(); err != nil {
				t.Fatal(err)
			}
		}
		rest()
		found = s.look(t, stop+1)
		if killed != nil {
			killed.start(t)
		}
		s.back(t)
	}
	s.settle(t)
	found = s.look(t, stops+1)
	if s.sums.refused.Load() > 0 {
		t.Errorf("%d posts were refused: %v", s.sums.refused.Load(), s.sums.refusals)
	}
	t.Logf("%d stops, %d tablets, %d posts sent, %d acknowledged, %d met no database; acknowledged entries: %d rows, %d findings, %d photos, %d results; lost %d, doubled %d",
		stops, tablets, s.sums.sent.Load(), s.sums.answered.Load(), s.sums.away.Load(), found.ticks, found.findings, found.photos, found.results, found.lost, found.doubled)
	s.forget(t, server)
}

// away wants pages, and a clear answer to whoever sends something.
func (s *school) away(t *testing.T) {
	t.Helper()
	for _, h := range s.hosts {
		page, err := http.Get(h.base + "/")
		if err != nil {
			t.Fatal(err)
		}
		page.Body.Close()
		hello, err := http.Get(h.base + "/class/hello")
		if err != nil {
			t.Fatal(err)
		}
		said, _ := io.ReadAll(hello.Body) // for the message
		hello.Body.Close()
		if page.StatusCode != http.StatusOK || hello.StatusCode != http.StatusServiceUnavailable || !strings.Contains(string(said), "since") {
			t.Errorf("while the database is away: a page %d, hello %d %s", page.StatusCode, hello.StatusCode, said)
		}
	}
}

// back waits until all hosts have found the database again.
func (s *school) back(t *testing.T) {
	t.Helper()
	for _, h := range s.hosts {
		for end := time.Now().Add(time.Minute); ; time.Sleep(50 * time.Millisecond) {
			reply, err := http.Get(h.base + "/class/hello")
			if err == nil {
				reply.Body.Close()
			}
			if err == nil && reply.StatusCode == http.StatusOK {
				break
			}
			if time.Now().After(end) {
				t.Fatal("a host does not find the database again")
			}
		}
	}
}

// settle has all tablets send what they have.
func (s *school) settle(t *testing.T) {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), 3*time.Minute)
	defer stop()
	var all sync.WaitGroup
	for _, class := range s.classes {
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
	}
	all.Wait()
}

// look compares what each workshop has with what was acknowledged to its tablets.
func (s *school) look(t *testing.T, stop int) (out counts) {
	t.Helper()
	for i, h := range s.hosts {
		kept, err := store.Open(t.Context(), t.TempDir(), store.Options{Database: h.database, Workshop: h.workshop})
		if err != nil {
			t.Fatalf("after stop %d: %v", stop, err)
		}
		out.add(lookIn(t, kept, s.classes[i], stop, false))
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	}
	return out
}

// forget deletes a name in each workshop, and looks for it in all that the database holds.
func (s *school) forget(t *testing.T, server *pgtest.Server) {
	t.Helper()
	var names []string
	for i, h := range s.hosts {
		kept := h.kept(t)
		name := fmt.Sprintf("Learner %d", s.classes[i][0].number)
		people, err := kept.People(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range people {
			if p.Name == name {
				if _, _, err := kept.Forget(t.Context(), "", p.ID); err != nil {
					t.Error(err)
				}
				names = append(names, name)
			}
		}
		kept.Close()
	}
	if len(names) != workshops {
		t.Errorf("deleted %v", names)
	}
	for _, class := range s.classes { // what tablets still have, and all of them send again, does not bring it back
		for _, tablet := range class {
			tablet.kept = nothing()
		}
	}
	s.settle(t)
	dump := server.Dump(t, "school")
	for _, name := range names {
		if strings.Contains(dump, "'"+name+"'") || strings.Contains(dump, hex.EncodeToString([]byte(`"`+name+`"`))) {
			t.Errorf("the database still holds the name %s", name)
		}
	}
	if !strings.Contains(dump, "'Learner 1'") {
		t.Error("a name that nobody deleted is gone: the search finds nothing")
	}
}
