package say_test

import (
	"bytes"
	"encoding/json"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure/say"
)

// module is the path of the module, and of its packages.
const module = "matchmark/"

// TestCatalogue walks the source: every line that is said stands in the catalogue and the
// other way round, and each has as many places as parts, of types that fit.
func TestCatalogue(t *testing.T) {
	w := newWalk(t)
	for path := range maps.Keys(w.packages) {
		w.walk(path)
	}
	lines := map[string][]string{}
	for path, found := range w.lines {
		lines[path] = slices.Compact(slices.Sorted(slices.Values(found)))
	}
	var got bytes.Buffer
	out := json.NewEncoder(&got)
	out.SetIndent("", "  ")
	out.SetEscapeHTML(false)
	assert.NilError(t, out.Encode(lines))
	if golden.FlagUpdate() {
		assert.NilError(t, os.WriteFile("catalogue.json", got.Bytes(), 0o644))
	}
	want, err := os.ReadFile("catalogue.json")
	assert.NilError(t, err)
	if !bytes.Equal(got.Bytes(), want) {
		t.Error("catalogue.json is not what the code says; write it anew: go test ./procedure/say -update")
	}
}

// walk is a walk through the packages that say something.
type walk struct {
	t *testing.T
	// packages are the module's packages that say something, with their files; exports the export data of all.
	packages map[string][]string
	exports  map[string]string
	fset     *token.FileSet
	imported types.Importer
	lines    map[string][]string
}

func newWalk(t *testing.T) *walk {
	w := &walk{t: t, packages: map[string][]string{}, exports: map[string]string{}, fset: token.NewFileSet(), lines: map[string][]string{}}
	list := exec.Command("go", "list", "-export", "-deps", "-f", `{{.ImportPath}}|{{.Export}}|{{.Dir}}|{{join .GoFiles " "}}|{{join .Imports " "}}`, module+"...")
	list.Stderr = os.Stderr
	out, err := list.Output()
	assert.NilError(t, err)
	for line := range strings.Lines(string(out)) {
		f := strings.Split(strings.TrimSpace(line), "|")
		path := f[0]
		w.exports[path] = f[1]
		imports := strings.Fields(f[4])
		if strings.HasPrefix(path, module) && (path == module+"procedure/say" || path == module+"procedure/diagnostic" ||
			slices.Contains(imports, module+"procedure/say") || slices.Contains(imports, module+"procedure/diagnostic")) {
			for _, name := range strings.Fields(f[3]) {
				w.packages[path] = append(w.packages[path], filepath.Join(f[2], name))
			}
		}
	}
	w.imported = importer.ForCompiler(w.fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(w.exports[path]) })
	return w
}

// walk looks through a package.
func (w *walk) walk(path string) {
	var files []*ast.File
	for _, name := range w.packages[path] {
		f, err := parser.ParseFile(w.fset, name, nil, parser.SkipObjectResolution)
		if err != nil {
			w.t.Fatal(err)
		}
		files = append(files, f)
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Selections: map[*ast.SelectorExpr]*types.Selection{}}
	if _, err := (&types.Config{Importer: w.imported}).Check(path, w.fset, files, info); err != nil {
		w.t.Fatal(err)
	}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if called(info, n) == module+"procedure/say.That" {
					w.said(path, info, n)
				}
			case *ast.CompositeLit:
				if named(info.Types[n].Type) == module+"procedure/diagnostic.Rule" {
					w.rule(path, info, n)
				}
			}
			return true
		})
	}
}

// chooses is a place whose number chooses a word.
var chooses = regexp.MustCompile(`%([a-zA-Z]+)\([^)|]*\|[^)]*\)`)

// said looks at one line and its parts.
func (w *walk) said(path string, info *types.Info, call *ast.CallExpr) {
	at := w.fset.Position(call.Pos())
	value := info.Types[call.Args[0]].Value
	if value == nil {
		if !w.kept(path, info, call) {
			w.t.Errorf("%s: the line is put together; say it in one piece, with parts", at)
		}
		return
	}
	line := constant.StringVal(value)
	w.lines[path] = append(w.lines[path], line)
	if call.Ellipsis.IsValid() {
		w.t.Errorf("%s: the parts of %q are not written out", at, line)
		return
	}
	places, parts := say.Places(line), call.Args[1:]
	if len(places) != len(parts) {
		w.t.Errorf("%s: %q has %d places and %d parts", at, line, len(places), len(parts))
		return
	}
	for _, choice := range chooses.FindAllStringSubmatch(line, -1) {
		name := choice[1]
		part := info.Types[parts[slices.Index(places, name)]].Type
		switch of := named(part); strings.TrimPrefix(of, module+"procedure/say.") {
		case "Count", "Step", "List":
		default:
			w.t.Errorf("%s: %q chooses a word by %%%s, which is a %s and has no number", at, line, name, part)
		}
	}
}

// kept reports whether a line that is no constant was looked at elsewhere: it is a rule's own advice, or comes out of the cache.
func (w *walk) kept(path string, info *types.Info, call *ast.CallExpr) bool {
	switch arg := call.Args[0].(type) {
	case *ast.SelectorExpr:
		s := info.Selections[arg]
		return s != nil && s.Obj().Name() == "Do" && strings.HasSuffix(s.Obj().Pkg().Path(), "procedure/diagnostic")
	case *ast.CallExpr:
		return path == module+"compile" && called(info, arg) == module+"compile/cache.String"
	}
	return false
}

// rule looks at the words of a rule: messages repeat its advice, and the page of messages and explain show them all.
func (w *walk) rule(path string, info *types.Info, lit *ast.CompositeLit) {
	for _, e := range lit.Elts {
		field, ok := e.(*ast.KeyValueExpr)
		if !ok || !slices.Contains([]string{"Title", "Wrong", "Why", "Do"}, field.Key.(*ast.Ident).Name) {
			continue
		}
		value := info.Types[field.Value].Value
		if value == nil {
			w.t.Errorf("%s: the words of a rule are put together", w.fset.Position(field.Pos()))
			continue
		}
		if line := constant.StringVal(value); len(say.Places(line)) > 0 {
			w.t.Errorf("%s: the words of a rule have places: %q", w.fset.Position(field.Pos()), line)
		} else {
			w.lines[path] = append(w.lines[path], line)
		}
	}
}

// called names the function that is called: its package's path and its name.
func called(info *types.Info, call *ast.CallExpr) string {
	var id *ast.Ident
	switch f := call.Fun.(type) {
	case *ast.Ident:
		id = f
	case *ast.SelectorExpr:
		id = f.Sel
	default:
		return ""
	}
	f, ok := info.Uses[id].(*types.Func)
	if !ok || f.Pkg() == nil {
		return ""
	}
	return f.Pkg().Path() + "." + f.Name()
}

// named names a type: its package's path and its name.
func named(t types.Type) string {
	n, ok := t.(*types.Named)
	if !ok || n.Obj().Pkg() == nil {
		return ""
	}
	return n.Obj().Pkg().Path() + "." + n.Obj().Name()
}
