package render

import (
	"reflect"
	"strings"
	"text/template/parse"
)

// getter works out a value of a type that is known beforehand.
type getter func(r *run, dot reflect.Value) reflect.Value

// expr is something that has a value.
type expr struct {
	typ   reflect.Type
	value getter
	// constant is the value when it is the same on every page.
	constant reflect.Value
	// text is set for a string that is made and not read from the data, which
	// spares it the way through a reflect.Value.
	text func(r *run, dot reflect.Value) string
}

var (
	intType    = reflect.TypeFor[int]()
	stringType = reflect.TypeFor[string]()
)

func constant(x any) expr {
	v := reflect.ValueOf(x)
	return expr{typ: v.Type(), constant: v, value: func(*run, reflect.Value) reflect.Value { return v }}
}

func (e expr) isConstant() bool { return e.constant.IsValid() }

// pointedTo follows a pointer to a struct.
func pointedTo(v reflect.Value) reflect.Value {
	if v = v.Elem(); !v.IsValid() {
		stop("a nil pointer")
	}
	return v
}

// follow is the getter of what a pointer to a struct points to, and of anything else itself.
func follow(e expr) getter {
	value := e.value
	if !isStructPointer(e.typ) {
		return value
	}
	return func(r *run, dot reflect.Value) reflect.Value { return pointedTo(value(r, dot)) }
}

func (c *compiler) dot(typ reflect.Type) expr {
	return expr{typ: typ, value: func(_ *run, dot reflect.Value) reflect.Value { return dot }}
}

func (c *compiler) variable(place int) expr {
	return expr{typ: c.scope[place].typ, value: func(r *run, _ reflect.Value) reflect.Value { return r.vars[r.base+place] }}
}

// pipe compiles a pipeline of one command.
func (c *compiler) pipe(pipe *parse.PipeNode, dot reflect.Type) (expr, error) {
	if len(pipe.Cmds) != 1 {
		return expr{}, c.cannot(pipe, "a pipeline of several commands")
	}
	return c.command(pipe.Cmds[0], dot)
}

// command compiles one command with its arguments.
func (c *compiler) command(cmd *parse.CommandNode, dot reflect.Type) (expr, error) {
	args := cmd.Args[1:]
	switch n := cmd.Args[0].(type) {
	case *parse.IdentifierNode:
		return c.function(n, args, dot)
	case *parse.FieldNode:
		return c.chain(n, c.dot(dot), n.Ident, args, dot)
	case *parse.VariableNode:
		if len(n.Ident) > 1 {
			return c.chain(n, c.variable(c.lookUp(n.Ident[0])), n.Ident[1:], args, dot)
		}
	}
	if len(args) > 0 {
		return expr{}, c.cannot(cmd, "arguments to what is no function")
	}
	return c.argument(cmd.Args[0], dot)
}

// argument compiles one word of a command.
func (c *compiler) argument(n parse.Node, dot reflect.Type) (expr, error) {
	switch n := n.(type) {
	case *parse.DotNode:
		if dot == nil {
			return expr{}, c.cannot(n, "a template without data")
		}
		return c.dot(dot), nil
	case *parse.FieldNode:
		return c.chain(n, c.dot(dot), n.Ident, nil, dot)
	case *parse.VariableNode:
		v := c.variable(c.lookUp(n.Ident[0]))
		return c.chain(n, v, n.Ident[1:], nil, dot)
	case *parse.PipeNode:
		if len(n.Decl) == 0 {
			return c.pipe(n, dot)
		}
	case *parse.StringNode:
		return constant(n.Text), nil
	case *parse.BoolNode:
		return constant(n.True), nil
	case *parse.NumberNode:
		// Only what is plainly a whole number: the other ways of writing one have rules of their own.
		if n.IsInt && strings.Trim(n.Text, "0123456789") == "" {
			return constant(int(n.Int64)), nil
		}
	}
	return expr{}, c.cannot(n, "a %T", n)
}

// chain compiles .A.B.C; the last may be a method with arguments.
func (c *compiler) chain(n parse.Node, e expr, names []string, args []parse.Node, dot reflect.Type) (expr, error) {
	if e.typ == nil {
		return expr{}, c.cannot(n, "a template without data")
	}
	for i, name := range names {
		var with []parse.Node
		if i == len(names)-1 {
			with = args
		}
		var err error
		if e, err = c.member(n, e, name, with, dot); err != nil {
			return expr{}, err
		}
	}
	return e, nil
}

// member compiles a method or, where there is none of the name, a field.
func (c *compiler) member(n parse.Node, e expr, name string, args []parse.Node, dot reflect.Type) (expr, error) {
	typ := structOf(e.typ)
	if typ == nil || typ.Kind() == reflect.Interface || typ.Kind() == reflect.Pointer {
		return expr{}, c.cannot(n, "%s of data of type %v", name, typ)
	}
	from := follow(e)
	if m, ok := typ.MethodByName(name); ok {
		return c.method(n, from, m, args, dot)
	}
	if m, ok := reflect.PointerTo(typ).MethodByName(name); ok {
		return c.method(n, func(r *run, dot reflect.Value) reflect.Value {
			v := from(r, dot)
			if !v.CanAddr() {
				stop("a method of a pointer, and no pointer")
			}
			return v.Addr()
		}, m, args, dot)
	}
	if typ.Kind() != reflect.Struct || len(args) > 0 {
		return expr{}, c.cannot(n, "%s of data of type %v", name, typ)
	}
	f, ok := typ.FieldByName(name)
	if !ok || !f.IsExported() {
		return expr{}, c.cannot(n, "no field %s in type %v", name, typ)
	}
	return expr{typ: f.Type, value: field(from, typ, f.Index)}, nil
}

// field is the getter of a field, which may lie in embedded structs.
func field(from getter, typ reflect.Type, index []int) getter {
	for _, i := range index {
		outer, pointer := from, isStructPointer(typ)
		if pointer {
			typ = typ.Elem()
		}
		from = func(r *run, dot reflect.Value) reflect.Value {
			v := outer(r, dot)
			if pointer {
				v = pointedTo(v)
			}
			return v.Field(i)
		}
		typ = typ.Field(i).Type
	}
	return from
}

// truthOf says when a value of the type counts as true: when it is not empty and not zero.
func (c *compiler) truthOf(n parse.Node, typ reflect.Type) (func(reflect.Value) bool, error) {
	switch {
	case typ == nil:
	case typ.Kind() == reflect.String, typ.Kind() == reflect.Slice, typ.Kind() == reflect.Map:
		return func(v reflect.Value) bool { return v.Len() > 0 }, nil
	case typ.Kind() == reflect.Bool:
		return reflect.Value.Bool, nil
	case typ.Kind() == reflect.Pointer:
		return func(v reflect.Value) bool { return !v.IsNil() }, nil
	case typ.Kind() == reflect.Struct:
		return func(reflect.Value) bool { return true }, nil
	case isNumber(typ):
		return func(v reflect.Value) bool { return !v.IsZero() }, nil
	}
	return nil, c.cannot(n, "a condition of type %v", typ)
}

// truth says whether an expression counts as true.
func (c *compiler) truth(n parse.Node, e expr) (func(*run, reflect.Value) bool, error) {
	holds, err := c.truthOf(n, e.typ)
	if err != nil {
		return nil, err
	}
	value := e.value
	return func(r *run, dot reflect.Value) bool { return holds(value(r, dot)) }, nil
}

func isWhole(t reflect.Type) bool  { return t.Kind() >= reflect.Int && t.Kind() <= reflect.Int64 }
func isNumber(t reflect.Type) bool { return t.Kind() >= reflect.Int && t.Kind() <= reflect.Float64 }
