package render

import (
	"reflect"
	"text/template/parse"
)

// method compiles a call of a method; from gets what it is called on.
func (c *compiler) method(n parse.Node, from getter, m reflect.Method, args []parse.Node, dot reflect.Type) (expr, error) {
	values, err := c.arguments(args, dot)
	if err != nil {
		return expr{}, err
	}
	typ := m.Type
	if typ.IsVariadic() || typ.NumIn() != 1+len(values) {
		return expr{}, c.cannot(n, "a method that takes other arguments")
	}
	for i, v := range values {
		if typ.In(1+i) != v.typ {
			return expr{}, c.cannot(n, "a %v for an argument of type %v", v.typ, typ.In(1+i))
		}
	}
	if typ.NumOut() != 1 && (typ.NumOut() != 2 || typ.Out(1) != reflect.TypeFor[error]()) || typ.Out(0).Kind() == reflect.Interface {
		return expr{}, c.cannot(n, "a method that returns %v", typ)
	}
	fails := typ.NumOut() == 2
	call := m.Func
	return expr{typ: typ.Out(0), value: func(r *run, dot reflect.Value) reflect.Value {
		first := len(r.in)
		r.in = append(r.in, from(r, dot))
		for _, v := range values {
			r.in = append(r.in, v.value(r, dot))
		}
		out := call.Call(r.in[first:])
		r.in = r.in[:first]
		if fails && !out[1].IsNil() {
			stop("a method's error")
		}
		return out[0]
	}}, nil
}

func (c *compiler) arguments(args []parse.Node, dot reflect.Type) ([]expr, error) {
	var out []expr
	for _, arg := range args {
		e, err := c.argument(arg, dot)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// function compiles a call of a function of the set's, or of one that every template has.
func (c *compiler) function(n *parse.IdentifierNode, args []parse.Node, dot reflect.Type) (expr, error) {
	values, err := c.arguments(args, dot)
	if err != nil {
		return expr{}, err
	}
	switch f := c.set.funcs[n.Ident].(type) {
	case func(string, ...any) (string, error):
		if len(values) > 0 && values[0].typ == stringType {
			return c.format(n, f, values)
		}
	case func(string, int) (string, error):
		if len(values) == 2 && values[0].typ == stringType && values[1].typ == intType {
			key := values[0].string()
			return c.made(values, func(r *run, dot reflect.Value) string {
				return orStop(f(key(r, dot), int(values[1].value(r, dot).Int())))
			}), nil
		}
	case nil:
		return c.builtin(n, values)
	}
	return expr{}, c.cannot(n, "a call of a function of another kind")
}

// format compiles a call of a function that puts values into a text.
func (c *compiler) format(n parse.Node, f func(string, ...any) (string, error), values []expr) (expr, error) {
	var args []func(*run, reflect.Value) any
	for _, v := range values[1:] {
		if v.typ == truthOnly || v.typ.Kind() != reflect.String && v.typ.Kind() != reflect.Bool && !isNumber(v.typ) {
			return expr{}, c.cannot(n, "an argument of type %v", v.typ)
		}
		args = append(args, v.boxed())
	}
	format := values[0].string()
	return c.made(values, func(r *run, dot reflect.Value) string {
		first := len(r.args)
		for _, arg := range args {
			r.args = append(r.args, arg(r, dot))
		}
		s := orStop(f(format(r, dot), r.args[first:]...))
		r.args = r.args[:first]
		return s
	}), nil
}

// made is a text that is made of values: of constants, once.
func (c *compiler) made(values []expr, text func(*run, reflect.Value) string) (e expr) {
	e = expr{typ: stringType, text: text, value: func(r *run, dot reflect.Value) reflect.Value { return reflect.ValueOf(text(r, dot)) }}
	for _, v := range values {
		if !v.isConstant() {
			return e
		}
	}
	defer func() {
		// What fails now fails when a page gets there, and for html/template too.
		_ = recover()
	}()
	return constant(text(new(run), reflect.Value{}))
}

// boxed is how an expression is read as an argument of any type. Texts and whole
// numbers take a way on which reflect makes no copy.
func (e expr) boxed() func(*run, reflect.Value) any {
	value := e.value
	switch e.typ {
	case stringType:
		text := e.string()
		return func(r *run, dot reflect.Value) any { return text(r, dot) }
	case intType:
		return func(r *run, dot reflect.Value) any { return int(value(r, dot).Int()) }
	}
	return func(r *run, dot reflect.Value) any { return value(r, dot).Interface() }
}

func orStop(s string, err error) string {
	if err != nil {
		stop(err.Error())
	}
	return s
}

// string is how an expression of a string kind is read.
func (e expr) string() func(*run, reflect.Value) string {
	switch {
	case e.text != nil:
		return e.text
	case e.isConstant():
		s := e.constant.String()
		return func(*run, reflect.Value) string { return s }
	}
	value := e.value
	return func(r *run, dot reflect.Value) string { return value(r, dot).String() }
}
