package library_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
)

// fault is one change to the small library that makes it wrong.
type fault struct {
	name, file, old, new string
	// code is what it brings, once.
	code string
}

// further is how many messages stand beside the first, each with a reason of its own at the bench.
var further = map[string]int{
	"gearbox on nothing": 4, // it is lifted with and released from what never carried it
}

// loses reports whether nothing of the fault's file is read.
func (f fault) loses() bool {
	return slices.Contains([]string{"front-matter-syntax", "not-utf8", "unknown-kind"}, f.code) || f.code == "undefined-name" && f.file != week
}

// clash reports whether two faults cannot both be planted, or the one lies in what the other takes away.
func clash(t *testing.T, a, b fault) bool {
	files, err := examples.Compose()
	assert.NilError(t, err)
	if a.file == b.file && (a.loses() || b.loses()) {
		return true
	}
	for _, f := range []fault{b, a} {
		if f.old != "" && !strings.Contains(files[f.file], f.old) {
			return true
		}
		files = plant(t, f)
	}
	if a.file != b.file || a.old == "" || b.old == "" {
		return false
	}
	return lineOf(t, a) == lineOf(t, b) || sharesLine(a, b)
}

// lineOf is the line of the small library that a fault is planted on.
func lineOf(t *testing.T, f fault) int {
	files, err := examples.Compose()
	assert.NilError(t, err)
	before, _, _ := strings.Cut(files[f.file], f.old)
	return strings.Count(before, "\n")
}

// sharesLine reports whether two faults of a file have a line in common.
func sharesLine(a, b fault) bool {
	for line := range strings.Lines(a.old) {
		if len(strings.TrimSpace(line)) > 3 && slices.Contains(strings.Split(b.old, "\n"), strings.TrimSpace(line)) {
			return true
		}
	}
	return false
}

// needsOther reports whether a message can only be found where the other fault of a pair hides nothing.
func needsOther(message string, a, b fault) bool {
	code := strings.TrimSuffix(strings.Fields(message)[1], ":")
	for _, r := range order.Rules() {
		if string(r.Code) == code {
			return true
		}
	}
	return strings.HasPrefix(code, "undefined-") && (a.loses() || b.loses())
}

const (
	mixer, service, job, round, isolate, check, week = "machines/mixer.md", "procedures/service.md", "procedures/job.md", "procedures/round.md",
		"procedures/isolate.md", "quizzes/check.md", "courses/week.md"
)

var planted = []fault{
	// Files.
	{"machine's front matter unreadable", mixer, "title: Dough mixer", "title: [Dough", "front-matter-syntax"},
	{"machine file missing", mixer, "", "", "undefined-name"},
	{"machine renamed", mixer, "id: mixer\n", "id: mixr\n", "undefined-name"},
	{"machine in another encoding", mixer, "Dough mixer", "Dough mixer \xfc", "not-utf8"},
	{"procedure in another encoding", service, "Take the gearbox out", "Take the gearbox \xfc", "not-utf8"},
	{"procedure's kind mistyped", job, "kind: procedure", "kind: procedur", "unknown-kind"},
	{"procedure without a kind", job, "kind: procedure\n", "", "unknown-kind"},
	{"front matter not closed", job, "edition: \"1\"\n---\n", "edition: \"1\"\n", "front-matter-syntax"},
	{"steps file unreadable", isolate, "id: isolate", "id: [isolate", "front-matter-syntax"},
	{"steps file missing", isolate, "", "", "undefined-name"},
	// Registers.
	{"unknown column", mixer, "| no | name | kind |", "| no | name | knd |", "unknown-column"},
	{"unknown column of names", mixer, "| no | name |", "| num | name |", "unknown-column"},
	{"row with a bad mass", mixer, "64 kg", "64 kq", "bad-quantity"},
	{"row with a bad torque", mixer, "| 1 | 80 N·m | 5 % | 0.2 | gearbox", "| 1 | 80 Nmm | 5 % | 0.2 | gearbox", "bad-quantity"},
	{"row without a name", mixer, "| 3 | Rear bolt", "| | Rear bolt", "cell-value"},
	{"row with a bad number", mixer, "| 3 | Rear bolt", "| 3x | Rear bolt", "cell-value"},
	{"row that joins nothing known", mixer, "gearbox, frame | Bag 3", "gearbx, frame | Bag 3", "undefined-row"},
	{"row with an extra cell", mixer, "| Bag 2 |", "| Bag 2 | more |", "extra-cell"},
	{"register's name mistyped", mixer, "::: register fasteners", "::: register fastener", "attribute-value"},
	{"register not closed", mixer, "quantity |\n|---|---|---|---|\n| socket-13 | Socket set | tool | 1 pcs |\n| crate | Crate, oil-tight | container | 5 L |\n:::\n", "quantity |\n|---|---|---|---|\n| socket-13 | Socket set | tool | 1 pcs |\n| crate | Crate, oil-tight | container | 5 L |\n", "unclosed-block"},
	{"figure's picture missing", mixer, "src=figures/front.svg", "src=figures/frnt.svg", "missing-picture"},
	{"balloon on nothing", mixer, "- 1 at 120,80", "- 9 at 120,80", "undefined-row"},
	// Steps.
	{"caution not closed", service, "comes out. Stand beside it.\n:::\n", "comes out. Stand beside it.\n", "unclosed-block"},
	{"hold point not closed", service, "load is clear\n:::\n", "load is clear\n", "unclosed-block"},
	{"wrong closing fence", service, "comes out. Stand beside it.\n:::\n", "comes out. Stand beside it.\n::::\n", "unclosed-block"},
	{"block kind mistyped", service, "::: caution warning", "::: cuation warning", "unknown-block"},
	{"title not closed", service, "\"Before the lift\"", "\"Before the lift", "fence-syntax"},
	{"heading without its name", service, " {#hoist-on}", "", "heading-without-name"},
	{"name in other brackets", service, " {#hoist-on}", " (#hoist-on)", "heading-without-name"},
	{"attributes not closed", service, "{time=6 needs=isolated figure=front}", "{time=6 needs=isolated figure=front", "fence-syntax"},
	{"bad time", service, "{time=6 needs", "{time=six needs", "bad-time"},
	{"unknown attribute", service, "{time=5 people=2", "{time=5 peple=2", "unknown-attribute"},
	{"comment not closed", service, "Lay the sling", "<!-- todo\nLay the sling", "unclosed-comment"},
	{"step closed", service, "the hoist does\n", "the hoist does\n\n:::\n", "stray-fence"},
	// Actions and names.
	{"box missing", service, "- [ ] remove 2", "- remove 2", "task-form"},
	{"box without its space", service, "- [ ] remove 2", "- [] remove 2", "task-form"},
	{"box ticked", service, "- [ ] remove 2", "- [x] remove 2", "task-form"},
	{"no space behind the hyphen", service, "- [ ] remove 3", "-[ ] remove 3", "task-form"},
	{"fastener mistyped", service, "- [ ] remove 3", "- [ ] remove 33", "undefined-reference"},
	{"part mistyped", service, "- [ ] lift gearbox with", "- [ ] lift gearbx with", "undefined-reference"},
	{"part taken off mistyped", service, "- [ ] remove guard", "- [ ] remove gaurd", "undefined-reference"},
	{"connection mistyped", service, "- [ ] disconnect earth-strap", "- [ ] disconnect earth-stap", "undefined-reference"},
	{"support mistyped", service, "- [ ] support gearbox with hoist, sling", "- [ ] support gearbox with hoist, slng", "undefined-reference"},
	{"condition mistyped", service, "{time=6 needs=isolated", "{time=6 needs=isolted", "undefined-reference"},
	{"verb mistyped", service, "- [ ] remove 2", "- [ ] remoove 2", "unknown-verb"},
	{"verb of the conditions mistyped", isolate, "- [ ] establish isolated", "- [ ] etsablish isolated", "unknown-verb"},
	{"figure mistyped", service, "{time=6 needs=isolated figure=front}", "{time=6 needs=isolated figure=frnt}", "undefined-reference"},
	// Order.
	{"bolt taken twice", service, "- [ ] remove 2\n", "- [ ] remove 2\n- [ ] remove 2\n", "removed-twice"},
	{"gearbox on nothing", service, "- [ ] support gearbox with hoist, sling\n", "", "hangs-on-nothing"},
	{"no hold point", service, "::: hold \"Before the lift\"\n- The floor under the load is clear\n:::\n", "", "lift-without-hold"},
	{"work before isolation", job, "- [ ] establish isolated\n- [ ] verify isolated\n", "- [ ] clean frame\n", "condition-not-held"},
	{"caution too late", service, "::: caution warning {about=3}\nThe gearbox swings when the bolt comes out. Stand beside it.\n:::\n\n- [ ] remove 3\n", "- [ ] remove 3\n\n::: caution warning {about=3}\nThe gearbox swings when the bolt comes out. Stand beside it.\n:::\n", "caution-late"},
	// Quizzes and courses.
	{"question of no step", check, "{type=true-false answer=true}\nYour", "{type=true-false answer=true step=lock-ot}\nYour", "undefined-question-reference"},
	{"question without an answer", check, "{type=true-false answer=true}\nYour", "{type=true-false}\nYour", "question-form"},
	{"course of no procedure", week, "- procedure: round", "- procedure: rund", "undefined-name"},
}

// plant returns the small library with some faults.
func plant(t *testing.T, faults ...fault) map[string]string {
	t.Helper()
	files, err := examples.Compose()
	assert.NilError(t, err)
	for _, f := range faults {
		if f.old == "" {
			delete(files, f.file)
			continue
		}
		after := strings.Replace(files[f.file], f.old, f.new, 1)
		if after == files[f.file] && len(faults) == 1 {
			t.Fatalf("%s: there is no %q", f.name, f.old)
		}
		files[f.file] = after
	}
	return files
}

func checked(t *testing.T, files map[string]string) []diagnostic.Diagnostic {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var log diagnostic.Log
	if _, err := compile.Load(fsys, &log); err != nil {
		t.Fatal(err)
	}
	return slices.DeleteFunc(log.Sorted(), func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Advice })
}

// shown are the messages that are listed one by one, without the numbers of steps
// and lines in them, and missing is how many say that something was not checked.
func shown(all []diagnostic.Diagnostic) (messages []string, missing int) {
	for _, group := range diagnostic.Grouped(all) {
		d := group[0]
		if d.Severity == diagnostic.NotChecked {
			missing++
			continue
		}
		messages = append(messages, fmt.Sprintf("%s %s: %s", d.Severity, d.Code, numbers.ReplaceAllString(d.Says().String(), "step")))
	}
	return messages, missing
}

var numbers = regexp.MustCompile(`steps? \d+( and \d+)?`)

// Each fault by itself is one message, and at most one line more on what was not checked.
func TestOneFaultOneMessage(t *testing.T) {
	for _, f := range planted {
		all := checked(t, plant(t, f))
		messages, missing := shown(all)
		if len(messages) != 1+further[f.name] || missing > 1 || !slices.ContainsFunc(messages, func(m string) bool { return strings.Contains(m, " "+f.code+": ") }) {
			t.Errorf("%s: %d messages and %d lines on what was not checked\n%s", f.name, len(messages), missing, listed(t, all))
		}
	}
}

func listed(t *testing.T, all []diagnostic.Diagnostic) string {
	t.Helper()
	var b strings.Builder
	assert.NilError(t, (diagnostic.Printer{All: true}).Print(&b, all))
	return b.String()
}

// Of two faults in different places both are told and nothing else is. A fault in
// the order of work may stay away where the other one keeps it from being judged; a line says so.
func TestNoFaultHidesAnother(t *testing.T) {
	alone := make([]map[string]bool, len(planted))
	for i, f := range planted {
		alone[i] = map[string]bool{}
		messages, _ := shown(checked(t, plant(t, f)))
		for _, m := range messages {
			alone[i][m] = true
		}
	}
	pairs, unjudged := 0, 0
	for i, a := range planted {
		for j, b := range planted[:i] {
			if clash(t, a, b) {
				continue
			}
			pairs++
			all := checked(t, plant(t, b, a))
			messages, missing := shown(all)
			var gone, new []string
			for _, m := range slices.Concat(slices.Collect(maps.Keys(alone[i])), slices.Collect(maps.Keys(alone[j]))) {
				if !slices.Contains(messages, m) {
					gone = append(gone, m)
				}
			}
			for _, m := range messages {
				if !alone[i][m] && !alone[j][m] {
					new = append(new, m)
				}
			}
			if len(gone) > 0 && (missing > 0 || a.loses() || b.loses()) && !slices.ContainsFunc(gone, func(m string) bool { return !needsOther(m, a, b) }) {
				unjudged++
				gone = nil
			}
			if len(gone)+len(new) > 0 {
				slices.Sort(gone)
				t.Errorf("%s, with %s:\nhidden %q\nnew %q\n%s", a.name, b.name, gone, new, listed(t, all))
			}
		}
	}
	t.Logf("%d pairs, %d with a fault that was not judged", pairs, unjudged)
}
