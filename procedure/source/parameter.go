package source

import (
	"bytes"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/prose"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Shared steps may have parameters: {valve} stands for a name that each include block gives. The file is read once, with a
// stand-in of the same length in the place of each {valve}: a name like any other, so that all places stay right and the rest of
// the reader knows of no parameters. Each taking is a copy of what was read, with its values in the place of the stand-ins.

// Parameter is a name that shared steps leave open.
type Parameter struct {
	procedure.Ref
	// standIn is the name that is read in its place.
	standIn string
	// listed is false for one that the front matter leaves out.
	listed bool
	// Uses are where it stands, without the braces.
	Uses []text.Span
}

var braced = regexp.MustCompile(`\{([a-z][a-z0-9-]*)\}`)

// standIns reads on with stand-ins in the place of a steps file's parameters. What it returns ends that: the file has its own
// words again, and so have the messages.
func (r *reader) standIns(m *frontMatter) (end func()) {
	if m.kind() != "steps" {
		return func() {}
	}
	r.declared(m)
	src, log := r.file.Source, r.log
	read := slices.Clone(src)
	for _, at := range braced.FindAllSubmatchIndex(src[m.body:], -1) {
		name := r.file.Span(m.body+at[2], m.body+at[3])
		if isFlag(name.Text()) {
			continue
		}
		p := r.parameterNamed(name)
		p.Uses = append(p.Uses, name)
		copy(read[m.body+at[0]:], p.standIn)
	}
	for _, p := range r.parameters {
		if len(p.Uses) == 0 {
			r.report("unused-parameter", p.Span, say.That("the parameter %name stands nowhere in the steps", say.Quote(p.ID)), say.That("Write {%name} where its value belongs, or take it out.", say.Name(p.ID)))
		}
	}
	r.file = text.NewFile(r.file.Name, read)
	m.yaml.File = r.file
	for i := range r.parameters {
		r.parameters[i].Span.File = r.file
	}
	r.log = &diagnostic.Log{}
	return func() {
		r.file.Source = src
		for _, d := range r.log.Sorted() {
			log.Add(r.asWritten(d))
		}
		r.log = log
	}
}

// declared reads the parameters that the front matter lists.
func (r *reader) declared(m *frontMatter) {
	for i, id := range m.list("parameters") {
		span := m.spanOf("parameters[" + strconv.Itoa(i) + "]")
		switch {
		case !isName(id): // reported with the front matter
		case isFlag(id):
			r.report("front-matter-value", span, say.That("{%name} means something already", say.Name(id)), say.That("Give the parameter another name."))
		case slices.ContainsFunc(r.parameters, func(p Parameter) bool { return p.ID == id }):
			r.report("front-matter-value", span, say.That("the parameter %name is there twice", say.Quote(id)), say.That("Take one of them out, or give it another name."))
		default:
			r.addParameter(procedure.Ref{ID: id, Span: span}).listed = true
		}
	}
}

func (r *reader) addParameter(ref procedure.Ref) *Parameter {
	r.parameters = append(r.parameters, Parameter{Ref: ref, standIn: r.standIn(ref.ID)})
	return &r.parameters[len(r.parameters)-1]
}

// parameterNamed is the parameter that stands in braces. One that the front matter does not list is reported and read as if it did.
func (r *reader) parameterNamed(name text.Span) *Parameter {
	var names []string
	for i := range r.parameters {
		if p := &r.parameters[i]; p.ID == name.Text() {
			return p
		}
		names = append(names, r.parameters[i].ID)
	}
	r.reportNear("unknown-parameter", name, say.That("these steps have no parameter %name", say.Quote(name.Text())), name.Text(), names,
		say.That("List it in the front matter, parameters: [%name], or write the words without braces.", say.Name(name.Text())))
	return r.addParameter(procedure.Ref{ID: name.Text(), Span: name})
}

// standIn is a name that the file does not have, of the length of the parameter in its braces. No two of a file end alike, so
// that none is found inside another.
func (r *reader) standIn(id string) string {
	n := len(r.parameters)
	for _, letter := range "qxzjkvwy" {
		name := strings.ReplaceAll(id, "-", "x") + string(letter) + strconv.FormatInt(int64(n%36), 36)
		if !bytes.Contains(r.file.Source, []byte(name)) {
			return name
		}
	}
	return strings.ReplaceAll(id, "-", "x") + "q" + strconv.FormatInt(int64(n%36), 36)
}

// noParameterIn reports parameters in figures, which all takings share.
func (r *reader) noParameterIn(figures []*procedure.Figure) {
	for _, f := range figures {
		where := []procedure.Ref{{ID: f.ID + " " + f.Title + " " + f.Source + " " + f.Describe, Span: f.Span}}
		for i := range f.Balloons {
			where = append(where, f.Balloons[i].Ref)
		}
		for _, w := range where {
			if r.written(w.ID) != w.ID {
				r.report("parameter-value", w.Span, say.That("a parameter stands in a figure, which is the same for all values"), say.That("Write a name or a number; show other things in a figure of the machine."))
			}
		}
	}
}

// isFlag reports whether a single word in braces means something without parameters: an attribute that has no value, or the mark of a heading.
func isFlag(word string) bool {
	return "{"+word+"}" == textMark || slices.ContainsFunc(blockKinds, func(k grammar.BlockKind) bool {
		a := k.Attribute(word)
		return a != nil && a.Type == grammar.Flag
	})
}

// asWritten is a message with the parameters in the place of their stand-ins.
func (r *reader) asWritten(d diagnostic.Diagnostic) diagnostic.Diagnostic {
	d.Wrong, d.Advice = d.Wrong.With(r.written), d.Advice.With(r.written)
	for i := range d.See {
		d.See[i].Says = d.See[i].Says.With(r.written)
	}
	for i := range d.Fixes {
		for j := range d.Fixes[i].Edits {
			e := &d.Fixes[i].Edits[j]
			e.Text = r.written(e.Text)
		}
	}
	return d
}

// written puts the parameters in the place of their stand-ins.
func (r *reader) written(s string) string {
	for i := range r.parameters {
		s = strings.ReplaceAll(s, r.parameters[i].standIn, "{"+r.parameters[i].ID+"}")
	}
	return s
}

// list returns the words of a list of the front matter, none when it has no such list.
func (m *frontMatter) list(name string) (out []string) {
	m.value(name, &out)
	return out
}

// given is a value of an include block.
type given struct {
	parameter procedure.Ref
	value     procedure.Ref
}

// givenBy reads the values of an include block.
func (b *block) givenBy() (out []given) {
	for i := range b.values {
		v := &b.values[i]
		out = append(out, given{procedure.Ref{ID: v.name, Span: v.nameSpan}, procedure.Ref{ID: v.text, Span: v.span}})
	}
	return out
}

// checkGiven reports a value of an include block that is no name.
func (r *reader) checkGiven(v *value) (fits bool) {
	switch {
	case !v.hasValue:
		r.report("parameter-value", v.nameSpan, say.That("the parameter %name has no value", say.Quote(v.name)), say.That("Write {%name=...}, with the name of a thing or a callout number.", say.Name(v.name)))
	case !isName(v.text) && !isCallout(v.text):
		r.report("bad-name", v.span, say.That("%name is not a name", say.Quote(v.text)), say.That("Use lower-case letters, digits and hyphens, a letter first."))
	default:
		return true
	}
	return false
}

// values joins what an include block gives with the parameters of a steps file; ok is false when that was reported to be wrong.
func (x *resolver) values(f *stepsFile, i *inclusion) (out []procedure.Ref, ok bool) {
	ok = true
	var names []string
	for _, p := range f.parameters {
		names = append(names, p.ID)
		at := slices.IndexFunc(i.values, func(g given) bool { return g.parameter.ID == p.ID })
		if at >= 0 {
			out = append(out, i.values[at].value)
			continue
		}
		if ok = false; !p.listed || slices.ContainsFunc(f.parameters, func(o Parameter) bool { return !o.listed }) {
			continue // reported where it stands
		}
		d := newDiagnostic("parameter-value", i.ref.Span, say.That("the steps %steps need a value for %name", say.Quote(f.id), say.Quote(p.ID)),
			say.That("Write it behind the name: {%name=...}, with the name of a thing or a callout number.", say.Name(p.ID)))
		d.See = []diagnostic.Related{{Span: p.Span, Says: say.That("the parameter")}}
		x.log.Add(d)
	}
	for _, g := range i.values {
		if slices.Contains(names, g.parameter.ID) {
			continue
		}
		ok = false
		otherwise := say.That("Use one of: %words.", say.Each[say.Word](say.Commas, names))
		if len(names) == 0 {
			otherwise = say.That("Take it out, or list it in the steps file: parameters: [%name].", say.Name(g.parameter.ID))
		}
		d := newDiagnostic("unknown-parameter", g.parameter.Span, say.That("the steps %steps have no parameter %name", say.Quote(f.id), say.Quote(g.parameter.ID)), say.Text{})
		d.Advice, d.Fixes = diagnostic.Suggest(g.parameter.Span, g.parameter.ID, names, otherwise)
		x.log.Add(d)
	}
	return out, ok
}

// taking is one taking of shared steps: values, and what people call them, in the place of stand-ins.
type taking struct {
	values       map[string]procedure.Ref // by stand-in
	names, words *strings.Replacer
}

// with is what a steps file holds with values for its parameters.
func (f *stepsFile) with(values []procedure.Ref, m *procedure.Machine) *stepsFile {
	if len(values) == 0 {
		return f
	}
	t := &taking{values: map[string]procedure.Ref{}}
	var names, words []string
	for i, p := range f.parameters {
		v := values[i]
		t.values[p.standIn] = v
		called := v.ID
		if m != nil {
			if thing := m.Thing(v.ID); thing != nil {
				called = thing.Row.Name
			}
		}
		names = append(names, p.standIn, v.ID)
		words = append(words, p.standIn, called, capital(p.standIn), capital(called))
	}
	t.names, t.words = strings.NewReplacer(names...), strings.NewReplacer(words...)
	out := *f
	out.steps = make([]*procedure.Step, len(f.steps))
	for i, s := range f.steps {
		out.steps[i] = t.of(reflect.ValueOf(s)).Interface().(*procedure.Step)
	}
	out.inclusions = slices.Clone(f.inclusions)
	for i := range out.inclusions {
		in := &out.inclusions[i]
		in.ref = t.ref(in.ref)
		in.values = slices.Clone(in.values)
		for j := range in.values {
			in.values[j].value = t.ref(in.values[j].value)
		}
		section := &in.given
		section.chapter, section.cautions = t.words.Replace(section.chapter), t.of(reflect.ValueOf(section.cautions)).Interface().([]*procedure.Caution)
	}
	return &out
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// ref is a name with the values in it. One that is a value and nothing else stands where the value is given: that is where it can be wrong.
func (t *taking) ref(r procedure.Ref) procedure.Ref {
	if v, whole := t.values[r.ID]; whole {
		return v
	}
	r.ID = t.names.Replace(r.ID)
	return r
}

var (
	refType  = reflect.TypeFor[procedure.Ref]()
	nodeType = reflect.TypeFor[prose.Node]()
	spanType = reflect.TypeFor[text.Span]()
	whenType = reflect.TypeFor[procedure.When]()
)

// of copies what was read, with the values in it.
func (t *taking) of(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return v
		}
		out := reflect.New(v.Type().Elem())
		out.Elem().Set(t.of(v.Elem()))
		return out
	case reflect.Interface:
		if v.IsNil() {
			return v
		}
		return t.of(v.Elem())
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		out := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			out.Index(i).Set(t.of(v.Index(i)))
		}
		return out
	case reflect.Struct:
		return t.structOf(v)
	case reflect.String:
		words := v.String()
		if v.Type() == whenType || isName(words) {
			words = t.names.Replace(words)
		} else {
			words = t.words.Replace(words)
		}
		return reflect.ValueOf(words).Convert(v.Type())
	}
	return v
}

func (t *taking) structOf(v reflect.Value) reflect.Value {
	switch v.Type() {
	case refType:
		return reflect.ValueOf(t.ref(v.Interface().(procedure.Ref)))
	case spanType:
		return v
	case nodeType:
		n := v.Interface().(prose.Node)
		n.To = t.names.Replace(n.To)
		n.Text = t.words.Replace(n.Text)
		return reflect.ValueOf(n)
	}
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	for i := range v.NumField() {
		if v.Type().Field(i).IsExported() {
			out.Field(i).Set(t.of(v.Field(i)))
		}
	}
	if r, ok := v.Interface().(procedure.Reading); ok { // a sum has spaces and is made of names
		out.Addr().Interface().(*procedure.Reading).Sum = t.names.Replace(r.Sum)
	}
	return out
}

// taken is one taking of shared steps by the procedure at hand.
type taken struct {
	ref   procedure.Ref
	names []string
}

// takes notes that the procedure at hand takes in steps, and reports a taking that gives a name a second time.
func (x *resolver) takes(f *stepsFile, ref procedure.Ref) bool {
	now := taken{ref, f.names()}
	for _, before := range x.taken {
		if before.ref.ID != ref.ID {
			continue
		}
		again := slices.IndexFunc(now.names, func(n string) bool { return slices.Contains(before.names, n) })
		var d diagnostic.Diagnostic
		switch {
		case len(f.parameters) == 0:
			d = newDiagnostic("repeated-include", ref.Span, say.That("the steps %name are taken in twice", say.Quote(ref.ID)), say.That("Take one of the include blocks out, or give the steps a parameter."))
		case again >= 0:
			d = newDiagnostic("repeated-include", ref.Span, say.That("the steps %steps are taken in twice, and would give the name %name a second time", say.Quote(ref.ID), say.Quote(now.names[again])),
				say.That("Give other values, and write the parameter into the names that the steps give: {#close-{%parameter}}.", say.Name(f.parameters[0].ID)))
		default:
			continue
		}
		d.See = []diagnostic.Related{{Span: before.ref.Span, Says: say.That("taken in here already")}}
		x.log.Add(d)
		return false
	}
	x.taken = append(x.taken, now)
	return true
}

// names are those that a steps file gives: of its steps, and of what is found in them.
func (f *stepsFile) names() (out []string) {
	for _, s := range f.steps {
		out = append(out, s.ID)
		for _, b := range s.Blocks {
			shown := b.Shows()
			if shown.Decision != nil {
				out = append(out, shown.Decision.Name)
			}
			if shown.Readings != nil {
				for i := range shown.Readings.Rows {
					out = append(out, shown.Readings.Rows[i].Name)
				}
			}
		}
	}
	return out
}

// Shared is the name of a file of shared steps, and its parameters; the name is empty for another file.
func (p *Part) Shared() (name procedure.Ref, parameters []Parameter) {
	if p.steps == nil || p.procedure != nil {
		return procedure.Ref{}, nil
	}
	return procedure.Ref{ID: p.steps.id, Span: p.steps.idSpan}, p.steps.parameters
}
