// Package render runs the templates of an html/template set fast. It takes their
// trees as html/template left them, with its contextual escaping in place, and
// turns each into a program for one type of data: field places are looked up once,
// constants are worked out once, and escaped text goes straight into one buffer.
//
// What a program cannot do is left to html/template, a whole page at a time, so
// that a page is what html/template makes of it in any case. Left says what was.
package render

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"io"
	"reflect"
	"slices"
	"sync"
	"text/template/parse"
)

// Set runs the templates of one html/template set. It may be used from several
// goroutines at once.
type Set struct {
	templates *template.Template
	funcs     template.FuncMap
	runs      sync.Pool // of *run

	mu sync.RWMutex
	// programs holds what was made of each template for each type of data.
	programs map[use]*program
	left     map[string]bool
}

// use is a template with the type of the data that it is given.
type use struct {
	name string
	data reflect.Type // nil for none
}

// New takes a set that is parsed and not yet executed, and the functions that it
// was given. A function must return the same for the same arguments: a call with
// constants is made once.
func New(templates *template.Template, funcs template.FuncMap) *Set {
	return &Set{
		templates: templates,
		funcs:     funcs,
		runs:      sync.Pool{New: func() any { return new(run) }},
		programs:  map[use]*program{},
		left:      map[string]bool{},
	}
}

// ExecuteTemplate writes what the named template makes of the data, in one piece
// that the writer must not keep; on an error it writes nothing. Errors are those
// of html/template and of the writer.
func (s *Set) ExecuteTemplate(w io.Writer, name string, data any) error {
	r := s.runs.Get().(*run)
	defer s.runs.Put(r)
	if why := s.execute(r, name, data); why != nil {
		page := bytes.NewBuffer(r.out[:0])
		if err := s.templates.ExecuteTemplate(page, name, data); err != nil {
			return err
		}
		s.leave(fmt.Sprintf("%s of %T: %v", name, data, why))
		r.out = page.Bytes()
	}
	_, err := w.Write(r.out)
	return err
}

// execute makes a page by its program, or says why it cannot.
func (s *Set) execute(r *run, name string, data any) error {
	p, err := s.program(name, data)
	if err != nil {
		return err
	}
	return r.page(p, data)
}

// Templates returns the html/template set, which the programs are tested and measured against.
func (s *Set) Templates() *template.Template { return s.templates }

// Left lists the templates that were left to html/template and why, sorted. It
// is empty unless a template asks for something that programs cannot do.
func (s *Set) Left() []string {
	s.mu.RLock()
	defer s.mu.RUnlock()
	var out []string
	for why := range s.left {
		out = append(out, why)
	}
	slices.Sort(out)
	return out
}

func (s *Set) leave(why string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.left[why] = true
}

// program returns the program of a page template for a type of data.
func (s *Set) program(name string, data any) (*program, error) {
	key := use{name, structOf(reflect.TypeOf(data))}
	s.mu.RLock()
	p := s.programs[key]
	s.mu.RUnlock()
	if p == nil {
		s.mu.Lock()
		defer s.mu.Unlock()
		if err := s.escape(name); err != nil {
			return nil, err
		}
		p = s.compile(key)
	}
	return p, p.err
}

// escape lets html/template put its escaping into a template and all that it
// calls, which it does before it first executes one. That this execution then
// fails for want of data does no harm.
func (s *Set) escape(name string) error {
	err := s.templates.ExecuteTemplate(io.Discard, name, nil)
	var refused *template.Error
	if errors.As(err, &refused) {
		return err
	}
	return nil
}

// compile makes the program of a template and of all that it calls. The caller holds the lock.
func (s *Set) compile(key use) *program {
	if p := s.programs[key]; p != nil {
		return p
	}
	p := &program{}
	s.programs[key] = p // a template may call itself
	t := s.templates.Lookup(key.name)
	if t == nil || t.Tree == nil {
		p.err = fmt.Errorf("template %q is not among the set's own", key.name)
		return p
	}
	c := &compiler{set: s, tree: t.Tree, program: p}
	c.declare("$", key.data)
	p.code, p.err = c.list(t.Tree.Root, key.data)
	p.done = true
	return p
}

// structOf is the type of data inside a template: a pointer to a struct is followed once, on the way in.
func structOf(t reflect.Type) reflect.Type {
	if isStructPointer(t) {
		return t.Elem()
	}
	return t
}

func isStructPointer(t reflect.Type) bool {
	return t != nil && t.Kind() == reflect.Pointer && t.Elem().Kind() == reflect.Struct
}

// compiler makes the program of one template for one type of data.
type compiler struct {
	set     *Set
	tree    *parse.Tree
	program *program
	// scope holds the variables that are in sight, in the order of their places in the frame.
	scope []variable
}

type variable struct {
	name string
	typ  reflect.Type
}

// declare gives a variable the next place in the frame.
func (c *compiler) declare(name string, typ reflect.Type) int {
	c.scope = append(c.scope, variable{name, typ})
	c.program.places = max(c.program.places, len(c.scope))
	return len(c.scope) - 1
}

// lookUp returns the place of the variable that a name means here.
func (c *compiler) lookUp(name string) int {
	for i := len(c.scope) - 1; i >= 0; i-- {
		if c.scope[i].name == name {
			return i
		}
	}
	return -1
}

// cannot says what a program has no way of doing.
func (c *compiler) cannot(n parse.Node, format string, args ...any) error {
	at, what := c.tree.ErrorContext(n)
	return fmt.Errorf("%s: <%s>: %s", at, what, fmt.Sprintf(format, args...))
}
