package benchtest

import (
	"flag"
	"fmt"
	"maps"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"matchmark/compile"
	"matchmark/procedure/diagnostic"
)

var (
	showCaught = flag.Bool("caught", false, "list the faults that are caught too, each with its message")
	only       = flag.String("only", "", "plant only the faults and variations whose GROUP/NAME matches; what is caught is listed, and no share is held")
)

// outcome is what the check made of one fault or variation.
type outcome struct {
	// broken says why the fault cannot be planted; the corpus is wrong then.
	broken error
	// waits is true while the language cannot say what the fault needs.
	waits bool
	// caught is a message about the fault at its place; elsewhere are new messages that do not count.
	caught    string
	elsewhere []string
}

// TestFaultsAtTheBench plants each fault of the corpus by itself and holds the
// share that is caught, group by group.
func TestFaultsAtTheBench(t *testing.T) {
	groups := readGroups(t)
	if *only != "" {
		chosen := regexp.MustCompile(*only)
		for name, g := range groups {
			left := func(f fault) bool { return !chosen.MatchString(name + "/" + f.Name) }
			g.Faults, g.Variations, g.Least = slices.DeleteFunc(g.Faults, left), slices.DeleteFunc(g.Variations, left), 0
		}
	}
	results := run(t, groups)
	for _, name := range slices.Sorted(maps.Keys(groups)) {
		g := groups[name]
		t.Run(name, func(t *testing.T) {
			caught, waiting := 0, 0
			for _, f := range g.Faults {
				switch r := results[name+"/"+f.Name]; {
				case r.broken != nil:
					t.Errorf("%s: %v", f.Name, r.broken)
				case r.waits:
					waiting++
					t.Logf("waits  %s (%s)%s", f.Name, f.Waits, list(r.elsewhere))
				case r.caught == "":
					t.Logf("missed %s: %s%s", f.Name, f.Wrong, list(r.elsewhere))
				default:
					caught++
					if *showCaught {
						t.Logf("caught %s: %s%s", f.Name, f.Wrong, list([]string{r.caught}))
					}
				}
			}
			alarms := 0
			for _, f := range g.Variations {
				switch r := results[name+"/"+f.Name]; {
				case r.broken != nil:
					t.Errorf("%s: %v", f.Name, r.broken)
				case r.waits:
					t.Logf("waits  %s (%s)%s", f.Name, f.Waits, list(r.elsewhere))
				case len(r.elsewhere) > 0:
					alarms++
					t.Logf("false alarm on %s: %s%s", f.Name, f.Wrong, list(r.elsewhere))
				}
			}
			if n := len(g.Faults); n > 0 {
				t.Logf("%s: %d of %d faults caught (%d %%), %d wait for the language; %d on the first run", g.Title, caught, n, 100*caught/n, waiting, g.First)
			}
			if n := len(g.Variations); n > 0 {
				t.Logf("%s: %d of %d variations bring a false alarm", g.Title, alarms, n)
			}
			if caught < g.Least {
				t.Errorf("%d faults are caught, and %d were", caught, g.Least)
			}
			if alarms > g.Alarms {
				t.Errorf("%d variations bring a false alarm, and %d did", alarms, g.Alarms)
			}
		})
	}
}

func list(messages []string) string {
	if len(messages) == 0 {
		return ""
	}
	return "\n      " + strings.Join(messages, "\n      ")
}

// run checks every fault and variation, as many at a time as there are processors.
func run(t *testing.T, groups map[string]*group) map[string]outcome {
	t.Helper()
	libraries := map[string]library{}
	for _, g := range groups {
		for _, f := range slices.Concat(g.Faults, g.Variations) {
			if libraries[f.In] != nil {
				continue
			}
			l, err := readLibrary(f.In)
			if err != nil {
				t.Fatal(err)
			}
			libraries[f.In] = l
		}
	}
	sound := map[string][]message{}
	for name, l := range libraries {
		sound[name] = check(l)
		for _, m := range sound[name] {
			if m.severity >= diagnostic.Warning {
				t.Errorf("library %s is not sound: %s", name, m)
			}
		}
	}
	out := map[string]outcome{}
	var lock sync.Mutex
	var wait sync.WaitGroup
	turn := make(chan struct{}, runtime.GOMAXPROCS(0))
	start := func(key string, g *group, f fault, judge func(*group, fault, library, []message) outcome) {
		if _, twice := out[key]; twice {
			t.Errorf("%s is there twice", key)
		}
		out[key] = outcome{}
		wait.Go(func() {
			turn <- struct{}{}
			r := judge(g, f, libraries[f.In], sound[f.In])
			<-turn
			lock.Lock()
			defer lock.Unlock()
			out[key] = r
		})
	}
	for name, g := range groups {
		for _, f := range g.Faults {
			lock.Lock()
			start(name+"/"+f.Name, g, f, judgeFault)
			lock.Unlock()
		}
		for _, f := range g.Variations {
			lock.Lock()
			start(name+"/"+f.Name, g, f, judgeVariation)
			lock.Unlock()
		}
	}
	wait.Wait()
	return out
}

// planted makes the fault's setup and then its own changes.
func (f fault) planted(g *group, sound library) (before, after library, touched []string, err error) {
	before = maps.Clone(sound)
	if f.Setup != "" && g.Setups[f.Setup] == nil {
		return nil, nil, nil, fmt.Errorf("there is no setup %q", f.Setup)
	}
	for _, e := range g.Setups[f.Setup] {
		if _, err := before.apply(e); err != nil {
			return nil, nil, nil, fmt.Errorf("setup %s: %w", f.Setup, err)
		}
	}
	after = maps.Clone(before)
	for _, e := range append([]Edit{f.Edit}, f.Then...) {
		steps, err := after.apply(e)
		if err != nil {
			return nil, nil, nil, err
		}
		touched = append(touched, steps...)
	}
	return before, after, touched, nil
}

func judgeFault(g *group, f fault, sound library, messages []message) (out outcome) {
	before, after, touched, err := f.planted(g, sound)
	if err != nil {
		return outcome{broken: err}
	}
	about, err := regexp.Compile("(?i)" + f.About)
	if err != nil || f.About == "" || f.Wrong == "" {
		return outcome{broken: fmt.Errorf("about and wrong must be given: %v", err)}
	}
	where := places{}
	where.changed(before, after)
	for _, step := range touched {
		if err := where.name(after, step); err != nil {
			return outcome{broken: err}
		}
	}
	for _, at := range f.At {
		if err := where.name(after, at); err != nil {
			return outcome{broken: err}
		}
	}
	if f.Setup != "" {
		if messages = check(before); len(errorsOf(messages)) > 0 {
			return outcome{waits: true, elsewhere: []string{errorsOf(messages)[0].String()}}
		}
	}
	unread := false
	for _, m := range fresh(messages, check(after)) {
		switch {
		case m.unread:
			unread = unread || m.severity == diagnostic.Error
		case m.severity < diagnostic.Advice:
		case about.MatchString(m.says) && m.stands(where):
			if out.caught == "" {
				out.caught = m.String()
			}
		default:
			out.elsewhere = append(out.elsewhere, m.String())
		}
	}
	out.waits = out.caught == "" && f.Waits != "" && unread
	return out
}

func judgeVariation(g *group, f fault, sound library, messages []message) (out outcome) {
	before, after, _, err := f.planted(g, sound)
	if err != nil {
		return outcome{broken: err}
	}
	if f.Setup != "" {
		if messages = check(before); len(errorsOf(messages)) > 0 {
			return outcome{waits: true, elsewhere: []string{errorsOf(messages)[0].String()}}
		}
	}
	for _, m := range fresh(messages, check(after)) {
		if m.unread && m.severity == diagnostic.Error && f.Waits != "" {
			return outcome{waits: true}
		}
		if m.severity >= diagnostic.Warning {
			out.elsewhere = append(out.elsewhere, m.String())
		}
	}
	return out
}

// message is a diagnostic as the corpus needs it.
type message struct {
	severity diagnostic.Severity
	code     string
	says     string
	at       []string // file:line of the message and of the places that it points to
	spots    []spot
	line     string // the line that it stands on
	unread   bool   // it is about the form, and never about the bench
}

type spot struct {
	file string
	line int
}

func (m message) String() string {
	return fmt.Sprintf("%s %s: %s (%s)", m.severity, m.code, m.says, strings.Join(m.at, ", "))
}

func (m message) stands(where places) bool {
	return slices.ContainsFunc(m.spots, func(s spot) bool { return where[s.file][s.line] })
}

// unreadCodes are of messages about the form of what was written, or about a row that nothing uses any more: a fault at the
// bench is never caught by one.
var unreadCodes = regexp.MustCompile(`^(unused-row|unknown-column|unknown-attribute|unknown-block|unknown-verb|unknown-kind|unknown-field|fence-syntax|task-form|front-matter.*)$`)

func check(l library) []message {
	files := fstest.MapFS{}
	for name, text := range l {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var log diagnostic.Log
	if _, err := compile.Load(files, &log); err != nil {
		return []message{{severity: diagnostic.Error, says: err.Error(), unread: true}}
	}
	var out []message
	for _, d := range log.Sorted() {
		m := message{severity: d.Severity, code: string(d.Code), says: d.Says().String(), unread: unreadCodes.MatchString(string(d.Code))}
		for _, p := range append([]diagnostic.Related{{Span: d.Span}}, d.See...) {
			at := diagnostic.Diagnostic{Span: p.Span}.At()
			m.at = append(m.at, fmt.Sprintf("%s:%d", at.File, at.Line))
			m.spots = append(m.spots, spot{at.File, at.Line})
			if lines := strings.Split(l[at.File], "\n"); m.line == "" && 0 < at.Line && at.Line <= len(lines) {
				m.line = lines[at.Line-1]
			}
		}
		out = append(out, m)
	}
	return out
}

func errorsOf(all []message) []message {
	return slices.DeleteFunc(slices.Clone(all), func(m message) bool { return m.severity < diagnostic.Error })
}

// stepNumbers are what a change elsewhere in the procedure moves.
var stepNumbers = regexp.MustCompile(`steps? \d+( and \d+)?`)

// fresh lists the messages that were not there before, each as often as it is new.
func fresh(before, after []message) []message {
	key := func(m message) string {
		return fmt.Sprint(m.severity, m.code, stepNumbers.ReplaceAllString(m.says, "step"), m.line)
	}
	had := map[string]int{}
	for _, m := range before {
		had[key(m)]++
	}
	var out []message
	for _, m := range after {
		if k := key(m); had[k] > 0 {
			had[k]--
			continue
		}
		out = append(out, m)
	}
	return out
}
