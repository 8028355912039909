package render

import (
	"errors"
	"fmt"
	"reflect"
)

// program is a template made ready for one type of data.
type program struct {
	code   code
	places int   // of its variables, "$" among them
	err    error // why there is none
	done   bool  // false while it is being made
}

// code is what is done one after the other.
type code []op

// op does one thing with the data that the template's dot stands for.
type op func(r *run, dot reflect.Value)

// run is one page while it is made.
type run struct {
	out []byte
	// vars are the variables of the templates that are at work, the called ones on
	// top; those of the topmost begin at base.
	vars  []reflect.Value
	base  int
	depth int
	// in and args are room for the arguments of the calls that are being made, the innermost on top.
	in   []reflect.Value
	args []any
}

// deepest is how far templates may call each other here. html/template goes
// further, and says what is wrong when they do not end.
const deepest = 1000

// stop ends a run that cannot go on; the page is left to html/template, which
// says better what is wrong with it.
func stop(why string) { panic(stopped(why)) }

type stopped string

// page runs a page's program. It fails when the program stops or anything in it panics.
func (r *run) page(p *program, data any) (err error) {
	*r = run{out: r.out[:0], vars: r.vars[:0], in: r.in[:0], args: r.args[:0]}
	defer func() {
		if cause := recover(); cause != nil {
			err = fmt.Errorf("the program stopped: %v", cause)
		}
		// So that it does not hold on to the data.
		clear(r.vars[:cap(r.vars)])
		clear(r.in[:cap(r.in)])
		clear(r.args[:cap(r.args)])
	}()
	dot := reflect.ValueOf(data)
	if isStructPointer(reflect.TypeOf(data)) {
		if dot = dot.Elem(); !dot.IsValid() {
			return errors.New("no data")
		}
	}
	p.run(r, dot)
	return nil
}

func (p *program) run(r *run, dot reflect.Value) {
	if r.depth++; r.depth > deepest {
		stop("templates call each other too deep")
	}
	before := r.base
	r.base = len(r.vars)
	r.vars = append(r.vars, dot)
	for range p.places - 1 {
		r.vars = append(r.vars, reflect.Value{})
	}
	p.code.run(r, dot)
	r.vars = r.vars[:r.base]
	r.base = before
	r.depth--
}

func (c code) run(r *run, dot reflect.Value) {
	for _, do := range c {
		do(r, dot)
	}
}

// builder puts code together. Text that stands side by side becomes one piece.
type builder struct {
	code code
	text []byte
}

func (b *builder) add(do op) {
	b.flush()
	b.code = append(b.code, do)
}

func (b *builder) flush() {
	if len(b.text) == 0 {
		return
	}
	text := string(b.text)
	b.text = b.text[:0]
	b.code = append(b.code, func(r *run, _ reflect.Value) { r.out = append(r.out, text...) })
}
