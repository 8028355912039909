package compile

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/edition"
	"matchmark/procedure/grammar"
	"matchmark/procedure/source"
	"matchmark/themes"
)

// example is the base library with a block in a step of the procedure job, read and written to pages.
type example struct {
	*procedure.Procedure
	pages map[string][]byte
}

func withBlock(t *testing.T, theme *themes.Theme, block string) example {
	t.Helper()
	files, err := examples.Compose(examples.Part{Place: "step", Text: block})
	assert.NilError(t, err)
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var log diagnostic.Log
	read, err := source.Read(fsys, &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	if log.HasErrors() {
		t.Fatalf("%+v", log.Sorted())
	}
	out := example{pages: emitWhole(t, fsys, lib, theme)}
	for _, p := range lib.Procedures {
		if p.ID == "job" {
			out.Procedure = p
		}
	}
	return out
}

// text is what a reader sees of the pages of one kind.
func (e example) text(t *testing.T, of procedure.Page) string {
	t.Helper()
	pattern := map[procedure.Page]string{
		procedure.StepView: "procedure/job/steps*.html", procedure.Checklist: "procedure/job/checklist*.html", procedure.SessionSheet: "course/*/session-*.html",
	}[of]
	var out string
	for name, content := range e.pages {
		if match, err := filepath.Match(pattern, name); err != nil || !match {
			continue
		}
		page := pagetest.Parse(t, content)
		out += page.Text() + "\n"
	}
	if out == "" {
		t.Fatalf("no page matches %s", pattern)
	}
	return strings.Join(strings.Fields(out), " ")
}

// says are the words with which a page can show a block: one of them must be there.
func says(p *procedure.Procedure, b procedure.Block) (out []string) {
	procedure.EachField(b, func(f *procedure.Field, value any) {
		switch v := value.(type) {
		case *string:
			out = append(out, *v)
		case *procedure.Prose:
			out = append(out, v.Plain())
		case *[]procedure.Prose:
			for _, x := range *v {
				out = append(out, x.Plain())
			}
		case *procedure.Ref:
			if figure := p.Figure(v.ID); f.Refers == "figure" && figure != nil {
				out = append(out, figure.Title)
			}
		case *[]*procedure.Action:
			for _, a := range *v {
				if t := p.Machine.Thing(a.Object.ID); t != nil {
					out = append(out, t.Row.Name)
				}
			}
		case *[]procedure.Reading:
			for i := range *v {
				out = append(out, (*v)[i].Label())
			}
		case *[]procedure.InspectionItem:
			for _, i := range *v {
				out = append(out, i.Look)
			}
		}
	})
	return out
}

// Each kind's example goes through every page that shows steps, and through whatever compares, copies and joins
// steps: it is shown or the kind says why not, and it makes a difference.
func TestEveryKindOfBlockIsShown(t *testing.T) {
	theme, err := themes.Load()
	assert.NilError(t, err)
	plain := withBlock(t, theme, "")
	for _, k := range procedure.Kinds() {
		text := k.Example
		if k.Name == "" {
			text = "Listen to the drive while it runs."
		}
		with := withBlock(t, theme, text+"\n")
		step, before := with.Step("work"), plain.Step("work")
		var block procedure.Block
		for i, b := range step.Blocks {
			if i == len(before.Blocks) || procedure.Fingerprint(b) != procedure.Fingerprint(before.Blocks[i]) {
				block = b
				break
			}
		}
		if block.Kind() != k {
			t.Fatalf("%s: the example makes a %s", k.Label(), block.Kind().Label())
		}
		if reflect.ValueOf(block.Shows()).IsZero() {
			t.Errorf("%s shows no piece", k.Label())
		}
		for _, p := range procedure.Pages {
			got := with.text(t, p)
			shown := false
			for _, words := range says(with.Procedure, block) {
				shown = shown || words != "" && strings.Contains(got, words) && strings.Count(got, words) > strings.Count(plain.text(t, p), words)
			}
			why, skipped := k.Skips[p]
			switch {
			case skipped && len(why) < 10:
				t.Errorf("%s is left out of the %s without a reason", k.Label(), p)
			case skipped && p == procedure.SessionSheet && len(procedure.Texts(block)) > 0 && strings.Contains(got, procedure.Texts(block)[0].Plain()) && !procedure.Texts(block)[0].Empty():
				t.Errorf("%s is on the %s and says that it is not", k.Label(), p)
			case !skipped && !shown:
				t.Errorf("%s is not on the %s, and does not say why: %q is not in\n%s", k.Label(), p, says(with.Procedure, block), got)
			}
		}
		if edition.Compare(plain.Procedure, with.Procedure).Same {
			t.Errorf("%s: with and without it is called the same", k.Label())
		}
		if again := procedure.Clone(block); again == block || procedure.Fingerprint(again) != procedure.Fingerprint(block) {
			t.Errorf("%s: a copy is another block", k.Label())
		}
		if procedure.Fingerprint(block) == procedure.Fingerprint(k.New()) {
			t.Errorf("%s: what the example states is in no declared field", k.Label())
		}
		if k.Refitting == "" {
			t.Errorf("%s does not say what becomes of it in the refitting", k.Label())
		}
	}
}

// What the grammar lets an author write goes into a field, and each field can be written.
func TestEveryFieldIsWritten(t *testing.T) {
	ofEachAct := map[string]bool{}
	for _, f := range reflect.VisibleFields(reflect.TypeFor[procedure.Action]()) {
		ofEachAct[strings.ToLower(f.Name)] = true
	}
	for _, k := range procedure.Kinds() {
		if k.Name == "" || k.Name == "figure" { // running text; a figure's attributes are the figure's own
			continue
		}
		written := map[string]bool{"variants": true, "if": true} // every block has these
		for _, a := range append(k.Attributes, k.Argument) {
			if k.Name == "actions" && ofEachAct[a.Name] {
				continue
			}
			written[strings.ReplaceAll(a.Name, " ", "-")] = true
		}
		written["title"] = k.Title != ""
		fields := map[string]bool{"": true}
		body := 0
		for _, f := range procedure.FieldsOf(reflect.TypeOf(k.New()).Elem()) {
			fields[f.Word] = true
			if !written[f.Word] {
				body++
			}
		}
		for word := range written {
			if written[word] && !fields[word] {
				t.Errorf("%s: what an author writes as %s goes nowhere", k.Name, word)
			}
		}
		if body != 1 {
			t.Errorf("%s: %d fields are read from its content, want 1", k.Name, body)
		}
		for _, a := range k.Attributes {
			if a.Type == grammar.Amount && a.Dimension == 0 {
				t.Errorf("%s: %s measures nothing", k.Name, a.Name)
			}
		}
	}
}

// Kinds of block are told apart by what they show; code that asks which kind a block is would forget the next one.
func TestNobodyAsksForAKindOfBlock(t *testing.T) {
	types := map[string]bool{}
	for _, k := range procedure.Kinds() {
		types[reflect.TypeOf(k.New()).Elem().Name()] = true
	}
	set := token.NewFileSet()
	seen := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		code, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(set, path, code, 0)
		if err != nil {
			return err
		}
		seen++
		asked := func(x ast.Expr) {
			name := strings.TrimPrefix(strings.TrimPrefix(fmt.Sprint(typeName(x)), "*"), "procedure.")
			if types[name] && strings.Contains(typeName(x), "*") {
				t.Errorf("%s asks for a %s; let the block show what it has, or declare it", set.Position(x.Pos()), typeName(x))
			}
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.TypeAssertExpr:
				if n.Type != nil {
					asked(n.Type)
				}
			case *ast.TypeSwitchStmt:
				for _, c := range n.Body.List {
					for _, x := range c.(*ast.CaseClause).List {
						asked(x)
					}
				}
			}
			return true
		})
		return nil
	})
	assert.NilError(t, err)
	if seen < 100 {
		t.Errorf("only %d files were read", seen)
	}
}

// typeName writes the name of a type, of a pointer with its star; empty for other types.
func typeName(x ast.Expr) string {
	switch x := x.(type) {
	case *ast.StarExpr:
		return "*" + typeName(x.X)
	case *ast.SelectorExpr:
		return typeName(x.X) + "." + x.Sel.Name
	case *ast.Ident:
		return x.Name
	}
	return ""
}
