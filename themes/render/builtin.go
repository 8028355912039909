package render

import (
	"cmp"
	"fmt"
	"reflect"
	"text/template/parse"
)

// builtin compiles a call of a function that every template has.
func (c *compiler) builtin(n *parse.IdentifierNode, values []expr) (expr, error) {
	switch name := n.Ident; {
	case (name == "and" || name == "or") && len(values) > 0:
		return c.either(n, values, name == "or")
	case name == "not" && len(values) == 1:
		holds, err := c.truth(n, values[0])
		return condition(func(r *run, dot reflect.Value) bool { return !holds(r, dot) }), err
	case name == "len" && len(values) == 1:
		switch v := values[0]; v.typ.Kind() {
		case reflect.String, reflect.Slice, reflect.Map:
			return expr{typ: intType, value: func(r *run, dot reflect.Value) reflect.Value { return reflect.ValueOf(v.value(r, dot).Len()) }}, nil
		}
	case name == "printf" && len(values) > 0 && values[0].typ == stringType:
		return c.format(n, func(format string, args ...any) (string, error) { return fmt.Sprintf(format, args...), nil }, values)
	case name == "eq" && len(values) >= 2:
		return c.equal(n, values)
	case len(values) == 2:
		if holds := orders[name]; holds != nil {
			return c.compare(n, values, holds)
		}
	}
	return expr{}, c.cannot(n, "a call of %s like this", n.Ident)
}

func condition(holds func(*run, reflect.Value) bool) expr {
	return expr{typ: reflect.TypeFor[bool](), value: func(r *run, dot reflect.Value) reflect.Value { return reflect.ValueOf(holds(r, dot)) }}
}

// either compiles "and" and "or", whose value is the argument that decides.
func (c *compiler) either(n parse.Node, values []expr, or bool) (expr, error) {
	typ := values[0].typ
	for _, v := range values {
		if v.typ != typ {
			return c.decided(n, values, or)
		}
	}
	holds, err := c.truthOf(n, typ)
	if err != nil {
		return expr{}, err
	}
	return expr{typ: typ, value: func(r *run, dot reflect.Value) (v reflect.Value) {
		for _, e := range values {
			if v = e.value(r, dot); holds(v) == or {
				return v
			}
		}
		return v
	}}, nil
}

// decided is "and" and "or" of values of several types: all that is known of the
// value is whether it counts as true, which is enough for a condition.
func (c *compiler) decided(n parse.Node, values []expr, or bool) (expr, error) {
	var conditions []func(*run, reflect.Value) bool
	for _, v := range values {
		holds, err := c.truth(n, v)
		if err != nil {
			return expr{}, err
		}
		conditions = append(conditions, holds)
	}
	e := condition(func(r *run, dot reflect.Value) bool {
		for _, holds := range conditions {
			if holds(r, dot) == or {
				return or
			}
		}
		return !or
	})
	e.typ = truthOnly
	return e, nil
}

// truthOnly is the type of a value of which only the truth is known.
var truthOnly = reflect.TypeFor[truthValue]()

type truthValue bool

// orders says for each comparison whether it holds of what cmp.Compare returns.
var orders = map[string]func(int) bool{
	"ne": func(x int) bool { return x != 0 },
	"lt": func(x int) bool { return x < 0 },
	"le": func(x int) bool { return x <= 0 },
	"gt": func(x int) bool { return x > 0 },
	"ge": func(x int) bool { return x >= 0 },
}

// compare compiles a comparison of two texts or two whole numbers.
func (c *compiler) compare(n parse.Node, values []expr, holds func(int) bool) (expr, error) {
	order, err := c.order(n, values[0], values[1])
	return condition(func(r *run, dot reflect.Value) bool { return holds(order(r, dot)) }), err
}

// equal compiles "eq": whether the first is like any of the others.
func (c *compiler) equal(n parse.Node, values []expr) (expr, error) {
	var each []func(*run, reflect.Value) int
	for _, v := range values[1:] {
		order, err := c.order(n, values[0], v)
		if err != nil {
			return expr{}, err
		}
		each = append(each, order)
	}
	return condition(func(r *run, dot reflect.Value) bool {
		for _, order := range each {
			if order(r, dot) == 0 {
				return true
			}
		}
		return false
	}), nil
}

func (c *compiler) order(n parse.Node, a, b expr) (func(*run, reflect.Value) int, error) {
	switch {
	case a.typ.Kind() == reflect.String && b.typ.Kind() == reflect.String:
		a, b := a.string(), b.string()
		return func(r *run, dot reflect.Value) int { return cmp.Compare(a(r, dot), b(r, dot)) }, nil
	case isWhole(a.typ) && isWhole(b.typ):
		return func(r *run, dot reflect.Value) int { return cmp.Compare(a.value(r, dot).Int(), b.value(r, dot).Int()) }, nil
	}
	return nil, c.cannot(n, "a comparison of %v with %v", a.typ, b.typ)
}
