package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// source is one file of the package.
type source struct {
	name, text string // name is the path in the repository
	tokens     *token.File
	tree       *ast.File
}

// listed is what go list says of a package.
type listed struct {
	Dir, ImportPath, Export   string
	GoFiles                   []string
	TestImports, XTestImports []string
}

// subject is the package whose tests are measured.
type subject struct {
	path    string
	files   []*source
	set     *token.FileSet
	imports types.Importer
}

// load reads the package, and the export data of all that it imports.
func load(pkg string) (*subject, error) {
	out, err := exec.Command("go", "list", "-export", "-deps", "-json=Dir,ImportPath,Export,GoFiles", "./"+pkg).Output()
	if err != nil {
		return nil, fmt.Errorf("go list %s: %w", pkg, err)
	}
	p := &subject{set: token.NewFileSet()}
	exports := map[string]string{}
	var last listed // of the dependencies' list, the package itself
	for list := json.NewDecoder(bytes.NewReader(out)); ; {
		var l listed
		if err := list.Decode(&l); err == io.EOF {
			break
		} else if err != nil {
			return nil, err
		}
		exports[l.ImportPath] = l.Export
		last = l
	}
	p.path = last.ImportPath
	p.imports = importer.ForCompiler(p.set, "gc", func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) })
	for _, name := range last.GoFiles {
		text, err := os.ReadFile(filepath.Join(last.Dir, name))
		if err != nil {
			return nil, err
		}
		tree, err := parser.ParseFile(p.set, name, text, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		p.files = append(p.files, &source{name: pkg + "/" + name, text: string(text), tokens: p.set.File(tree.Pos()), tree: tree})
	}
	return p, nil
}

// mutants lists all mutants, in the order of files and places.
func (p *subject) mutants() ([]mutant, error) {
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Defs: map[*ast.Ident]types.Object{}, Uses: map[*ast.Ident]types.Object{}}
	own, err := p.check(info, mutant{})
	if err != nil {
		return nil, err
	}
	var out []mutant
	for _, f := range p.files {
		o := operators{file: f, info: info, own: own}
		ast.Inspect(f.tree, o.visit)
		out = append(out, o.out...)
	}
	return out, nil
}

// check type-checks the package with a mutant in it.
func (p *subject) check(info *types.Info, m mutant) (*types.Package, error) {
	var trees []*ast.File
	for _, f := range p.files {
		tree := f.tree
		if f == m.file {
			var err error
			if tree, err = parser.ParseFile(p.set, f.name, m.text(), parser.SkipObjectResolution); err != nil {
				return nil, err
			}
		}
		trees = append(trees, tree)
	}
	return (&types.Config{Importer: p.imports}).Check(p.path, p.set, trees, info)
}

// draw takes a random sample of the mutants that compile, without replacement.
func (p *subject) draw(all []mutant, seed uint64, size int) []mutant {
	random := rand.New(rand.NewPCG(seed, seed))
	var out []mutant
	for _, k := range random.Perm(len(all)) {
		if _, err := p.check(nil, all[k]); err == nil {
			out = append(out, all[k])
		}
		if len(out) == size {
			break
		}
	}
	return out
}

// overlaid returns the files with all mutants in them, each as a copy of its function under another
// name, and tells which of the mutants have no place there.
func (p *subject) overlaid(drawn []mutant) (files map[string]string, alone []bool) {
	files, alone = map[string]string{}, make([]bool, len(drawn))
	calls := map[*ast.FuncDecl]string{}
	copies := map[*source]string{}
	for k, m := range drawn {
		call, ok := "", false
		if m.in != nil {
			call, ok = callOf(m.in, fmt.Sprint("__", k+1))
		}
		if alone[k] = !ok; !ok {
			continue
		}
		calls[m.in] += fmt.Sprintf(" if mutant__ == %d { %s };", k+1, call)
		from, name, to := m.file.tokens.Offset(m.in.Pos()), m.file.tokens.Offset(m.in.Name.End()), m.file.tokens.Offset(m.in.End())
		copies[m.file] += "\n\n" + m.file.text[from:name] + fmt.Sprint("__", k+1) + m.file.text[name:m.from] + m.with + m.file.text[m.to:to]
	}
	for _, f := range p.files {
		text, at := "", 0
		for _, d := range f.tree.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && calls[fn] != "" {
				brace := f.tokens.Offset(fn.Body.Lbrace) + 1
				text += f.text[at:brace] + calls[fn]
				at = brace
			}
		}
		if at > 0 {
			files[f.name] = text + f.text[at:] + copies[f]
		}
	}
	files[filepath.Dir(p.files[0].name)+"/mutant__.go"] = "package " + p.files[0].tree.Name.Name + `

import (
	"os"
	"strconv"
)

var mutant__, _ = strconv.Atoi(os.Getenv("MUTANT"))
`
	return files, alone
}

// callOf writes the call of a function's copy with the function's own arguments; false when they have no names.
func callOf(fn *ast.FuncDecl, suffix string) (string, bool) {
	list := func(fields *ast.FieldList) (names []string, ok bool) {
		ok = true
		for _, f := range fields.List {
			ok = ok && len(f.Names) > 0
			for _, n := range f.Names {
				name := n.Name
				if _, variadic := f.Type.(*ast.Ellipsis); variadic {
					name += "..."
				}
				names, ok = append(names, name), ok && name != "_"
			}
		}
		return names, ok
	}
	args, ok := list(fn.Type.Params)
	call := fn.Name.Name + suffix
	if fn.Type.TypeParams != nil {
		params, _ := list(fn.Type.TypeParams)
		call += "[" + strings.Join(params, ", ") + "]"
	}
	if fn.Recv != nil {
		receiver, named := list(fn.Recv)
		if ok = ok && named; ok {
			call = receiver[0] + "." + call
		}
	}
	call += "(" + strings.Join(args, ", ") + ")"
	if fn.Type.Results == nil {
		return call + "; return", ok
	}
	return "return " + call, ok
}
