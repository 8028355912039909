package diagnostic

import (
	"strings"
	"sync"
	"testing"
	"time"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// messages are a log as it may come: two files, a message without a place, a
// second place, tabs, characters of several bytes, a long line, a fault at the end.
func messages() []Diagnostic {
	job := text.NewFile("procedures/job.md", []byte("\uFEFF---\r\nTitle: Größe\r\n\tlöse 4, 5\r\n"+
		strings.Repeat("long ", 30)+"fault "+strings.Repeat("more ", 30)+"\r\nend"))
	mixer := text.NewFile("machines/mixer.md", []byte("| 4 | Bolt |\n| 4 | Nut |\n"))
	at := func(f *text.File, words string) text.Span {
		i := strings.Index(string(f.Source), words)
		return f.Span(i, i+len(words))
	}
	taken := Diagnostic{Code: "duplicate-row", Severity: Error, Span: mixer.Span(15, 16), Wrong: say.That(`"4" is taken already`), Advice: say.That("Give one of them another number."),
		See: []Related{{Span: mixer.Span(2, 3), Says: say.That("taken here")}, {Span: at(job, "4"), Says: say.That("used here")}}}
	return []Diagnostic{
		{Code: "raw-html", Severity: Warning, Span: at(job, "4, 5"), Wrong: say.That(`a warning with <b> & "marks"`), Advice: say.That("Write it in Markdown.")},
		taken,
		{Code: "undefined-name", Severity: Error, Span: at(job, "5"), Wrong: say.That("nothing is called that"), Because: &taken},
		{Code: "not-checked", Severity: NotChecked, Span: at(job, "Title"), Wrong: say.That("the order of work is not judged"),
			See: []Related{{Span: taken.Span, Says: say.That("why")}, {Span: at(job, "4"), Says: say.That("why too")}}},
		{Code: "library-empty", Severity: Error, Wrong: say.That("the library holds no Markdown file")},
		{Code: "bad-name", Severity: Error, Span: at(job, "Größe"), Wrong: say.That("not a name"), Advice: say.That("Use lower-case letters.")},
		{Code: "long-sentence", Severity: Advice, Span: at(job, "fault"), Wrong: say.That("a fault in a long line"), Advice: say.That("Split it.")},
		{Code: "unclosed-block", Severity: Error, Span: at(job, "end"), Wrong: say.That("not closed before the end of the file"), Advice: say.That("Close it.")},
		{Code: "fence-syntax", Severity: Error, Span: job.Span(len(job.Source), len(job.Source)), Wrong: say.That("something is missing here"), Advice: say.That("Write it.")},
		{Code: "text-between-steps", Severity: Error, Span: job.Span(3, 20), Wrong: say.That("over two lines"), Advice: say.That("Move it.")},
	}
}

func sorted(all []Diagnostic) []Diagnostic {
	var log Log
	for _, d := range all {
		log.Add(d)
	}
	return log.Sorted()
}

func TestPrint(t *testing.T) {
	for name, p := range map[string]Printer{
		"plain.txt":   {},
		"excerpt.txt": {Excerpt: true},
		"colour.txt":  {Excerpt: true, Highlight: func(line string) string { return "[" + line + "]" }},
	} {
		var b strings.Builder
		assert.NilError(t, p.Print(&b, sorted(messages())))
		golden.AssertBytes(t, []byte(b.String()), name)
	}
}

func TestPrintJSON(t *testing.T) {
	var b strings.Builder
	assert.NilError(t, PrintJSON(&b, nil, sorted(messages())))
	golden.AssertBytes(t, []byte(b.String()), "all.json")
	b.Reset()
	if err := PrintJSON(&b, nil, nil); err != nil || b.String() != "[]\n" {
		t.Errorf("no messages: %q, %v", b.String(), err)
	}
}

// However the messages come in, they come out by file, line, column and code, each once.
func TestLogOrder(t *testing.T) {
	all := messages()
	want := sorted(all)
	if len(want) != len(all) {
		t.Fatalf("%d of %d messages are left", len(want), len(all))
	}
	var log Log
	var wait sync.WaitGroup
	for range 2 { // each twice, from many sides
		for i := range all {
			wait.Go(func() { log.Add(all[len(all)-1-i]) })
		}
	}
	wait.Wait()
	got := log.Sorted()
	if len(got) != len(want) {
		t.Fatalf("%d messages, want %d", len(got), len(want))
	}
	for i := range got {
		if got[i].Code != want[i].Code {
			t.Errorf("message %d is %s, want %s", i, got[i].Code, want[i].Code)
		}
	}
	if !log.HasErrors() {
		t.Error("the errors are not seen")
	}
	var mild Log
	mild.Add(Diagnostic{Severity: Warning})
	if mild.HasErrors() {
		t.Error("a warning is taken for an error")
	}
}

func TestNearest(t *testing.T) {
	for _, c := range []struct {
		word       string
		candidates []string
		want       string
	}{
		{"cauton", []string{"tip", "caution"}, "caution"},
		{"cuation", []string{"caution"}, "caution"}, // two neighbours swapped are one fault
		{"gearbox-1", []string{"gearbox-2", "gearbox-3"}, "gearbox-2"},
		{"tpi", []string{"tip"}, "tip"},
		{"ti", []string{"tip", "to"}, ""}, // too short to tell
		{"hood", []string{"hold"}, "hold"},
		{"spanner", []string{"hammer"}, ""},
		{"104", []string{"4", "14", "105"}, ""}, // another number is another thing
		{"bolt-4", []string{"bolt-5"}, "bolt-5"},
		{"", []string{"a", "bc"}, ""},
		{"caution", []string{"caution"}, ""}, // the word itself is no advice
		{"größ", []string{"größe"}, "größe"}, // letters count, not bytes
		{"x", nil, ""},
		{strings.Repeat("y", longestWord) + "x", []string{strings.Repeat("y", longestWord)}, ""}, // nobody typed that
		{"yyyyyyyyy", []string{"yyyyyyyyyyyyy"}, ""},                                             // four letters are more than a third of nine
		{"yyyyyyyyy", []string{"yyyyyyyyyyyy"}, "yyyyyyyyyyyy"},
	} {
		if got := Nearest(c.word, c.candidates); got != c.want {
			t.Errorf("%q among %q: %q, want %q", c.word, c.candidates, got, c.want)
		}
	}
}

// Words come from files that anybody may have made: the search is short for the longest of them.
func TestNearestOfAHugeWord(t *testing.T) {
	word := strings.Repeat("x", 4<<20)
	began := time.Now()
	if got := Nearest(word, []string{"caution", word[1:]}); got != "" {
		t.Errorf("%d letters are near", len(got))
	}
	if took := time.Since(began); took > time.Second {
		t.Errorf("it took %v", took)
	}
}

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{"": "", "did you mean x?": "Did you mean x?", "use it": "Use it.", "Stop!": "Stop!", "ändern": "Ändern."} {
		if got := Sentence(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// Two procedures that take in one steps file find the same there; whichever is checked first, the same one is named.
func TestOneOfSeveralTakersIsNamed(t *testing.T) {
	shared := text.NewFile("procedures/shared.md", []byte("danger"))
	from := func(name string) Diagnostic {
		return Diagnostic{Code: "danger-without-hold", Severity: Warning, Span: shared.Span(0, 6), Wrong: say.That("no hold point"),
			See: []Related{{Span: text.NewFile(name, []byte("work")).Span(0, 4), Says: say.That("the work begins here")}}}
	}
	for _, order := range [][]string{{"a.md", "b.md"}, {"b.md", "a.md"}} {
		got := sorted([]Diagnostic{from(order[0]), from(order[1])})
		if len(got) != 1 || got[0].See[0].Span.File.Name != "a.md" {
			t.Errorf("checked as %v: %d messages, the first names %s", order, len(got), got[0].See[0].Span.File.Name)
		}
	}
}
