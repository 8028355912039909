package source

import (
	"io/fs"

	"github.com/go-playground/validator/v10"
	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/yuin/goldmark"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Reader reads a library's files one at a time, for those who keep no whole
// library in memory. It may be used from several goroutines at once.
type Reader struct {
	md       goldmark.Markdown
	validate *validator.Validate
	numbers  measure.Reading
	load     func(name string) ([]byte, error)
}

// NewReader returns a reader of the dialect, for libraries in English.
func NewReader() *Reader { return &Reader{md: newMarkdown(), validate: newValidator()} }

// For returns a reader of a library in a language: its numbers have the language's decimal sign. Machines may take rows from
// other files of the library, which load reads; it is nil for one that looks at files by themselves.
func (x *Reader) For(language string, load func(name string) ([]byte, error)) *Reader {
	out := *x
	out.load, out.numbers = load, numbersIn(language)
	return &out
}

func (x *Reader) of(f *text.File, log *diagnostic.Log) *reader {
	return &reader{md: x.md, validate: x.validate, numbers: x.numbers, load: x.load, log: log, file: f, used: map[string]bool{}}
}

// Part is what one file turned out to be, its names not resolved yet.
type Part struct{ parsed }

// Read reads one file of any kind; err is what happened when its bytes were read.
// A panic of matchmark's own becomes a message on the file, of which nothing is read then.
func (x *Reader) Read(f *text.File, err error, log *diagnostic.Log) *Part {
	part := &Part{}
	diagnostic.GuardWork(say.That("reading the file"), f.Span(0, 0), log.Add, func() { part.parsed = x.of(f, log).read(err) })
	return part
}

// Machine is the file's machine, nil when it is no machine file.
func (p *Part) Machine() *procedure.Machine { return p.machine }

// Glossary is the file's glossary, nil when it is no glossary file.
func (p *Part) Glossary() *procedure.Glossary { return p.glossary }

// Registers is the file if it is a registers file, else nil.
func (p *Part) Registers() *text.File {
	if p.registers == nil {
		return nil
	}
	return p.registers.file
}

// Course is the file's course, nil when it is no course file.
func (p *Part) Course() *procedure.Course { return p.course }

// Figures are the figures that the file itself defines.
func (p *Part) Figures() []*procedure.Figure {
	switch {
	case p.machine != nil:
		return p.machine.Figures
	case p.steps != nil:
		return p.steps.figures
	case p.wayBack != nil:
		return p.wayBack.Figures
	}
	return nil
}

// Includes names the steps files that the file takes in, in order.
func (p *Part) Includes() []string {
	if p.steps == nil {
		return nil
	}
	var out []string
	for _, i := range p.steps.inclusions {
		out = append(out, i.ref.ID)
	}
	return out
}

// Settings reads library.yaml into a library that holds nothing else.
func (x *Reader) Settings(fsys fs.FS, log *diagnostic.Log) (*Library, error) {
	lib := &Library{Library: &procedure.Library{Language: "en"}}
	return lib, lib.settings(fsys, func(f *text.File) *reader { return x.of(f, log) })
}

// Add takes files into a library, in the order given.
func (l *Library) Add(parts ...*Part) {
	for _, p := range parts {
		l.add(p.parsed)
	}
}

// SettingsFile is the name of the file with the library's own settings.
const SettingsFile = settingsFile

// Files lists the library's Markdown files in order; one that cannot be looked at is reported.
func Files(fsys fs.FS, log *diagnostic.Log) ([]string, error) { return markdownFiles(fsys, log) }

// IsFile reports whether the file of that name, below no hidden folder, is one of the library's Markdown files.
func IsFile(name string) bool { return isMarkdown(name) }

// Load reads the bytes of a file, up to the size that a source file may have.
func Load(fsys fs.FS, name string) ([]byte, error) { return readFile(fsys, name) }

// Heading is what a file's front matter says that the file is, and the file that
// it belongs to. It is what joins the files; the rest of a file can be read later.
type Heading struct {
	// Kind and ID are empty when the file does not say them, or not as it must.
	Kind, ID string
	// IDSpan is where the id stands, of a glossary, which has none, the kind.
	IDSpan text.Span
	// Of is the id of the machine of a procedure, of the procedure of a quiz or a refit, or of the machine that one is like.
	Of string
}

// Heading reads a file's front matter alone. It reports nothing: Read does.
func (x *Reader) Heading(f *text.File) Heading {
	h := Heading{}
	diagnostic.GuardWork(say.That("reading the file"), f.Span(0, 0), func(diagnostic.Diagnostic) {}, func() { h = x.heading(f) })
	return h
}

func (x *Reader) heading(f *text.File) Heading {
	m, ok, _ := splitMatter(f)
	if !ok || !x.of(f, &diagnostic.Log{}).parseMatter(&m) {
		return Heading{}
	}
	h := Heading{Kind: m.kind()}
	if id := m.scalar("id"); isName(id) {
		h.ID, h.IDSpan = id, m.spanOf("id")
	}
	switch h.Kind {
	case "machine":
		h.Of = m.scalar("like")
	case "procedure":
		h.Of = m.scalar("machine")
	case "quiz", "refit":
		h.Of = m.scalar("procedure")
	case "glossary":
		h.IDSpan = m.spanOf("kind")
	}
	return h
}

// scalar returns the value of a line of the front matter, "" when it has none that is a word.
func (m *frontMatter) scalar(name string) (word string) {
	if !m.value(name, &word) {
		return ""
	}
	return word
}

// value reads the value of a line of the front matter, and reports whether it has one that fits.
func (m *frontMatter) value(name string, to any) bool {
	tree, ok := m.tree.(ast.MapNode)
	if !ok {
		return false
	}
	for it := tree.MapRange(); it.Next(); {
		if keyOf(it.Key()) == name {
			return yaml.NodeToValue(it.Value(), to) == nil
		}
	}
	return false
}

// IDs are the ids of a whole library by kind, so that a part of the library
// can say what a mistyped name may have meant.
type IDs map[string][]string

// namedKinds are the kinds of file that others name, as messages call them.
var namedKinds = map[string]string{"machine": "machine", "procedure": "procedure", "quiz": "quiz", "course": "course", "steps": "steps file"}

// IDsOf collects the ids of a library's headings, and reports those that are taken twice.
func IDsOf(headings []Heading, log *diagnostic.Log) IDs {
	x := resolver{log: log}
	out := IDs{}
	var glossaries []text.Span
	for _, h := range headings {
		if h.Kind == "glossary" {
			glossaries = append(glossaries, h.IDSpan)
		}
	}
	x.oneGlossary(glossaries)
	for _, kind := range []string{"machine", "procedure", "quiz", "course", "steps"} {
		var of []Heading
		for _, h := range headings {
			if h.Kind == kind && h.ID != "" {
				of = append(of, h)
			}
		}
		word := namedKinds[kind]
		ids := index(&x, word, of, func(h Heading) (string, text.Span) { return h.ID, h.IDSpan })
		out[word] = sortedKeys(ids)
		if kind == "procedure" {
			for _, h := range of {
				x.refittingName(h.ID, h.IDSpan, func(id string) (text.Span, bool) { h, ok := ids[id]; return h.IDSpan, ok })
			}
		}
	}
	return out
}

// ResolvePart joins the files of a part of a library, which must hold all that
// its files name and that exists. Resolve's messages on what only the whole
// library shows are left out: IDsOf has those on names.
func (l *Library) ResolvePart(ids IDs, log *diagnostic.Log) *procedure.Library {
	l.ids = ids
	return l.Resolve(log)
}

// ResolveCourse is ResolvePart for a course alone, on a library of procedures and quizzes that are joined already.
func (p *Part) ResolveCourse(lib *procedure.Library, ids IDs, log *diagnostic.Log) {
	if p.course == nil {
		return
	}
	x := resolver{log: log, ids: ids}
	procedures := index(&x, "procedure", lib.Procedures, func(p *procedure.Procedure) (string, text.Span) { return p.ID, p.Span })
	quizzes := index(&x, "quiz", lib.Quizzes, func(q *procedure.Quiz) (string, text.Span) { return q.ID, q.Span })
	x.course(p.course, procedures, quizzes)
	lib.Courses = append(lib.Courses, p.course)
}

// UnusedSteps reports a steps file that no procedure takes in.
func UnusedSteps(h Heading, log *diagnostic.Log) {
	log.Add(newDiagnostic("unused-file", h.IDSpan, say.That("no procedure takes in these steps"), say.That("Include them, or take the file out.")))
}

// Empty reports a library without files.
func Empty(log *diagnostic.Log) {
	log.Add(diagnostic.Diagnostic{
		Code: "library-empty", Severity: diagnostic.Error,
		Wrong:  say.That("the library holds no Markdown file"),
		Advice: say.That("Write a machine and a procedure, or start from `matchmark new`."),
	})
}
