package main

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"strconv"
	"strings"
)

// mutant is one small change of a file.
type mutant struct {
	file     *source
	from, to int // the bytes that are replaced
	with     string
	in       *ast.FuncDecl // nil outside of functions
}

// text is the file with the change in it.
func (m mutant) text() string { return m.file.text[:m.from] + m.with + m.file.text[m.to:] }

// line is the changed line, without and with the change; a longer piece is cut to its first line.
func (m mutant) line() (was, is string) {
	first := strings.LastIndexByte(m.file.text[:m.from], '\n') + 1
	changed := m.text()
	cut := func(s string) string {
		line, _, _ := strings.Cut(s[first:], "\n")
		return strings.TrimSpace(line)
	}
	return cut(m.file.text), cut(changed)
}

// place is where the change is, as file:line.
func (m mutant) place() string {
	return fmt.Sprintf("%s:%d", m.file.name, 1+strings.Count(m.file.text[:m.from], "\n"))
}

// swaps are the operators that stand for each other: comparisons with their boundary
// moved and negated, arithmetic, logic, assignments with arithmetic, loop control.
var swaps = map[token.Token][]token.Token{
	token.LSS: {token.LEQ, token.GEQ}, token.LEQ: {token.LSS, token.GTR},
	token.GTR: {token.GEQ, token.LEQ}, token.GEQ: {token.GTR, token.LSS},
	token.EQL: {token.NEQ}, token.NEQ: {token.EQL},
	token.LAND: {token.LOR}, token.LOR: {token.LAND},
	token.ADD: {token.SUB}, token.SUB: {token.ADD}, token.MUL: {token.QUO}, token.QUO: {token.MUL}, token.REM: {token.MUL},
	token.AND: {token.OR}, token.OR: {token.AND}, token.XOR: {token.AND}, token.AND_NOT: {token.AND}, token.SHL: {token.SHR}, token.SHR: {token.SHL},
	token.ADD_ASSIGN: {token.SUB_ASSIGN}, token.SUB_ASSIGN: {token.ADD_ASSIGN}, token.MUL_ASSIGN: {token.QUO_ASSIGN}, token.QUO_ASSIGN: {token.MUL_ASSIGN},
	token.OR_ASSIGN: {token.AND_ASSIGN}, token.AND_ASSIGN: {token.OR_ASSIGN}, token.INC: {token.DEC}, token.DEC: {token.INC},
	token.BREAK: {token.CONTINUE}, token.CONTINUE: {token.BREAK},
}

// operators lists the mutants of a file, place by place.
type operators struct {
	file *source
	info *types.Info
	own  *types.Package
	out  []mutant
	// in is the function declaration around the current place; results are those of
	// the functions around it, the innermost last.
	in      *ast.FuncDecl
	results []*types.Tuple
}

func (o *operators) at(pos token.Pos) int { return o.file.tokens.Offset(pos) }

func (o *operators) words(n ast.Node) string { return o.file.text[o.at(n.Pos()):o.at(n.End())] }

func (o *operators) replace(from, to token.Pos, with string) {
	o.out = append(o.out, mutant{o.file, o.at(from), o.at(to), with, o.in})
}

func (o *operators) swap(at token.Pos, is token.Token) {
	for _, other := range swaps[is] {
		o.replace(at, at+token.Pos(len(is.String())), other.String())
	}
}

// negate turns a condition round, unless swapping its operator does that already.
func (o *operators) negate(cond ast.Expr) {
	switch x := cond.(type) {
	case nil:
		return
	case *ast.BinaryExpr:
		if x.Op != token.LAND && x.Op != token.LOR {
			return
		}
	case *ast.UnaryExpr:
		return
	}
	o.replace(cond.Pos(), cond.End(), "!("+o.words(cond)+")")
}

// visit lists the mutants of a node and of all below it.
func (o *operators) visit(n ast.Node) bool {
	switch x := n.(type) {
	case *ast.ImportSpec:
		return false
	case *ast.Field:
		return false // types and tags
	case *ast.FuncDecl:
		if x.Body != nil {
			o.in = x
			o.inside(o.info.Defs[x.Name].Type().(*types.Signature), x.Body)
			o.in = nil
		}
		return false
	case *ast.FuncLit:
		o.inside(o.info.TypeOf(x).(*types.Signature), x.Body)
		return false
	case *ast.BinaryExpr:
		o.swap(x.OpPos, x.Op)
	case *ast.UnaryExpr:
		if x.Op == token.NOT || x.Op == token.SUB {
			o.replace(x.OpPos, x.OpPos+1, "")
		}
	case *ast.IfStmt:
		o.negate(x.Cond)
	case *ast.ForStmt:
		o.negate(x.Cond)
	case *ast.SwitchStmt:
		if x.Tag == nil {
			for _, c := range x.Body.List {
				for _, cond := range c.(*ast.CaseClause).List {
					o.negate(cond)
				}
			}
		}
	case *ast.BranchStmt:
		o.swap(x.TokPos, x.Tok)
	case *ast.IncDecStmt:
		o.swap(x.TokPos, x.Tok)
		o.replace(x.Pos(), x.End(), "")
	case *ast.ExprStmt:
		o.replace(x.Pos(), x.End(), "")
	case *ast.AssignStmt:
		o.swap(x.TokPos, x.Tok)
		if x.Tok != token.DEFINE {
			o.replace(x.Pos(), x.Rhs[0].Pos(), strings.TrimSuffix(strings.Repeat("_, ", len(x.Lhs)), ", ")+" = ")
		}
	case *ast.ReturnStmt:
		o.result(x)
	case *ast.SliceExpr:
		o.slice(x)
	case *ast.CallExpr:
		if id, ok := x.Fun.(*ast.Ident); ok && o.info.Types[id].IsBuiltin() && (id.Name == "min" || id.Name == "max") {
			o.replace(id.Pos(), id.End(), map[string]string{"min": "max", "max": "min"}[id.Name])
		}
	case *ast.BasicLit:
		o.literal(x)
	case *ast.SelectorExpr:
		o.named(x.Sel)
		ast.Inspect(x.X, o.visit)
		return false
	case *ast.Ident:
		o.named(x)
	}
	return true
}

func (o *operators) inside(sig *types.Signature, body *ast.BlockStmt) {
	o.results = append(o.results, sig.Results())
	ast.Inspect(body, o.visit)
	o.results = o.results[:len(o.results)-1]
}

// result changes what is returned, one value at a time: true for false, and anything else for
// the zero of its type. A return of nothing is left out.
func (o *operators) result(x *ast.ReturnStmt) {
	results := o.results[len(o.results)-1]
	if len(x.Results) == 0 {
		o.replace(x.Pos(), x.End(), "")
	}
	if len(x.Results) != results.Len() {
		return
	}
	for i, value := range x.Results {
		t := results.At(i).Type()
		name := types.TypeString(t, func(p *types.Package) string {
			if p == o.own {
				return ""
			}
			return p.Name()
		})
		basic, _ := t.Underlying().(*types.Basic)
		literal, _ := value.(*ast.CompositeLit)
		_, record := t.Underlying().(*types.Struct)
		switch known := o.info.Types[value]; {
		case literal != nil && record && len(literal.Elts) == 0: // zero already
		case known.IsNil() || known.Value != nil && isZero(known.Value) && basic.Info()&types.IsBoolean == 0:
		case basic != nil && basic.Info()&types.IsBoolean != 0:
			o.replace(value.Pos(), value.End(), "!("+o.words(value)+")")
		default: // the value is still worked out, so that nothing is declared without use
			o.replace(value.Pos(), value.End(), "func("+name+") (zero "+name+") { return }("+o.words(value)+")")
		}
	}
}

func isZero(v constant.Value) bool {
	switch v.Kind() {
	case constant.Int, constant.Float:
		return constant.Sign(v) == 0
	case constant.String:
		return constant.StringVal(v) == ""
	}
	return false
}

// slice leaves out each bound, and moves it by one.
func (o *operators) slice(x *ast.SliceExpr) {
	if x.Low != nil {
		o.replace(x.Low.Pos(), x.Low.End(), "")
		o.replace(x.Low.Pos(), x.Low.End(), "("+o.words(x.Low)+")+1")
	}
	if x.High != nil {
		if !x.Slice3 {
			o.replace(x.High.Pos(), x.High.End(), "")
		}
		o.replace(x.High.Pos(), x.High.End(), "("+o.words(x.High)+")-1")
	}
}

// literal makes a number one more and one less, another letter of a letter, and nothing of a text.
func (o *operators) literal(x *ast.BasicLit) {
	switch x.Kind {
	case token.INT, token.FLOAT:
		o.replace(x.Pos(), x.End(), "("+x.Value+" + 1)")
		o.replace(x.Pos(), x.End(), "("+x.Value+" - 1)")
	case token.CHAR:
		o.replace(x.Pos(), x.End(), "("+x.Value+" + 1)")
	case token.STRING:
		if s, err := strconv.Unquote(x.Value); err == nil && s == "" {
			o.replace(x.Pos(), x.End(), `"x"`)
		} else {
			o.replace(x.Pos(), x.End(), `""`)
		}
	}
}

// named puts another constant of the same named type, such as another verb, in the place of one.
func (o *operators) named(id *ast.Ident) {
	c, ok := o.info.Uses[id].(*types.Const)
	if !ok || c.Pkg() == nil || c.Parent() != c.Pkg().Scope() {
		return
	}
	if _, ok := c.Type().(*types.Named); !ok {
		return
	}
	var alike []string
	at := 0
	for _, name := range c.Pkg().Scope().Names() {
		if other, ok := c.Pkg().Scope().Lookup(name).(*types.Const); ok && types.Identical(other.Type(), c.Type()) {
			if other == c {
				at = len(alike)
			}
			alike = append(alike, name)
		}
	}
	if len(alike) > 1 {
		o.replace(id.Pos(), id.End(), alike[(at+1)%len(alike)])
	}
}
