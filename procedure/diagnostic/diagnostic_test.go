package diagnostic

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"matchmark/procedure/text"
)

var update = flag.Bool("update", false, "write the golden files anew")

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
	return []Diagnostic{
		{Code: "raw-html", Severity: Warning, Span: at(job, "4, 5"), Message: `a warning with <b> & "marks"`, Do: "Write it in Markdown."},
		{Code: "duplicate-row", Severity: Error, Span: mixer.Span(15, 16), Message: `"4" is taken already`, Do: "Give one of them another number.",
			See: []Related{{mixer.Span(2, 3), "taken here"}, {at(job, "4"), "used here"}}},
		{Code: "library-empty", Severity: Error, Message: "the library holds no Markdown file"},
		{Code: "bad-name", Severity: Error, Span: at(job, "Größe"), Message: "not a name", Do: "Use lower-case letters."},
		{Code: "long-sentence", Severity: Advice, Span: at(job, "fault"), Message: "a fault in a long line", Do: "Split it."},
		{Code: "unclosed-block", Severity: Error, Span: at(job, "end"), Message: "not closed before the end of the file", Do: "Close it."},
		{Code: "fence-syntax", Severity: Error, Span: job.Span(len(job.Source), len(job.Source)), Message: "something is missing here", Do: "Write it."},
		{Code: "text-between-steps", Severity: Error, Span: job.Span(3, 20), Message: "over two lines", Do: "Move it."},
	}
}

func sorted(all []Diagnostic) []Diagnostic {
	var log Log
	for _, d := range all {
		log.Add(d)
	}
	return log.Sorted()
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
	}
}

func TestPrint(t *testing.T) {
	for name, p := range map[string]Printer{
		"plain.txt":   {},
		"excerpt.txt": {Excerpt: true},
		"colour.txt":  {Excerpt: true, Highlight: func(line string) string { return "[" + line + "]" }},
	} {
		var b strings.Builder
		if err := p.Print(&b, sorted(messages())); err != nil {
			t.Fatal(err)
		}
		golden(t, name, b.String())
	}
}

func TestPrintJSON(t *testing.T) {
	var b strings.Builder
	if err := PrintJSON(&b, sorted(messages())); err != nil {
		t.Fatal(err)
	}
	golden(t, "all.json", b.String())
	b.Reset()
	if err := PrintJSON(&b, nil); err != nil || b.String() != "[]\n" {
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
	} {
		if got := Nearest(c.word, c.candidates); got != c.want {
			t.Errorf("%q among %q: %q, want %q", c.word, c.candidates, got, c.want)
		}
	}
}

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{"": "", "did you mean x?": "Did you mean x?", "use it": "Use it.", "Stop!": "Stop!", "ändern": "Ändern."} {
		if got := Sentence(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
