package assist

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/source"
	"matchmark/procedure/state"
	"matchmark/procedure/text"
)

// Hint says what stands at a place, in Markdown.
type Hint struct {
	At    text.Span
	Words string
}

// Hover says what the name, the block or the attribute at a place is; nil for nothing.
func (d *Desk) Hover(file string, offset int) (h *Hint, err error) {
	err = d.on(file, func(doc *document) {
		if p, ok := doc.at(offset); ok {
			h = &Hint{p.span, doc.words(p)}
			return
		}
		h = word(spotAt(doc.file, offset), doc)
	})
	if h != nil && h.Words == "" {
		h = nil
	}
	return h, err
}

// at is the name at a place of the file, the narrowest of several.
func (doc *document) at(offset int) (out place, found bool) {
	for _, p := range doc.places {
		if p.span.File.Name == doc.file.Name && p.span.Start <= offset && offset <= p.span.End {
			if !found || p.span.End-p.span.Start < out.span.End-out.span.Start {
				out, found = p, true
			}
		}
	}
	return out, found
}

// definition is where a name is given.
func (doc *document) definition(n name) (place, bool) {
	for _, p := range doc.places {
		if p.defines && p.name == n {
			return p, true
		}
	}
	return place{}, false
}

// words say what a name means.
func (doc *document) words(p place) string {
	def, ok := doc.definition(p.name)
	if !ok {
		return ""
	}
	in := scopeOf(doc)
	switch {
	case def.thing != nil && p.sort == variant:
		return "**" + def.thing.Row.Name + "** (variant)"
	case def.thing != nil:
		return doc.thingWords(def.thing, in)
	case def.figure != nil:
		return fmt.Sprintf("**%s** (figure)\n\n%s", def.figure.Title, def.figure.Describe)
	case def.step != nil:
		return doc.stepWords(def.step)
	}
	return fmt.Sprintf("%s `%s`", p.sort, p.id)
}

func (doc *document) thingWords(t *procedure.Thing, in scope) string {
	register, row := t.Register()
	var b strings.Builder
	fmt.Fprintf(&b, "**%s** (%s)\n", t.Row.Name, register)
	if in.machine != nil {
		for _, f := range filled(row, in.machine) {
			if f.word != "id" && f.word != "name" {
				fmt.Fprintf(&b, "\n- %s: %s", f.word, f.value)
			}
		}
		if t.Part != nil {
			if held := holders(t.Part.ID, in.machine); held != "" {
				fmt.Fprintf(&b, "\n- held by: %s", held)
			}
		}
	}
	return b.String()
}

// holders are the fasteners and connections that join a part.
func holders(part string, m *procedure.Machine) string {
	var out []string
	joins := func(refs []procedure.Ref) bool {
		return slices.ContainsFunc(refs, func(r procedure.Ref) bool { return r.ID == part })
	}
	for _, f := range m.Fasteners {
		if joins(f.Joins) {
			out = append(out, f.ID+" "+f.Name)
		}
	}
	for _, c := range m.Connections {
		if joins(c.Joins) {
			out = append(out, c.Name)
		}
	}
	return strings.Join(out, ", ")
}

// stepWords say how long a step takes, and what it changes at the machine, for the first variant that has it.
func (doc *document) stepWords(s *procedure.Step) string {
	var b strings.Builder
	fmt.Fprintf(&b, "**%s** (step)\n\n%s min, %d", s.Title, estimate(s.Time), max(s.People, 1))
	if s.People > 1 {
		b.WriteString(" people")
	} else {
		b.WriteString(" person")
	}
	if doc.opened.Facts == nil {
		return b.String()
	}
	all := slices.Clone(doc.opened.Facts.Jobs)
	if back := doc.opened.Derived(); back != nil {
		all = append(all, back.Jobs...)
	}
	for _, j := range all {
		i := slices.IndexFunc(j.Steps, func(x *procedure.Step) bool { return x.ID == s.ID })
		if i < 0 {
			continue
		}
		before, after := around(j, s.ID)
		if j.Variant != nil {
			fmt.Fprintf(&b, "; variant %s", j.Variant.Name)
		}
		list(&b, "The machine before the step", state.Differences(state.Assembled(before.Assembly), before))
		list(&b, "What the step changes", state.Differences(before, after))
		break
	}
	return b.String()
}

// around is the machine before and after a step.
func around(j *analysis.Job, id string) (before, after *state.State) {
	t := j.Trace()
	before = t.Start
	for i := range t.Events {
		e := &t.Events[i]
		switch {
		case e.Step.ID == id:
			after = e.After
		case after == nil:
			before = e.After
		}
	}
	if after == nil {
		after = before
	}
	return before, after
}

func list(b *strings.Builder, title string, all []state.Difference) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(b, "\n\n%s:\n", title)
	for _, d := range all {
		fmt.Fprintf(b, "\n- %s: %s → %s", d.Row.Name, d.Was, d.Is)
	}
}

func estimate(e procedure.Estimate) string {
	if e.Optimistic == e.Pessimistic {
		return number(e.Likely)
	}
	return number(e.Optimistic) + "/" + number(e.Likely) + "/" + number(e.Pessimistic)
}

func number(x float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", x), ".0") }

// field is a field of a row that says something.
type field struct{ word, value string }

// filled are the fields of a row that are filled in, in words.
func filled(row any, m *procedure.Machine) (out []field) {
	procedure.EachField(row, func(f *procedure.Field, value any) {
		if words := source.Printed(value, m); words != "" {
			out = append(out, field{f.Word, words})
		} else if yes, ok := value.(*bool); ok && *yes {
			out = append(out, field{f.Word, "yes"})
		}
	})
	return out
}

// describe is a thing's row in one line.
func describe(t *procedure.Thing, m *procedure.Machine) string {
	_, row := t.Register()
	var out []string
	for _, f := range filled(row, m) {
		if f.word != "id" {
			out = append(out, f.word+" "+f.value)
		}
	}
	return strings.Join(out, "; ")
}

// word says what a word of the language means.
func word(s spot, doc *document) *Hint {
	at := wordAt(s.file, s.offset)
	line := s
	_, end := s.file.LineBounds(s.file.LineOf(s.offset))
	line.before, line.offset = string(s.file.Source[s.start:max(end, s.start)]), end
	c := &completion{document: doc, spot: line}
	id := at.Text()
	if s.matter {
		for _, k := range source.FileKinds() {
			if k.Name == s.kind {
				for _, f := range k.Fields {
					if f.Path[len(f.Path)-1] == id {
						return &Hint{at, "`" + id + "`: " + f.Means}
					}
				}
			}
		}
		return nil
	}
	kind, _ := c.owner()
	if kind == nil {
		return nil
	}
	if kind.Name == id {
		return &Hint{at, "**" + id + "**: " + kind.Means + "\n\n" + kind.Holds}
	}
	if a := kind.Attribute(id); a != nil {
		return &Hint{at, "`" + id + "`: " + a.Means + "\n\n" + a.Type.Means}
	}
	if taskLine.MatchString(line.before) {
		for _, v := range procedure.VerbRules {
			if string(v.Verb) == id {
				return &Hint{at, "**" + id + "**: " + v.Means}
			}
		}
	}
	return nil
}

// wordAt is the word around a place.
func wordAt(f *text.File, offset int) text.Span {
	src := string(f.Source)
	start, end := offset, offset
	for nameByte(src, start-1) {
		start--
	}
	for nameByte(src, end) {
		end++
	}
	return f.Span(start, end)
}
