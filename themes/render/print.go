package render

import (
	"encoding/json"
	"fmt"
	"html/template"
	"reflect"
	"strconv"
	"strings"
	"text/template/parse"
)

// print compiles an action whose value goes onto the page. html/template has put
// the escaping for its place behind it, as further commands of the pipeline.
func (c *compiler) print(b *builder, n *parse.ActionNode, dot reflect.Type) error {
	e, err := c.command(n.Pipe.Cmds[0], dot)
	if err != nil {
		return err
	}
	var escapers []string
	for _, cmd := range n.Pipe.Cmds[1:] {
		escapers = append(escapers, cmd.String())
	}
	do, err := c.printer(n, e, strings.Join(escapers, " "))
	if err != nil {
		return err
	}
	if e.isConstant() {
		var r run
		do(&r, reflect.Value{})
		b.text = append(b.text, r.out...)
		return nil
	}
	b.add(do)
	return nil
}

// printer is the op that appends an expression's value through escapers.
func (c *compiler) printer(n parse.Node, e expr, escapers string) (op, error) {
	if e.typ == nil || e.typ == truthOnly || e.typ.Kind() == reflect.Pointer || e.typ.Kind() == reflect.Interface {
		return nil, c.cannot(n, "a value of type %v on the page", e.typ)
	}
	if escapers == jsvalue {
		return c.script(n, e)
	}
	escape := escaperFor(escapers, e.typ)
	if escape == nil {
		return nil, c.cannot(n, "a value of type %v through %q", e.typ, escapers)
	}
	value := e.value
	switch {
	case e.typ.Kind() == reflect.Float64 && !printsItself(e.typ):
		return func(r *run, dot reflect.Value) { r.out = escape(r.out, decimal(value(r, dot).Float())) }, nil
	case printsItself(e.typ), e.typ.Kind() == reflect.Bool, isNumber(e.typ) && !isWhole(e.typ):
		return func(r *run, dot reflect.Value) { r.out = escape(r.out, fmt.Sprint(value(r, dot).Interface())) }, nil
	case isWhole(e.typ):
		return func(r *run, dot reflect.Value) { r.out = escape(r.out, strconv.FormatInt(value(r, dot).Int(), 10)) }, nil
	case e.typ.Kind() == reflect.String:
		text := e.string()
		return func(r *run, dot reflect.Value) { r.out = escape(r.out, text(r, dot)) }, nil
	}
	return nil, c.cannot(n, "a value of type %v on the page", e.typ)
}

// decimal writes a number as fmt does. Whole ones of up to six digits, such as the size of a picture, take the short way.
func decimal(x float64) string {
	if whole := int64(x); float64(whole) == x && whole != 0 && -1e6 < x && x < 1e6 {
		return strconv.FormatInt(whole, 10)
	}
	return fmt.Sprint(x)
}

// printsItself reports whether fmt asks the value for its text.
func printsItself(t reflect.Type) bool {
	return t.Implements(reflect.TypeFor[fmt.Stringer]()) || t.Implements(reflect.TypeFor[error]())
}

// jsvalue writes a value into a script, or into data for one.
const jsvalue = "_html_template_jsvalescaper"

// script is the op that appends a value as JSON.
func (c *compiler) script(n parse.Node, e expr) (op, error) {
	value := e.value
	switch {
	case e.typ == reflect.TypeFor[template.JS]():
		return func(r *run, dot reflect.Value) { r.out = append(r.out, value(r, dot).String()...) }, nil
	case e.typ == reflect.TypeFor[template.JSStr](), printsItself(e.typ):
		return nil, c.cannot(n, "a value of type %v in a script", e.typ)
	}
	return func(r *run, dot reflect.Value) {
		text, err := json.Marshal(value(r, dot).Interface())
		if err != nil {
			stop(err.Error())
		}
		// A number or a word must not run into the word before or behind it.
		if inWord(text[0]) || inWord(text[len(text)-1]) {
			r.out = append(append(append(r.out, ' '), text...), ' ')
			return
		}
		r.out = append(r.out, text...)
	}, nil
}

// inWord reports whether a character can be part of a script's name or number.
func inWord(c byte) bool {
	return c == '$' || c == '_' || '0' <= c && c <= '9' || 'A' <= c && c <= 'Z' || 'a' <= c && c <= 'z'
}
