// Package site writes the training site: the start page, the pages of courses,
// machines and procedures, the step view for the bench, and the search index.
// It reads the worked-out model and computes nothing.
package site

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/a-h/templ"
	"github.com/tdewolff/minify/v2"
	"github.com/tdewolff/minify/v2/js"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/themes"
)

// emitter is what all pages are made from.
type emitter struct {
	lib      *procedure.Library
	pictures map[string]*picture.Picture
	theme    *themes.Theme
	words    *themes.Words
	out      output.Sink
	// facts are those of the procedure whose pages are made.
	facts *analysis.Procedure
}

func newEmitter(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink) (*emitter, error) {
	words, err := theme.Words(lib.Language)
	return &emitter{lib: lib, pictures: pictures, theme: theme, words: words, out: out}, err
}

// EmitAssets writes the theme's assets, which are the same for every library in a language.
func EmitAssets(lib *procedure.Library, theme *themes.Theme, out output.Sink) error {
	e, err := newEmitter(lib, nil, theme, out)
	if err != nil {
		return err
	}
	return e.emitAssets()
}

// EmitCourse writes a course's page. Of its procedures it needs what Index does.
func EmitCourse(lib *procedure.Library, theme *themes.Theme, out output.Sink, c *procedure.Course) error {
	e, err := newEmitter(lib, nil, theme, out)
	if err != nil {
		return err
	}
	return e.emitCourse(c)
}

// EmitGlossary writes the glossary's page. Of the library it looks at the settings.
func EmitGlossary(lib *procedure.Library, theme *themes.Theme, out output.Sink, g *procedure.Glossary) error {
	e, err := newEmitter(lib, nil, theme, out)
	if err != nil {
		return err
	}
	return e.emitGlossary(g)
}

// EmitMachine writes a machine's page. Of the library's procedures it lists those
// on the machine, and needs what Index does.
func EmitMachine(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink, m *procedure.Machine) error {
	e, err := newEmitter(lib, pictures, theme, out)
	if err != nil {
		return err
	}
	return e.emitMachine(m)
}

// EmitProcedure writes a procedure's overview and step views. It looks at nothing
// else of the library than its settings and its glossary.
func EmitProcedure(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink, f *analysis.Procedure) error {
	e, err := newEmitter(lib, pictures, theme, out)
	if err != nil {
		return err
	}
	return e.emitProcedure(f)
}

// emitProcedure writes a procedure's overview and the step view of each of its jobs.
func (e *emitter) emitProcedure(f *analysis.Procedure) error {
	of := *e
	of.facts = f
	var jobs []*procedure.Job
	for _, j := range f.Jobs {
		jobs = append(jobs, j.Job)
	}
	if err := of.emitOverview(f.Procedure, jobs); err != nil {
		return err
	}
	for _, j := range jobs {
		if err := of.emitSteps(j); err != nil {
			return err
		}
	}
	return nil
}

// worked is what is worked out from one of the procedure's jobs.
func (e *emitter) worked(j *procedure.Job) *analysis.Job { return e.facts.Job(j.Variant) }

// serversOwn begin the names of what the preview server and the class host send themselves.
var serversOwn = []string{"preview.", "class.", "outbox.", "worker.", "board."}

// emitAssets writes the theme's styles, scripts and pictures. Scripts go out short: what
// explains them to a reader is left in the theme.
func (e *emitter) emitAssets() error {
	if err := e.out.Write(page.AssetPath(page.IconStyle), []byte(page.IconStyles())); err != nil {
		return err
	}
	words, err := page.WordsScript(e.words)
	if err != nil {
		return err
	}
	if err := e.out.Write(page.AssetPath(page.WordsAsset(e.words.Lang)), words); err != nil {
		return err
	}
	assets := e.theme.Assets()
	if err := errors.Join(e.emitJoined(assets, benchScript, page.BenchScripts), e.emitJoined(assets, aidsScript, page.AidScripts)); err != nil {
		return err
	}
	joined := slices.Concat(page.BenchScripts, page.AidScripts)
	return fs.WalkDir(assets, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || slices.Contains(joined, strings.TrimSuffix(name, ".js")) || slices.ContainsFunc(serversOwn, func(start string) bool { return strings.HasPrefix(name, start) }) {
			return err
		}
		content, err := fs.ReadFile(assets, name)
		if err != nil {
			return err
		}
		if path.Ext(name) == ".js" {
			if content, err = shortened(content); err != nil {
				return fmt.Errorf("script %s: %w", name, err)
			}
		}
		return e.out.Write(page.AssetPath(name), content)
	})
}

// emitJoined writes some scripts as one, behind the words that they say.
func (e *emitter) emitJoined(assets fs.FS, as string, names []string) error {
	all, err := page.MoreWords(e.words, names...)
	if err != nil {
		return err
	}
	for _, name := range names {
		content, err := fs.ReadFile(assets, name+".js")
		if err != nil {
			return err
		}
		all = append(all, content...)
	}
	short, err := shortened(all)
	if err != nil {
		return fmt.Errorf("script %s: %w", as, err)
	}
	return e.out.Write(page.AssetPath(as), short)
}

// shortened is a script without its comments and with short names for what is its own.
func shortened(script []byte) ([]byte, error) {
	var b bytes.Buffer
	err := js.Minify(minify.New(), &b, bytes.NewReader(script), nil)
	return b.Bytes(), err
}

func (e *emitter) shell(at, title string) page.Shell {
	return page.NewShell(e.lib, e.words, at, title)
}

func (e *emitter) write(at string, content templ.Component) error {
	if e.out == nil {
		return nil
	}
	return page.Write(e.out, at, content)
}

// namesOf lists things by name.
func namesOf(m *procedure.Machine, refs []procedure.Ref) string {
	var out []string
	for _, r := range refs {
		out = append(out, nameOf(m, r.ID))
	}
	return strings.Join(out, ", ")
}

// nameOf is a thing's name; an unknown id stands for itself.
func nameOf(m *procedure.Machine, id string) string {
	if t := m.Thing(id); t != nil {
		return t.Row.Name
	}
	return id
}
