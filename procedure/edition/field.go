package edition

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/xhtml"
)

// names says what the names in a field lead to, on one side of the comparison.
type names struct {
	steps   func(id string) *procedure.Step // nil where there are none
	machine *procedure.Machine              // nil where there is none
}

func namesOf(p *procedure.Procedure) names { return names{p.Step, p.Machine} }

// item is a name as an item: compared as it stands, shown by what people call it. A fastener is shown by its number.
func (n names) item(f *procedure.Field, id string) item {
	if f.Refers == "step" && n.steps != nil {
		if s := n.steps(id); s != nil {
			return item{id, s.Title}
		}
	}
	if n.machine == nil {
		return item{id, id}
	}
	if v := n.machine.Variant(id); v != nil && f.Refers == "variant" && v.Name != "" {
		return item{id, v.Name}
	}
	if t := n.machine.Thing(id); t != nil && t.Fastener == nil && t.Row.Name != "" && f.Refers != "figure" {
		return item{id, t.Row.Name}
	}
	return item{id, id}
}

func (n names) refs(f *procedure.Field, refs []procedure.Ref) []item {
	var out []item
	for _, r := range refs {
		out = append(out, n.item(f, r.ID))
	}
	return out
}

// items writes the value of a field as items of a list, or as one item for a single value; none for nothing.
func (n names) items(f *procedure.Field, value any) (out []item, isList bool) {
	one := func(s string) ([]item, bool) {
		if s == "" {
			return nil, false
		}
		return plain([]string{s}), false
	}
	switch v := value.(type) {
	case *procedure.Ref:
		if v.ID == "" {
			return nil, false
		}
		return []item{n.item(f, v.ID)}, false
	case *[]procedure.Ref:
		return n.refs(f, *v), true
	case *procedure.Prose:
		return paragraphs(*v), true
	case *[]procedure.Prose:
		for _, p := range *v {
			out = append(out, item{p.Plain(), p.Plain()})
			out = append(out, marks(p)...)
		}
	case *[]*procedure.Action:
		out = n.actions(*v)
	case *[]procedure.InspectionItem:
		for _, i := range *v {
			line := i.Look + ": " + i.Accept.Plain()
			out = append(append(out, item{line, line}), marks(i.Accept)...)
		}
	case *[]procedure.Reading:
		for i := range *v {
			line := readingLine(&(*v)[i])
			out = append(out, item{line, line})
		}
	case *[]procedure.Choice:
		for _, c := range *v {
			line := map[bool]string{true: "[x] ", false: "[ ] "}[c.Right] + c.Prose.Plain()
			if !c.Feedback.Empty() {
				line += " > " + c.Feedback.Plain()
			}
			out = append(append(append(out, item{line, line}), marks(c.Prose)...), marks(c.Feedback)...)
		}
	case *[]procedure.Balloon:
		for _, b := range *v {
			of, at := n.item(f, b.Ref.ID), " at"
			for _, p := range b.Targets {
				at += " " + point(p)
			}
			if !b.Free {
				at += " balloon " + point(b.Label)
			}
			out = append(out, item{of.key + at, of.text + at})
		}
	case *[]procedure.Session:
		for _, s := range *v {
			out = append(out, item{s.Title, s.Title})
			for _, i := range s.Items {
				line := courseItem(i)
				out = append(out, item{line, line})
			}
		}
	case *[]procedure.Person:
		for i, p := range *v {
			var has []string
			for _, r := range p.Tickets {
				has = append(has, r.ID)
			}
			line := strings.Join(has, ", ")
			out = append(out, item{strconv.Itoa(i+1) + " " + line, line})
		}
	case *[]string:
		out = plain(*v)
	case *[]measure.Quantity:
		for _, q := range *v {
			out = append(out, item{q.String(), q.String()})
		}
	case *map[procedure.RegisterKind]string:
		for kind, title := range *v {
			out = append(out, item{string(kind) + ": " + title, string(kind) + ": " + title})
		}
		slices.SortFunc(out, func(a, b item) int { return strings.Compare(a.key, b.key) })
	case *procedure.Estimate:
		if v.Optimistic == 0 && v.Likely == 0 && v.Pessimistic == 0 {
			return nil, false
		}
		return one(schedule.Format(*v))
	case *measure.Quantity:
		if v.IsZero() {
			return nil, false
		}
		return one(v.String())
	case *procedure.PictureSum:
		return []item{{string(*v), ""}}, false
	default:
		return one(single(reflect.ValueOf(value).Elem()))
	}
	return out, true
}

// readingLine writes a value to read: "Gap in mm: at most 3 mm".
func readingLine(x *procedure.Reading) string {
	line := x.Label() + " (" + x.Name + ") in " + x.Unit
	if x.Sum != "" {
		line += " = " + x.Sum
	}
	if !x.Every.IsZero() {
		line += " every " + x.Every.String() + " for " + x.For.String()
	}
	if x.Accept != "" {
		line += ": " + x.Accept
	}
	if x.Chance != 0 {
		line += " (" + strconv.Itoa(x.Chance) + " %)"
	}
	return line
}

// single writes a flag, a number or words; nothing for what is not stated.
func single(v reflect.Value) string {
	switch {
	case v.IsZero():
		return ""
	case v.Kind() == reflect.Bool:
		return "yes"
	case v.CanInt():
		return strconv.FormatInt(v.Int(), 10)
	case v.CanFloat():
		return strconv.FormatFloat(v.Float(), 'f', -1, 64)
	case v.Kind() == reflect.String:
		return v.String()
	}
	panic(fmt.Sprintf("a field of the type %s cannot be compared", v.Type())) // a new type of field needs a case
}

// paragraphs are the words, and how they are marked up.
func paragraphs(p procedure.Prose) []item {
	var out []item
	for _, q := range p.Paragraphs() {
		out = append(out, item{q.Text, q.Text})
	}
	return append(out, marks(p)...)
}

// marks is an item that nobody reads: emphasis and links, which the words alone do not have.
func marks(p procedure.Prose) []item {
	if p.Empty() {
		return nil
	}
	return []item{{key: xhtml.String(p.Nodes)}}
}

// actions writes actions as items: "lift Gearbox with Hoist, Sling".
func (n names) actions(list []*procedure.Action) []item {
	var out []item
	any := &procedure.Field{}
	for _, a := range list {
		object := n.item(any, a.Object.ID)
		i := item{string(a.Verb) + " " + object.key, string(a.Verb) + " " + object.text}
		if rule, ok := a.Verb.Rule(); ok && len(a.With) > 0 {
			with := n.refs(any, a.With)
			i.key += " " + rule.Word + " " + strings.Join(keys(with), ", ")
			i.text += " " + rule.Word + " " + strings.Join(words(with), ", ")
		}
		if reason := a.Reason.Plain(); reason != "" {
			i.key += ": " + reason
			i.text += ": " + reason
		}
		if len(a.Who) > 0 {
			who := " (" + strings.Join(keys(n.refs(any, a.Who)), ", ") + ")"
			i.key += who
			i.text += who
		}
		if a.Locks.Stated() {
			locks := " (locks " + a.Locks.String() + ")"
			i.key += locks
			i.text += locks
		}
		out = append(append(out, i), marks(a.Reason)...)
	}
	return out
}

func point(p procedure.Point) string {
	return strconv.FormatFloat(p.X, 'f', -1, 64) + "," + strconv.FormatFloat(p.Y, 'f', -1, 64)
}

func courseItem(i procedure.CourseItem) string {
	out := map[bool]string{true: "quiz ", false: ""}[i.IsQuiz] + map[bool]string{true: "refit ", false: ""}[i.IsRefit] + i.Ref.ID
	for _, end := range []struct{ word, id string }{{"prepared", i.Prepared.ID}, {"from", i.From.ID}, {"to", i.To.ID}} {
		if end.id != "" {
			out += " " + end.word + " " + end.id
		}
	}
	return out
}

// changes collects what is different.
type changes []Change

// fields notes the declared fields in which two structs of one type differ, but for those left out.
func (c *changes) fields(old, now names, before, after any, but ...string) {
	x := reflect.ValueOf(after).Elem()
	procedure.EachField(before, func(f *procedure.Field, was any) {
		if slices.Contains(but, f.Word) || entered(reflect.TypeOf(was).Elem()) {
			return
		}
		a, isList := old.items(f, was)
		b, _ := now.items(f, f.In(x).Addr().Interface())
		if isList {
			c.list(f.Word, a, b)
		} else {
			_, flag := was.(*bool)
			c.value(f.Word, a, b, flag)
		}
	})
}

// value notes two values when they differ; each is one item, or none for no value.
func (c *changes) value(what string, before, after []item, flag bool) {
	if slices.Equal(keys(before), keys(after)) {
		return
	}
	x := Change{What: what, Old: strings.Join(words(before), ""), New: strings.Join(words(after), ""), Flag: flag}
	x.Unseen = x.Old == x.New
	*c = append(*c, x)
}

// order notes that the items which both lists have stand in another order.
func (c *changes) order(what string, before, after []item) {
	gone, come := without(before, after), without(after, before)
	if !slices.Equal(keys(without(before, gone)), keys(without(after, come))) {
		*c = append(*c, Change{What: what, Reordered: true})
	}
}

// list notes two lists when their items differ, or their order.
func (c *changes) list(what string, before, after []item) {
	gone, come := without(before, after), without(after, before)
	x := Change{What: what, Gone: words(gone), Come: words(come)}
	x.Reordered = !slices.Equal(keys(without(before, gone)), keys(without(after, come)))
	if len(x.Gone)+len(x.Come) == 0 && !x.Reordered {
		x.Unseen = slices.ContainsFunc(append(gone, come...), func(i item) bool { return i.key != "" })
		if !x.Unseen {
			return
		}
	}
	*c = append(*c, x)
}
