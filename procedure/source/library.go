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
	"strings"

	"github.com/go-playground/validator/v10"
	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/yuin/goldmark"
	gtext "github.com/yuin/goldmark/text"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/text"
)

// settingsFile holds the library's own settings, at its root.
const settingsFile = "library.yaml"

// reader reads one file.
type reader struct {
	md       goldmark.Markdown
	validate *validator.Validate
	log      *diagnostic.Log
	file     *text.File
	// src is the Markdown that goldmark parses: the file from base on.
	src  []byte
	base int
	// used holds the labels of the file's link definitions that a link uses.
	used map[string]bool

	// What a piece of prose is put together in, used anew for each.
	markup markupBuffer
	plain  plainProse
}

// parsed is what one file turned out to be; at most one pointer is set.
type parsed struct {
	machine   *procedure.Machine
	procedure *procedure.Procedure
	steps     *stepsFile
	wayBack   *procedure.WayBack
	quiz      *procedure.Quiz
	course    *procedure.Course
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
	own      []*stepsFile // by procedure, same order
	shared   []*stepsFile
	waysBack []*procedure.WayBack
	// ids is set when the library is a part of one: the ids of the whole.
	ids IDs
}

func (l *Library) add(p parsed) {
	switch {
	case p.machine != nil:
		l.Machines = append(l.Machines, p.machine)
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
				Message: "this cannot be read: " + cause(err), Do: "Check the permissions, or take it out of the library.",
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
		if !d.IsDir() && isMarkdown(name) {
			names = append(names, name)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("reading the library: %w", err)
	}
	slices.Sort(names)
	return names, nil
}

// isMarkdown reports whether a file that is not hidden is the library's by its name.
func isMarkdown(name string) bool {
	return strings.EqualFold(path.Ext(name), ".md") && !strings.EqualFold(name, "README.md")
}

// cause is an error without the path that the message's place already gives.
func cause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// read reads one file of any kind; err is what happened when its bytes were read.
func (r *reader) read(err error) (out parsed) {
	if !r.usable(err) {
		return out
	}
	m, ok, unclosed := splitMatter(r.file)
	switch {
	case unclosed:
		r.report("front-matter-syntax", m.yaml, "the front matter is not closed", "Close it with a line of --- only.")
		return out
	case !ok:
		r.report("front-matter-missing", r.file.Span(m.body, m.body), "this file does not say what it is",
			"Start it with front matter: ---, kind, id, title, ---.")
		return out
	}
	if !r.parseMatter(&m) {
		return out
	}
	r.base, r.src = m.body, r.file.Source[m.body:]
	doc := r.md.Parser().Parse(gtext.NewReader(r.src))
	if bytes.Contains(r.src, []byte("]:")) {
		defer r.unusedLinks(doc)
	}
	switch kind := m.kind(); kind {
	case "machine":
		out.machine = r.machine(&m, doc)
	case "procedure":
		out.procedure, out.steps = r.procedure(&m, doc)
	case "steps":
		out.steps = r.sharedSteps(&m, doc)
	case "refit":
		out.wayBack = r.wayBack(&m, doc)
	case "quiz":
		out.quiz = r.quiz(&m, doc)
	case "course":
		out.course = r.course(&m, doc)
	default:
		r.unknownKind(&m, kind)
	}
	return out
}

// kind returns the front matter's kind, or "".
func (m *matter) kind() string {
	tree, ok := m.tree.(ast.MapNode)
	if !ok {
		return ""
	}
	for it := tree.MapRange(); it.Next(); {
		if keyOf(it.Key()) != "kind" {
			continue
		}
		var kind string
		if yaml.NodeToValue(it.Value(), &kind) != nil {
			return strings.TrimSpace(it.Value().String())
		}
		return strings.TrimSpace(kind)
	}
	return ""
}

func (r *reader) unknownKind(m *matter, kind string) {
	var names []string
	for _, k := range FileKinds() {
		names = append(names, k.Name)
	}
	all := "Use one of: " + strings.Join(names, ", ") + "."
	if kind == "" {
		r.report("unknown-kind", m.spanOf("kind"), "the front matter does not say what kind of file this is", "Add a line `kind: ...`. "+all)
		return
	}
	r.report("unknown-kind", m.spanOf("kind"), "there is no kind of file "+quote(kind), diagnostic.Suggest(kind, names, all))
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
	m := matter{yaml: f.Span(len(src)-len(bytes.TrimPrefix(src, []byte(byteOrderMark))), len(src))}
	if !r.parseMatter(&m) {
		return nil
	}
	var s libraryFields
	if !r.decode(&m, &s) {
		return nil
	}
	l.Title, l.Address = s.Title, s.Address
	if s.Language != "" {
		l.Language, l.LanguageSpan = s.Language, m.spanOf("language")
	}
	if l.Address != "" && !strings.HasSuffix(l.Address, "/") {
		l.Address += "/"
	}
	return nil
}

// report adds a diagnostic; its severity is the rule's.
func (r *reader) report(code diagnostic.Code, span text.Span, message, do string) {
	r.log.Add(newDiagnostic(code, span, message, do))
}

// reportSee adds a diagnostic with a second place.
func (r *reader) reportSee(code diagnostic.Code, span text.Span, message, do string, see text.Span, why string) {
	d := newDiagnostic(code, span, message, do)
	d.See = []diagnostic.Related{{Span: see, Why: why}}
	r.log.Add(d)
}

func newDiagnostic(code diagnostic.Code, span text.Span, message, do string) diagnostic.Diagnostic {
	return diagnostic.Diagnostic{Code: code, Severity: severityOf(code), Span: span, Message: message, Do: do}
}
