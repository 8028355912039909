package assist

import (
	"cmp"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/compile"
	"matchmark/procedure"
	"matchmark/procedure/refit"
	"matchmark/procedure/text"
)

// sort says what a name is the name of.
type sort string

const (
	thing    sort = "thing" // of a register, of any kind
	step     sort = "step"
	figure   sort = "figure"
	variant  sort = "variant"
	question sort = "question"
	machine  sort = "machine"
	job      sort = "procedure"
	quiz     sort = "quiz"
	steps    sort = "steps"
	open     sort = "parameter" // of shared steps
)

// name is a name of a library: what it is the name of, and the file in which it is given, since two machines may each
// have a part called hood.
type name struct {
	sort  sort
	owner string
	id    string
}

// place is where a name stands.
type place struct {
	name
	span text.Span
	// defines is true where the name is given.
	defines bool
	// One of these is set where the name is given.
	thing  *procedure.Thing
	figure *procedure.Figure
	step   *procedure.Step
	of     *procedure.Procedure // the procedure of a step
}

// places are all places at which names of an opened file and of those joined with it stand, by file and place.
func places(o *compile.Opened) []place {
	c := &collector{found: map[key]place{}, files: map[*text.File]bool{}}
	for _, m := range o.Machines {
		c.machine(m)
	}
	for _, p := range o.Procedures {
		c.procedure(p)
	}
	for _, part := range o.Shared {
		for _, f := range part.Figures() {
			c.file(f.Span.File)
		}
	}
	for _, q := range o.Quizzes {
		c.quiz(q)
	}
	for _, course := range o.Courses {
		c.course(course, o.Library)
	}
	for _, p := range o.Procedures {
		c.words(p)
	}
	c.shared(o)
	out := make([]place, 0, len(c.found))
	for _, p := range c.found {
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.span.File.Name, b.span.File.Name), cmp.Compare(a.span.Start, b.span.Start), cmp.Compare(a.span.End, b.span.End),
			// Tools that are filled in stand all at the heading of their step.
			cmp.Compare(a.sort, b.sort), cmp.Compare(a.owner, b.owner), cmp.Compare(a.id, b.id))
	})
	return out
}

type key struct {
	name
	file       string
	start, end int
}

// collector goes through a library and takes down where names stand.
type collector struct {
	found map[key]place
	files map[*text.File]bool
}

func (c *collector) file(f *text.File) {
	if f != nil && f.Sheets == nil {
		c.files[f] = true
	}
}

// add takes down a place; one that defines a name wins over one that uses it.
func (c *collector) add(p place) {
	if !p.span.Valid() || p.id == "" || p.span.File.Source == nil {
		return
	}
	if p.sort == step && p.span.Text() == p.id+refit.Suffix { // the name of a step of the refitting comes from that of the step
		p.span = p.span.Sub(0, len(p.id))
	}
	k := key{p.name, p.span.File.Name, p.span.Start, p.span.End}
	if before, there := c.found[k]; !there || p.defines && !before.defines {
		c.found[k] = p
	}
	c.file(p.span.File)
}

// within is where a name stands in a wider place, such as an opening line; the whole place when it does not.
func within(s text.Span, id string) text.Span {
	words := s.Text()
	for from := 0; ; {
		i := strings.Index(words[from:], id)
		if i < 0 {
			return s
		}
		start, end := from+i, from+i+len(id)
		if !nameByte(words, start-1) && !nameByte(words, end) {
			return s.Sub(start, end)
		}
		from = end
	}
}

// nameByte reports whether the byte at a place may be one of a name.
func nameByte(s string, i int) bool {
	return i >= 0 && i < len(s) && (s[i] == '-' || s[i] >= '0' && s[i] <= '9' || s[i] >= 'a' && s[i] <= 'z' || s[i] >= 'A' && s[i] <= 'Z')
}

func (c *collector) machine(m *procedure.Machine) {
	c.add(place{name: name{machine, m.File.Name, m.ID}, span: within(m.Span, m.ID), defines: true})
	in := scope{machine: m}
	for _, v := range m.Variants {
		c.add(place{name: in.name(variant, v.ID), span: v.Span, defines: true, thing: &procedure.Thing{Row: &v.Row}})
	}
	for _, t := range m.Things() {
		c.add(place{name: in.name(thing, t.Row.ID), span: t.Row.Span, defines: true, thing: &t})
		_, row := t.Register()
		c.refs(reflect.ValueOf(row).Elem(), "", in)
		if t.Tool != nil {
			for _, r := range t.Tool.Use.Things {
				c.ref("thing", r, in)
			}
		}
	}
	for _, f := range m.Figures {
		c.figure(f, in)
	}
	for _, f := range append([]*text.File{m.File}, m.Sources...) {
		c.keys(f, in)
	}
	if m.Like != nil {
		c.add(place{name: name{machine, m.Like.File.Name, m.Like.ID}, span: m.LikeRef.Span})
	}
}

var (
	rowKeys  = regexp.MustCompile(`(?m)^[ \t]*[-*+][ \t]+([a-z0-9][a-z0-9, \t-]*):[ \t]`)
	rowKey   = regexp.MustCompile(`[a-z0-9][a-z0-9-]*`)
	keyRange = regexp.MustCompile(`^([0-9]+)-([0-9]+)$`)
)

// keys takes down the names that lines below a register's table say more of.
func (c *collector) keys(f *text.File, in scope) {
	if f == nil || f.Sheets != nil {
		return
	}
	for _, m := range rowKeys.FindAllSubmatchIndex(f.Source, -1) {
		for _, k := range rowKey.FindAllIndex(f.Source[m[2]:m[3]], -1) {
			span := f.Span(m[2]+k[0], m[2]+k[1])
			ids := append(numbersOf(span.Text()), span.Text())
			for _, id := range ids {
				for _, of := range []sort{thing, variant} {
					if n := in.name(of, id); n.owner != "" {
						c.add(place{name: n, span: span})
					}
				}
			}
		}
	}
}

// numbersOf are the callout numbers of a run such as 8-10; none for other words.
func numbersOf(words string) (out []string) {
	r := keyRange.FindStringSubmatch(words)
	if r == nil {
		return nil
	}
	from, _ := strconv.Atoi(r[1])
	to, _ := strconv.Atoi(r[2])
	for n := from; n <= to && n < from+mostNumbers; n++ {
		out = append(out, strconv.Itoa(n))
	}
	return out
}

// mostNumbers is how many callout numbers there can be.
const mostNumbers = 999

func (c *collector) figure(f *procedure.Figure, in scope) {
	c.add(place{name: name{figure, f.Span.File.Name, f.ID}, span: within(f.Span.Line(), f.ID), defines: true, figure: f})
	for i := range f.Balloons {
		c.ref("thing", f.Balloons[i].Ref, in)
	}
}

func (c *collector) procedure(p *procedure.Procedure) {
	in := scope{machine: p.Machine, procedure: p}
	c.add(place{name: name{job, p.File.Name, p.ID}, span: within(p.Span, p.ID), defines: true})
	if p.Machine != nil {
		c.add(place{name: name{machine, p.Machine.File.Name, p.Machine.ID}, span: p.MachineRef.Span})
	}
	for _, f := range p.Figures {
		c.figure(f, in)
	}
	for _, s := range p.WrittenSteps() {
		n := in.name(step, s.ID)
		c.add(place{name: n, span: within(s.Span.Line(), s.ID), defines: n.id == s.ID, step: s, of: p})
		c.refs(reflect.ValueOf(s).Elem(), "", in)
	}
	if w := p.RefitFile; w != nil {
		c.add(place{name: name{job, p.File.Name, p.ID}, span: w.ProcedureRef.Span})
		for _, r := range w.Out {
			c.ref("thing", r, in)
		}
		for _, f := range w.Figures {
			c.figure(f, in)
		}
	}
}

func (c *collector) quiz(q *procedure.Quiz) {
	c.add(place{name: name{quiz, q.File.Name, q.ID}, span: within(q.Span, q.ID), defines: true})
	if q.Procedure == nil {
		return
	}
	in := scope{machine: q.Procedure.Machine, procedure: q.Procedure}
	c.add(place{name: name{job, q.Procedure.File.Name, q.Procedure.ID}, span: q.ProcedureRef.Span})
	for _, x := range q.Questions {
		if x.Generated {
			continue
		}
		c.add(place{name: name{question, q.File.Name, x.ID}, span: within(x.Span.Line(), x.ID), defines: true})
		c.refs(reflect.ValueOf(x).Elem(), "", in)
	}
}

func (c *collector) course(course *procedure.Course, lib *procedure.Library) {
	for _, s := range course.Sessions {
		for _, item := range s.Items {
			switch {
			case item.Procedure != nil:
				p := item.Procedure
				c.add(place{name: name{job, p.File.Name, p.ID}, span: item.Ref.Span})
				in := scope{procedure: p, machine: p.Machine}
				c.ref("step", item.From, in)
				c.ref("step", item.To, in)
			case item.Quiz != nil:
				c.add(place{name: name{quiz, item.Quiz.File.Name, item.Quiz.ID}, span: item.Ref.Span})
			}
		}
	}
}

var (
	refType  = reflect.TypeFor[procedure.Ref]()
	fileType = reflect.TypeFor[*text.File]()
)

// refs takes down the names in the declared fields of a struct, and in the structs of these.
func (c *collector) refs(v reflect.Value, refers string, in scope) {
	switch v.Kind() {
	case reflect.Struct:
		if v.Type() == refType {
			c.ref(refers, v.Interface().(procedure.Ref), in)
			return
		}
		if v.Type().PkgPath() != refType.PkgPath() {
			return // a quantity or another value: it holds no names
		}
		fields := procedure.FieldsOf(v.Type())
		for i := range fields {
			c.refs(fields[i].In(v), cmp.Or(fields[i].Refers, refers), in)
		}
	case reflect.Slice:
		for i := range v.Len() {
			c.refs(v.Index(i), refers, in)
		}
	case reflect.Pointer:
		if !v.IsNil() && v.Type() != fileType && v.Elem().Kind() == reflect.Struct {
			c.refs(v.Elem(), refers, in)
		}
	case reflect.Interface:
		if b, ok := v.Interface().(procedure.Block); ok {
			c.refs(reflect.ValueOf(b).Elem(), "", in)
		}
	}
}

// ref takes down one use of a name.
func (c *collector) ref(refers string, r procedure.Ref, in scope) {
	if r.ID == "" {
		return
	}
	of := thing
	switch refers {
	case "step":
		of = step
	case "figure":
		of = figure
	case "variant":
		of = variant
	}
	if n := in.name(of, r.ID); n.owner != "" {
		c.add(place{name: n, span: r.Span})
	}
}

// scope is where a name is looked up.
type scope struct {
	machine   *procedure.Machine
	procedure *procedure.Procedure
}

// name is the name that an id means there; one without an owner leads nowhere.
func (in scope) name(of sort, id string) name {
	n := name{sort: of, id: id}
	switch of {
	case thing:
		if in.machine != nil {
			if t := in.machine.Thing(id); t != nil {
				n.owner = t.Row.Span.File.Name
			}
		}
	case variant:
		if in.machine != nil {
			if v := in.machine.Variant(id); v != nil {
				n.owner = v.Span.File.Name
			}
		}
	case figure:
		var f *procedure.Figure
		if in.procedure != nil {
			f = in.procedure.Figure(id)
		} else if in.machine != nil {
			f = in.machine.Figure(id)
		}
		if f != nil {
			n.owner = f.Span.File.Name
		}
	case step:
		if in.procedure == nil {
			return n
		}
		if at := stepNamed(in.procedure.Steps, strings.TrimSuffix(id, refit.Suffix)); at != nil {
			return name{step, at.Span.File.Name, at.ID}
		}
		if at := stepNamed(in.procedure.WrittenSteps(), id); at != nil {
			n.owner = at.Span.File.Name
		}
	}
	return n
}

func stepNamed(all []*procedure.Step, id string) *procedure.Step {
	if i := slices.IndexFunc(all, func(s *procedure.Step) bool { return s.ID == id }); i >= 0 {
		return all[i]
	}
	return nil
}

var (
	marked = regexp.MustCompile("`([a-z0-9][a-z0-9-]*)(?:\\.[a-z-]+)?`")
	linked = regexp.MustCompile(`\]\(#([a-z][a-z0-9-]*)\)`)
)

// words takes down the names that running text mentions: things and steps in code marks, values of rows, links to steps.
func (c *collector) words(p *procedure.Procedure) {
	in := scope{machine: p.Machine, procedure: p}
	files := map[*text.File]bool{p.File: true}
	if p.RefitFile != nil {
		files[p.RefitFile.File] = true
	}
	for _, s := range p.WrittenSteps() {
		files[s.Span.File] = true // shared steps
	}
	for f := range files {
		if f == nil {
			continue
		}
		for _, m := range marked.FindAllSubmatchIndex(f.Source, -1) {
			id := string(f.Source[m[2]:m[3]])
			for _, of := range []sort{thing, step} {
				if n := in.name(of, id); n.owner != "" {
					c.add(place{name: n, span: f.Span(m[2], m[3])})
					break
				}
			}
		}
		for _, m := range linked.FindAllSubmatchIndex(f.Source, -1) {
			if n := in.name(step, string(f.Source[m[2]:m[3]])); n.owner != "" {
				c.add(place{name: n, span: f.Span(m[2], m[3])})
			}
		}
	}
}

var includeLine = regexp.MustCompile(`(?m)^[ \t]*:::+[ \t]*include[ \t]+([a-z][a-z0-9-]*)(?:[ \t]*\{([^}\n]*))?`)

var givenName = regexp.MustCompile(`([a-z][a-z0-9-]*)=`)

// shared takes down the names of shared steps and of their parameters: where they are given, and where blocks take the steps in.
func (c *collector) shared(o *compile.Opened) {
	parts := map[string]name{}
	for _, part := range o.Shared {
		ref, parameters := part.Shared()
		if ref.ID == "" {
			continue
		}
		n := name{steps, ref.Span.File.Name, ref.ID}
		parts[ref.ID] = n
		c.add(place{name: n, span: within(ref.Span, ref.ID), defines: true})
		for _, p := range parameters {
			n := name{open, n.owner, p.ID}
			c.add(place{name: n, span: within(p.Span, p.ID), defines: true})
			for _, use := range p.Uses {
				c.add(place{name: n, span: use})
			}
		}
	}
	if len(parts) == 0 {
		return
	}
	for f := range c.files {
		for _, m := range includeLine.FindAllSubmatchIndex(f.Source, -1) {
			of, there := parts[string(f.Source[m[2]:m[3]])]
			if !there {
				continue
			}
			c.add(place{name: of, span: f.Span(m[2], m[3])})
			if m[4] < 0 {
				continue
			}
			for _, g := range givenName.FindAllSubmatchIndex(f.Source[m[4]:m[5]], -1) {
				span := f.Span(m[4]+g[2], m[4]+g[3])
				c.add(place{name: name{open, of.owner, span.Text()}, span: span})
			}
		}
	}
}
