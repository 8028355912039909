package render

import (
	"reflect"
	"text/template/parse"
)

// list compiles what stands between two tags. Variables that it declares end with it.
func (c *compiler) list(list *parse.ListNode, dot reflect.Type) (code, error) {
	var b builder
	if list == nil {
		return nil, nil
	}
	outer := len(c.scope)
	for _, n := range list.Nodes {
		if err := c.node(&b, n, dot); err != nil {
			return nil, err
		}
	}
	c.scope = c.scope[:outer]
	b.flush()
	return b.code, nil
}

func (c *compiler) node(b *builder, n parse.Node, dot reflect.Type) error {
	switch n := n.(type) {
	case *parse.TextNode:
		b.text = append(b.text, n.Text...)
		return nil
	case *parse.CommentNode:
		return nil
	case *parse.ActionNode:
		if len(n.Pipe.Decl) > 0 {
			return c.assign(b, n.Pipe, dot)
		}
		return c.print(b, n, dot)
	case *parse.IfNode:
		return c.branch(b, &n.BranchNode, dot, false)
	case *parse.WithNode:
		return c.branch(b, &n.BranchNode, dot, true)
	case *parse.RangeNode:
		return c.loop(b, n, dot)
	case *parse.TemplateNode:
		return c.call(b, n, dot)
	}
	return c.cannot(n, "a %T", n)
}

// branch compiles {{if}} and {{with}}, which moves the dot.
func (c *compiler) branch(b *builder, n *parse.BranchNode, dot reflect.Type, moves bool) error {
	outer := len(c.scope)
	defer func() { c.scope = c.scope[:outer] }()
	e, err := c.declaring(b, n.Pipe, dot)
	if err != nil {
		return err
	}
	inner := dot
	if moves {
		inner = structOf(e.typ)
	}
	then, err := c.list(n.List, inner)
	if err != nil {
		return err
	}
	otherwise, err := c.list(n.ElseList, dot)
	if err != nil {
		return err
	}
	if moves {
		return c.with(b, n, e, then, otherwise)
	}
	holds, err := c.truth(n, e)
	if err != nil {
		return err
	}
	b.add(func(r *run, dot reflect.Value) {
		if holds(r, dot) {
			then.run(r, dot)
		} else {
			otherwise.run(r, dot)
		}
	})
	return nil
}

func (c *compiler) with(b *builder, n parse.Node, e expr, then, otherwise code) error {
	holds, err := c.truthOf(n, e.typ)
	if err != nil {
		return err
	}
	pointer := isStructPointer(e.typ)
	value := e.value
	b.add(func(r *run, dot reflect.Value) {
		v := value(r, dot)
		switch {
		case !holds(v):
			otherwise.run(r, dot)
		case pointer:
			then.run(r, v.Elem())
		default:
			then.run(r, v)
		}
	})
	return nil
}

// declaring compiles a pipeline that may declare one variable, which then stands for it.
func (c *compiler) declaring(b *builder, pipe *parse.PipeNode, dot reflect.Type) (expr, error) {
	if len(pipe.Decl) == 0 {
		return c.pipe(pipe, dot)
	}
	if err := c.assign(b, pipe, dot); err != nil {
		return expr{}, err
	}
	return c.variable(c.lookUp(pipe.Decl[0].Ident[0])), nil
}

// loop compiles {{range}} over a slice.
func (c *compiler) loop(b *builder, n *parse.RangeNode, dot reflect.Type) error {
	outer := len(c.scope)
	defer func() { c.scope = c.scope[:outer] }()
	e, err := c.pipe(n.Pipe, dot)
	if err != nil {
		return err
	}
	if e.typ.Kind() != reflect.Slice || n.Pipe.IsAssign {
		return c.cannot(n, "a loop over %s", e.typ)
	}
	index, element := -1, -1
	switch names := n.Pipe.Decl; len(names) {
	case 2:
		index = c.declare(names[0].Ident[0], intType)
		element = c.declare(names[1].Ident[0], e.typ.Elem())
	case 1:
		element = c.declare(names[0].Ident[0], e.typ.Elem())
	}
	body, err := c.list(n.List, structOf(e.typ.Elem()))
	if err != nil {
		return err
	}
	none, err := c.list(n.ElseList, dot)
	if err != nil {
		return err
	}
	pointers := isStructPointer(e.typ.Elem())
	values := e.value
	b.add(func(r *run, dot reflect.Value) {
		all := values(r, dot)
		count := all.Len()
		if count == 0 {
			none.run(r, dot)
		}
		for i := range count {
			one := all.Index(i)
			if index >= 0 {
				r.vars[r.base+index] = reflect.ValueOf(i)
			}
			if element >= 0 {
				r.vars[r.base+element] = one
			}
			if pointers {
				one = pointedTo(one)
			}
			body.run(r, one)
		}
	})
	return nil
}

// call compiles {{template}}. A called template that is nothing but text becomes text of the caller.
func (c *compiler) call(b *builder, n *parse.TemplateNode, dot reflect.Type) error {
	var e expr
	if n.Pipe != nil {
		var err error
		if e, err = c.pipe(n.Pipe, dot); err != nil {
			return err
		}
	}
	p := c.set.compile(use{n.Name, structOf(e.typ)})
	if p.err != nil {
		return p.err
	}
	if n.Pipe == nil {
		b.add(func(r *run, _ reflect.Value) { p.run(r, reflect.Value{}) })
		return nil
	}
	value := follow(e)
	b.add(func(r *run, dot reflect.Value) { p.run(r, value(r, dot)) })
	return nil
}

// assign compiles a declaration of a variable, or a new value for one.
func (c *compiler) assign(b *builder, pipe *parse.PipeNode, dot reflect.Type) error {
	e, err := c.pipe(pipe, dot)
	if err != nil {
		return err
	}
	if len(pipe.Decl) != 1 {
		return c.cannot(pipe, "several variables at once")
	}
	name := pipe.Decl[0].Ident[0]
	var place int
	if !pipe.IsAssign {
		place = c.declare(name, e.typ)
	} else if place = c.lookUp(name); place < 0 || c.scope[place].typ != e.typ {
		return c.cannot(pipe, "a value of another type for a variable")
	}
	value := e.value
	b.add(func(r *run, dot reflect.Value) { r.vars[r.base+place] = value(r, dot) })
	return nil
}
