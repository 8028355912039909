package assist

import (
	"context"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"
	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// bench is a desk on which one small library after the other is laid.
type bench struct {
	*testing.T
	*Desk
}

func newBench(t *testing.T) *bench { return &bench{t, NewDesk(fstest.MapFS{})} }

// messages are those on a library that is laid on the desk in place of the one before.
func (b *bench) messages(library fstest.MapFS) (all []diagnostic.Diagnostic) {
	b.Helper()
	for name, f := range library {
		b.Type(name, f.Data)
	}
	assert.NilError(b, b.Check(context.Background(), nil, func(found []diagnostic.Diagnostic, whole bool) {
		if whole {
			all = found
		}
	}))
	return all
}

// offered are the remedies of a message but for allowing it.
func (b *bench) offered(m diagnostic.Diagnostic) (out []Remedy) {
	if m.Span.File == nil {
		return nil
	}
	for _, r := range Remedies([]diagnostic.Diagnostic{m}, m.Span, b.Lists(m.Span.File.Name)) {
		if r.Reason == "" {
			out = append(out, r)
		}
	}
	return out
}

// with is a library with some edits carried out.
func with(t *testing.T, library fstest.MapFS, edits []rewrite.Edit) fstest.MapFS {
	t.Helper()
	made, err := rewrite.Make(edits)
	assert.NilError(t, err)
	out := maps.Clone(library)
	for _, f := range made {
		out[f.Old.Name] = &fstest.MapFile{Data: f.Source}
	}
	return out
}

// count is how many messages have a code.
func count(all []diagnostic.Diagnostic, code diagnostic.Code) (n int) {
	for _, d := range all {
		if d.Code == code {
			n++
		}
	}
	return n
}

// unmarked takes out what marks the place of the message in an example.
var unmarked = strings.NewReplacer("«", "", "»", "")

var emptyPlace = regexp.MustCompile(`(?m)^@[a-z-]+\n`)

// faulty is the small library on which a rule's example lies, with the example's fault in it.
func faulty(t *testing.T, base, example string) fstest.MapFS {
	t.Helper()
	ground, err := txtar.ParseFile(base)
	assert.NilError(t, err)
	pair, err := txtar.ParseFile(example)
	assert.NilError(t, err)
	library := fstest.MapFS{}
	for _, f := range ground.Files {
		words := string(f.Data)
		for _, p := range pair.Files {
			kind, place, _ := strings.Cut(p.Name, "/")
			if kind == "with" || kind == "bad" {
				put := unmarked.Replace(string(p.Data))
				words = strings.Replace(words, "@"+place+"\n", put+"@"+place+"\n", 1)
			}
		}
		library[f.Name] = &fstest.MapFile{Data: []byte(emptyPlace.ReplaceAllString(words, ""))}
	}
	for _, p := range pair.Files {
		if name, whole := strings.CutPrefix(p.Name, "bad/"); whole && strings.HasSuffix(name, ".md") {
			library[name] = &fstest.MapFile{Data: []byte(unmarked.Replace(string(p.Data)))}
		}
	}
	return library
}

// TestRepairsMend carries out each repair of each rule's example: the message is gone then.
func TestRepairsMend(t *testing.T) {
	const folder = "../../procedure/check/order/testdata/"
	desk, offers := newBench(t), 0
	for _, code := range slices.Sorted(maps.Keys(repairOf)) {
		t.Run(string(code), func(t *testing.T) {
			library := faulty(t, folder+"base.txtar", folder+string(code)+".txtar")
			all := desk.messages(library)
			before := count(all, code)
			if before == 0 {
				t.Fatal("the example has no such message")
			}
			for _, m := range all {
				if m.Code != code {
					continue
				}
				for _, r := range desk.offered(m) {
					offers++
					after := desk.messages(with(t, library, r.Edits))
					if count(after, code) >= before {
						t.Errorf("%s: the message stays", r.Title)
					}
				}
			}
		})
	}
	t.Logf("%d repairs are offered", offers)
	if offers < 8 {
		t.Errorf("%d repairs are offered", offers)
	}
}

func TestRepairsAsText(t *testing.T) {
	const job = "---\nkind: procedure\nid: job\n---\n## One {#one}\n{time=2}\n\nWords.\n\n## Two {#two}\n{time=2 after=\"three, one\"}\n\n- [ ] remove 1\n\n## Three {#three}\n\nEnd.\n"
	f := text.NewFile("job.md", []byte(job))
	at := func(words string) text.Span {
		i := strings.Index(job, words)
		return f.Span(i, i+len(words))
	}
	made := func(edits []rewrite.Edit) string {
		t.Helper()
		files, err := rewrite.Make(edits)
		assert.NilError(t, err)
		if len(files) == 0 {
			return job
		}
		return string(files[0].Source)
	}
	_, edits := withoutAfter(at("three, one").Sub(0, 5))
	assert.Equal(t, made(edits), strings.Replace(job, `"three, one"`, `"one"`, 1))
	_, edits = statedAfter(at("## Three"))
	assert.Equal(t, made(edits), strings.Replace(job, "{#three}\n", "{#three}\n{after=two}\n", 1))
	_, edits = statedAfter(at("## Two"))
	assert.Equal(t, made(edits), strings.Replace(job, `"three, one"`, `"three, one, one"`, 1))
	_, edits = heldAtEnd(at("remove 1"), -1)
	if !strings.Contains(made(edits), "Words.\n\n::: hold \"Stop and look\"\n\n- ??? What must be so before work goes on\n\n:::\n\n## Two") {
		t.Errorf("the hold point is\n%s", made(edits))
	}
	_, edits = heldAtEnd(at("## One"), -1)
	assert.Equal(t, len(edits), 0)
	for _, r := range afterLater(diagnostic.Diagnostic{Span: at("three, one").Sub(0, 5), See: []diagnostic.Related{{Span: at("## Three")}}})[:1] {
		if got := made(r.Edits); !strings.HasSuffix(got, "Words.\n\n## Three {#three}\n\nEnd.\n\n## Two {#two}\n{time=2 after=\"three, one\"}\n\n- [ ] remove 1\n") {
			t.Errorf("moved:\n%s", got)
		}
	}
}

// TestNamesGoIntoRegisters adds what a step names and no register has.
func TestNamesGoIntoRegisters(t *testing.T) {
	library := faulty(t, "../../procedure/check/order/testdata/base.txtar", "../../procedure/check/order/testdata/base.txtar")
	words := strings.Replace(string(library["procedures/job.md"].Data), "Work from the front.\n", "Work from the front.\n\n- [ ] remove spring-cap\n- [ ] loosen 9\n", 1)
	library["procedures/job.md"] = &fstest.MapFile{Data: []byte(words)}
	want := map[string]string{"spring-cap": "| spring-cap | Spring cap |", "9": "| 9 | 9 |"}
	desk := newBench(t)
	for _, m := range desk.messages(library) {
		row := want[m.Span.Text()]
		if m.Code != "undefined-reference" || row == "" {
			continue
		}
		delete(want, m.Span.Text())
		remedies := desk.offered(m)
		last := remedies[len(remedies)-1]
		next := with(t, library, last.Edits)
		if got := string(next["machines/mixer.md"].Data); !strings.Contains(got, row) {
			t.Errorf("%s gives\n%s", last.Title, got)
		}
		for _, x := range desk.messages(next) {
			if x.Code == m.Code && x.Span.Text() == m.Span.Text() {
				t.Errorf("%s: the message stays", last.Title)
			}
		}
	}
	if len(want) > 0 {
		t.Errorf("nothing is said of %v", want)
	}
}

const slips = "../../procedure/source/testdata/slips.txtar"

const slipMachine = `---
kind: machine
id: mixer
title: Mixer
---
::: register parts "Parts"
| id | name |
|----|------|
| frame | Frame |

- frame: base
:::
::: register fasteners "Fasteners"
| no | name | kind | no-torque | joins |
|----|------|------|-----------|-------|
| 4 | Screw | screw | hand-tight | frame |
| 5 | Screw | screw | hand-tight | frame |
:::
`

const slipJob = "---\nkind: procedure\nid: job\ntitle: Job\nmachine: mixer\nedition: \"1\"\n---\n"

// TestSlipsAreMended takes each slip of the list: where the message stands, what is offered, and that carrying it out, as
// often as something is offered, leaves no message of that kind. Those that need somebody who knows the job are listed.
func TestSlipsAreMended(t *testing.T) {
	src, err := os.ReadFile(slips)
	assert.NilError(t, err)
	archive := txtar.Parse(src)
	desk := newBench(t)
	told, mended := 0, 0
	var list strings.Builder
	for i := 0; i < len(archive.Files); i += 2 {
		slip, says := archive.Files[i], string(archive.Files[i+1].Data)
		first := regexp.MustCompile(`^job\.md:(\d+):\d+: (?:error|warning) ([a-z-]+):`).FindStringSubmatch(says)
		if first == nil {
			continue // read as it was meant, or advice
		}
		told++
		body := strings.Replace(string(slip.Data), "@\n", "## Look {#look}\n{time=6}\n\nLook.\n\n", 1)
		library := fstest.MapFS{"mixer.md": {Data: []byte(slipMachine)}, "job.md": {Data: []byte(slipJob + body)}}
		fmt.Fprintf(&list, "-- %s (%s) --\n", slip.Name, first[2])
		offered, after := desk.mendSlip(library, diagnostic.Code(first[2]))
		if after == nil {
			list.WriteString("needs the author\n")
			continue
		}
		mended++
		fmt.Fprintf(&list, "offered: %s\n%s", strings.Join(offered, "; then: "), strings.TrimPrefix(string(after["job.md"].Data), slipJob))
	}
	t.Logf("of %d slips, %d bring a message, and %d of these are mended by what is offered", len(archive.Files)/2, told, mended)
	golden.Assert(t, list.String(), "slips.golden")
	if len(archive.Files)/2 < 100 || mended < slipsMended {
		t.Errorf("%d slips, %d mended", len(archive.Files)/2, mended)
	}
}

// slipsMended is how many of the slips were mended when this was written: no fewer are.
const slipsMended = 147

// mendSlip carries out the first remedy of the messages with a code until none is left, and gives the titles of what it
// carried out and the library then. It gives no library when nothing more is offered.
func (b *bench) mendSlip(library fstest.MapFS, code diagnostic.Code) (offered []string, mended fstest.MapFS) {
	b.Helper()
	for range 4 {
		all := b.messages(library)
		if count(all, code) == 0 {
			return offered, library
		}
		var next, others []Remedy // those of other messages on the same slip come behind
		for _, m := range all {
			if m.Code != code && m.Span.File != nil && m.Span.File.Name == "job.md" {
				others = append(others, b.offered(m)...)
			}
			if m.Code == code {
				if m.Span.File == nil || m.Span.File.Name != "job.md" {
					b.Errorf("%s stands in no place of the slip", m.Code)
				}
				next = append(next, b.offered(m)...)
			}
		}
		next = append(next, others...)
		if len(next) == 0 {
			return nil, nil
		}
		offered = append(offered, next[0].Title.String())
		library = with(b.T, library, next[0].Edits)
	}
	return nil, nil
}

// What is offered is said in the reader's language.
func TestTitlesInGerman(t *testing.T) {
	f := text.NewFile("a.md", []byte("---\nkind: procedure\n---\n\n- [ ] remove cover\n"))
	d := diagnostic.Diagnostic{Code: "passive", Severity: diagnostic.Advice, Span: f.Span(27, 33)}
	german := say.Translation("de")
	var titles []string
	for _, r := range Remedies([]diagnostic.Diagnostic{d}, d.Span, nil) {
		titles = append(titles, r.Title.In(german))
	}
	assert.DeepEqual(t, titles, []string{"passive hier zulassen, mit einem Grund"})
}
