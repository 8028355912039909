// Package source reads the dialect: Markdown with colon-fenced blocks, registers
// as tables, and YAML front matter. It turns a folder of files into the typed
// model and reports every fault with its place. Only this package knows goldmark.
package source

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"github.com/go-playground/validator/v10"
	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/yuin/goldmark"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/parallel"
	"matchmark/procedure/prose"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// settingsFile holds the library's own settings, at its root.
const settingsFile = "library.yaml"

// reader reads one file.
type reader struct {
	md       goldmark.Markdown
	validate *validator.Validate
	numbers  measure.Reading
	// load reads a file of the library that a machine links to; nil when a file is looked at by itself.
	load func(name string) ([]byte, error)
	// sources are the files that were read besides; inLinked is true in one of them.
	sources  []*text.File
	inLinked bool
	log      *diagnostic.Log
	file     *text.File
	// src is the Markdown that goldmark parses: the file from base on. text is the same, for the words of prose.
	src  []byte
	text string
	base int
	// light is set when the file's steps are headings.
	light bool
	// used holds the labels of the file's link definitions that a link uses.
	used map[string]bool
	// parameters are those of a steps file.
	parameters []Parameter
	// trying is set while a fix is tried out on a line.
	trying bool

	// old is the place of the first older form in the file.
	old text.Span
	// gaps is what the blocks of the step that is read leave out.
	gaps gaps

	// nodes is what a piece of prose is put together in, used anew for each.
	nodes []prose.Node
}

// parsed is what one file turned out to be; at most one of the pointers to what it is is set.
type parsed struct {
	machine   *procedure.Machine
	registers *registersFile
	procedure *procedure.Procedure
	steps     *stepsFile
	wayBack   *procedure.RefitFile
	quiz      *procedure.Quiz
	course    *procedure.Course
	glossary  *procedure.Glossary
	// old is set beside one of them when the file is written in older forms.
	old *oldFile
}

// Read reads a library. Faults go to the log; what could be read is returned all
// the same. Names across files are not resolved yet: Resolve does that.
// The error is the world's, not the author's: a folder that cannot be read.
func Read(fsys fs.FS, log *diagnostic.Log) (*Library, error) {
	names, err := markdownFiles(fsys, log)
	if err != nil {
		return nil, err
	}
	reader := NewReader()
	lib, err := reader.Settings(fsys, log)
	if err != nil {
		return nil, err
	}
	reader = reader.For(lib.Language, func(name string) ([]byte, error) { return readFile(fsys, name) })
	// Each file is read on its own; results keep the order of the names.
	results := make([]*Part, len(names))
	files := make([]*text.File, len(names))
	parallel.Each(names, func(i int) {
		src, err := readFile(fsys, names[i])
		files[i] = text.NewFile(names[i], src)
		results[i] = reader.Read(files[i], err, log)
	})
	lib.Files = append(lib.Files, files...)
	lib.Add(results...)
	if len(names) == 0 {
		Empty(log)
	}
	return lib, nil
}

// Library is a library as read: procedures still lack their machines and the steps that they take in.
type Library struct {
	*procedure.Library
	own    []*stepsFile // by procedure, same order
	shared []*stepsFile
	// registers are the files that machines may take rows from.
	registers []*registersFile
	waysBack  []*procedure.RefitFile
	// glossaries are all that there are; the first is the library's.
	glossaries []*procedure.Glossary
	// old are the files in older forms.
	old []*oldFile
	// ids is set when the library is a part of one: the ids of the whole.
	ids IDs
}

func (l *Library) add(p parsed) {
	if p.old != nil {
		l.old = append(l.old, p.old)
	}
	switch {
	case p.machine != nil:
		l.Machines = append(l.Machines, p.machine)
	case p.registers != nil:
		l.registers = append(l.registers, p.registers)
	case p.procedure != nil:
		l.Procedures = append(l.Procedures, p.procedure)
		l.own = append(l.own, p.steps)
	case p.steps != nil:
		l.shared = append(l.shared, p.steps)
	case p.wayBack != nil:
		l.waysBack = append(l.waysBack, p.wayBack)
	case p.quiz != nil:
		l.Quizzes = append(l.Quizzes, p.quiz)
	case p.course != nil:
		l.Courses = append(l.Courses, p.course)
	case p.glossary != nil:
		l.glossaries = append(l.glossaries, p.glossary)
	}
}

// markdownFiles lists the library's Markdown files in order. Hidden folders and a
// README at the root are not part of the library.
func markdownFiles(fsys fs.FS, log *diagnostic.Log) ([]string, error) {
	var names []string
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			if name == "." {
				return err
			}
			log.Add(diagnostic.Diagnostic{
				Code: "unreadable-file", Severity: diagnostic.Error, Span: text.NewFile(name, nil).Span(0, 0),
				Wrong: say.That("this cannot be read: %cause", say.Why(cause(err))), Advice: say.That("Check the permissions, or take it out of the library."),
			})
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if name != "." && strings.HasPrefix(d.Name(), ".") {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		switch {
		case d.IsDir():
		case leadsOut(fsys, name, d):
			log.Add(newDiagnostic("unreadable-file", text.NewFile(name, nil).Span(0, 0), say.That("this link leads out of the library, and nothing behind it is read"), say.That("Put what it leads to into the library, or take the link out.")))
		case isMarkdown(name):
			names = append(names, name)
		case meantAsMarkdown(name):
			log.Add(newDiagnostic("wrong-ending", text.NewFile(name, nil).Span(0, 0), say.That("this file is not read: its name does not end in .md"), say.That("Rename it, or take it out of the library.")))
		}
		return nil
	})
	if err != nil {
		return nil, say.Because(say.That("reading the library"), err)
	}
	slices.Sort(names)
	return names, nil
}

// leadsOut reports whether an entry is a link that leads out of the library, and may lead to a folder: its name ends in nothing.
// A link to a folder inside is passed over, since what lies in it is read at its own place.
func leadsOut(fsys fs.FS, name string, d fs.DirEntry) bool {
	if d.Type()&fs.ModeSymlink == 0 || path.Ext(name) != "" {
		return false
	}
	_, err := fs.Stat(fsys, name)
	return say.LeadsOut(err)
}

// isMarkdown reports whether a file that is not hidden is the library's by its name.
func isMarkdown(name string) bool {
	return strings.EqualFold(path.Ext(name), ".md") && !strings.EqualFold(name, "README.md")
}

// meantAsMarkdown reports whether a file that is not read has a name like those that are: refit.md.txt, refit.markdown.
func meantAsMarkdown(name string) bool {
	switch ext := strings.ToLower(path.Ext(name)); ext {
	case ".markdown", ".mdown", ".mkd":
		return true
	case ".txt", ".text", ".doc", ".docx", ".rtf":
		return strings.EqualFold(path.Ext(strings.TrimSuffix(name, path.Ext(name))), ".md")
	}
	return false
}

// cause is an error without the path that the message's place already gives.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// read reads one file of any kind; err is what happened when its bytes were read.
func (r *reader) read(err error) (out parsed) {
	if !r.usable(err) {
		return out
	}
	m, ok, unclosed := splitMatter(r.file)
	switch {
	case unclosed:
		r.report("front-matter-syntax", m.yaml, say.That("the front matter is not closed"), say.That("Close it with a line of --- only."))
		return out
	case !ok:
		r.report("front-matter-missing", r.file.Span(m.body, m.body), say.That("this file does not say what it is"),
			say.That("Start it with front matter: ---, kind, id, title, ---."))
		return out
	}
	if !r.parseMatter(&m) {
		return out
	}
	defer r.standIns(&m)()
	r.base, r.src = m.body, r.file.Source[m.body:]
	doc := r.parse(placeOf(m.kind()))
	r.text = string(r.src) // without what comments that are not closed hide
	if bytes.Contains(r.src, []byte("]:")) {
		defer r.unusedLinks(doc)
	}
	switch kind := m.kind(); kind {
	case "machine":
		out.machine = r.machine(&m, doc)
	case "registers":
		out.registers = r.registers(&m, doc)
	case "procedure":
		out.procedure, out.steps = r.procedure(&m, doc)
		out.old = r.oldFileOf(out.steps)
	case "steps":
		out.steps = r.sharedSteps(&m, doc)
		out.old = r.oldFileOf(out.steps)
	case "refit":
		out.wayBack = r.wayBack(&m, doc)
		if out.wayBack != nil {
			out.old = r.oldFileOf(&stepsFile{steps: out.wayBack.Steps})
		}
	case "quiz":
		out.quiz = r.quiz(&m, doc)
	case "course":
		out.course = r.course(&m, doc)
	case "glossary":
		out.glossary = r.glossary(&m, doc)
	default:
		r.unknownKind(&m, kind)
	}
	return out
}

// kind returns the front matter's kind, or "".
func (m *frontMatter) kind() string {
	tree, ok := m.tree.(ast.MapNode)
	if !ok {
		return ""
	}
	for it := tree.MapRange(); it.Next(); {
		if keyOf(it.Key()) != "kind" {
			continue
		}
		if s, ok := it.Value().(*ast.StringNode); ok {
			return strings.TrimSpace(s.Value)
		}
		var kind string
		if yaml.NodeToValue(it.Value(), &kind) != nil {
			return strings.TrimSpace(it.Value().String())
		}
		return strings.TrimSpace(kind)
	}
	return ""
}

func (r *reader) unknownKind(m *frontMatter, kind string) {
	var names []string
	for _, k := range FileKinds() {
		names = append(names, k.Name)
	}
	if kind == "" {
		r.report("unknown-kind", m.spanOf("kind"), say.That("the front matter does not say what kind of file this is"), say.That("Add a line `kind: ...`. %all", oneOf(names)))
		return
	}
	r.reportNear("unknown-kind", m.spanOf("kind"), say.That("there is no kind of file %kind", say.Quote(kind)), kind, names, oneOf(names))
}

// oneOf is the advice to use one of some words.
func oneOf(words []string) say.Text {
	return say.That("Use one of: %words.", say.Each[say.Word](say.Commas, words))
}

// settings reads library.yaml; a library without one has the usual settings.
func (l *Library) settings(fsys fs.FS, newReader func(*text.File) *reader) error {
	src, err := readFile(fsys, settingsFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	f := text.NewFile(settingsFile, src)
	r := newReader(f)
	l.Files = append(l.Files, f)
	if !r.usable(err) {
		return nil
	}
	m := frontMatter{yaml: f.Span(len(src)-len(bytes.TrimPrefix(src, []byte(byteOrderMark))), len(src))}
	if !r.parseMatter(&m) {
		return nil
	}
	var s libraryFields
	if !r.decode(&m, &s) {
		return nil
	}
	l.Title, l.Address = s.Title, s.Address
	for i, name := range s.Trades {
		t := procedure.Trade{ID: slug(name), Name: name}
		if slices.ContainsFunc(l.Trades, func(o procedure.Trade) bool { return o.ID == t.ID }) {
			r.report("front-matter-value", m.spanOf("trades["+strconv.Itoa(i)+"]"), say.That("the trade %name is there twice", say.Quote(t.ID)), say.That("Take one of them out, or give it another name."))
			continue
		}
		l.Trades = append(l.Trades, t)
	}
	for _, paper := range procedure.Papers {
		if slices.Contains(s.Papers, paper) {
			l.Papers = append(l.Papers, paper)
		}
	}
	l.Matrix = r.matrix(&m, s)
	if s.Language != "" {
		l.Language, l.LanguageSpan = s.Language, m.spanOf("language")
	}
	if l.Address != "" && !strings.HasSuffix(l.Address, "/") {
		l.Address += "/"
	}
	return nil
}

// matrix is the table by which risks are rated; empty where it has no level for each chance.
func (r *reader) matrix(m *frontMatter, s libraryFields) procedure.RiskMatrix {
	out := procedure.RiskMatrix{Chances: s.Chances}
	for i, row := range s.Matrix {
		if len(row.Levels) != len(s.Chances) {
			r.report("front-matter-value", m.spanOf(fmt.Sprintf("matrix[%d].levels", i)), say.That("there are %levels levels for %chances chances", say.Count(len(row.Levels)), say.Count(len(s.Chances))),
				say.That("Write one level for each of the chances."))
			return procedure.RiskMatrix{}
		}
		out.Harms, out.Levels = append(out.Harms, row.Harm), append(out.Levels, row.Levels)
	}
	return out
}

// report adds a diagnostic; its severity is the rule's.
func (r *reader) report(code diagnostic.Code, span text.Span, wrong, advice say.Text, fixes ...diagnostic.Fix) {
	d := newDiagnostic(code, span, wrong, advice)
	if span.File == nil || span.File == r.file {
		d.Fixes = fixes // a table of cells is not mended
	}
	r.log.Add(d)
}

// reportNear adds a diagnostic on a word that is none of the candidates, with the one that is near as its advice.
func (r *reader) reportNear(code diagnostic.Code, span text.Span, wrong say.Text, word string, candidates []string, otherwise say.Text) {
	advice, fixes := diagnostic.Suggest(span, word, candidates, otherwise)
	r.report(code, span, wrong, advice, fixes...)
}

// reportSee adds a diagnostic with a second place.
func (r *reader) reportSee(code diagnostic.Code, span text.Span, wrong, advice say.Text, see text.Span, says say.Text) {
	d := newDiagnostic(code, span, wrong, advice)
	d.See = []diagnostic.Related{{Span: see, Says: says}}
	r.log.Add(d)
}

func newDiagnostic(code diagnostic.Code, span text.Span, wrong, advice say.Text) diagnostic.Diagnostic {
	return diagnostic.Diagnostic{Code: code, Severity: severityOf(code), Span: span, Wrong: wrong, Advice: advice}
}
