package edition

import (
	"reflect"
	"slices"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/prose"
	"matchmark/procedure/text"
)

func someProse(words string) procedure.Prose { return procedure.Words(text.Span{}, words) }

// marked says the same, in bold.
func marked(words string) procedure.Prose {
	return procedure.Prose{Nodes: []prose.Node{{Kind: prose.Paragraph, Inside: 2}, {Kind: prose.Strong, Inside: 1}, {Kind: prose.Text, Text: words}}}
}

// flips are the ways in which a value can become another one, each with what it does.
func flips(t *testing.T, v reflect.Value) map[string]func(reflect.Value) {
	set := func(x any) func(reflect.Value) { return func(v reflect.Value) { v.Set(reflect.ValueOf(x)) } }
	one := func(x any) map[string]func(reflect.Value) { return map[string]func(reflect.Value){"": set(x)} }
	refs := []procedure.Ref{{ID: "one"}, {ID: "two"}}
	switch v.Interface().(type) {
	case procedure.Ref:
		return one(procedure.Ref{ID: "other"})
	case []procedure.Ref:
		return map[string]func(reflect.Value){"": set(append(refs, procedure.Ref{ID: "other"})), "other order": set([]procedure.Ref{{ID: "two"}, {ID: "one"}})}
	case procedure.Prose:
		return map[string]func(reflect.Value){"": set(someProse("other")), "marked up": set(marked("said"))}
	case []procedure.Prose:
		return one([]procedure.Prose{someProse("other")})
	case []*procedure.Action:
		other := func(change func(a *procedure.Action)) func(reflect.Value) {
			a := *action()
			change(&a)
			return set([]*procedure.Action{&a})
		}
		return map[string]func(reflect.Value){
			"verb":   other(func(a *procedure.Action) { a.Verb = procedure.Release }),
			"object": other(func(a *procedure.Action) { a.Object.ID = "other" }),
			"with":   other(func(a *procedure.Action) { a.With = nil }),
			"who":    other(func(a *procedure.Action) { a.Who = refs }),
			"locks":  other(func(a *procedure.Action) { a.Locks.N = 2 }),
			"each":   other(func(a *procedure.Action) { a.Locks.Each = true }),
			"reason": other(func(a *procedure.Action) { a.Reason = someProse("other") }),
			"marked": other(func(a *procedure.Action) { a.Reason = marked("said") }),
		}
	case []procedure.InspectionItem:
		return map[string]func(reflect.Value){
			"look":   set([]procedure.InspectionItem{{Look: "other", Accept: someProse("said")}}),
			"accept": set([]procedure.InspectionItem{{Look: "said", Accept: someProse("other")}}),
		}
	case []procedure.Reading:
		out := map[string]func(reflect.Value){}
		for name, change := range map[string]func(x *procedure.Reading){
			"words": func(x *procedure.Reading) { x.Words = "other" }, "unit": func(x *procedure.Reading) { x.Unit = "bar" }, "limits": func(x *procedure.Reading) { x.Accept = "other" },
			"sum": func(x *procedure.Reading) { x.Sum = "other" }, "place": func(x *procedure.Reading) { x.Row, x.Column = "other", "other" }, "chance": func(x *procedure.Reading) { x.Chance = 9 },
			"series": func(x *procedure.Reading) { x.Every, x.For = measure.Must("5 min"), measure.Must("10 min") }, "name": func(x *procedure.Reading) { x.Name = "other" },
		} {
			x := reading()
			change(&x)
			out[name] = set([]procedure.Reading{x})
		}
		return out
	case []procedure.Choice:
		return map[string]func(reflect.Value){
			"words":    set([]procedure.Choice{{Prose: someProse("other"), Feedback: someProse("said")}}),
			"right":    set([]procedure.Choice{{Prose: someProse("said"), Feedback: someProse("said"), Right: true}}),
			"feedback": set([]procedure.Choice{{Prose: someProse("said"), Feedback: someProse("other")}}),
		}
	case []procedure.Balloon:
		b := procedure.Balloon{Ref: procedure.Ref{ID: "1"}, Targets: []procedure.Point{{X: 1, Y: 2}}}
		ref, label, target := b, b, b
		ref.Ref.ID, label.Label.X, target.Targets = "2", 9, []procedure.Point{{X: 1, Y: 3}}
		return map[string]func(reflect.Value){
			"of": set([]procedure.Balloon{ref}), "number": set([]procedure.Balloon{label}), "place": set([]procedure.Balloon{target}),
		}
	case []procedure.Session:
		item := procedure.CourseItem{Ref: procedure.Ref{ID: "p"}}
		out := map[string]func(reflect.Value){"title": set([]procedure.Session{{Title: "other", Items: []procedure.CourseItem{item}}})}
		for name, change := range map[string]func(i *procedure.CourseItem){
			"item": func(i *procedure.CourseItem) { i.Ref.ID = "other" }, "quiz": func(i *procedure.CourseItem) { i.IsQuiz = true }, "refit": func(i *procedure.CourseItem) { i.IsRefit = true },
			"from": func(i *procedure.CourseItem) { i.From.ID = "other" }, "to": func(i *procedure.CourseItem) { i.To.ID = "other" },
		} {
			x := item
			change(&x)
			out[name] = set([]procedure.Session{{Title: "said", Items: []procedure.CourseItem{x}}})
		}
		return out
	case procedure.Estimate:
		return map[string]func(reflect.Value){
			"optimistic": set(procedure.Estimate{Optimistic: 1, Likely: 4, Pessimistic: 9}), "likely": set(procedure.Estimate{Optimistic: 2, Likely: 5, Pessimistic: 9}),
			"pessimistic": set(procedure.Estimate{Optimistic: 2, Likely: 4, Pessimistic: 8}),
		}
	case measure.Quantity:
		return map[string]func(reflect.Value){"": set(measure.Must("75 cm")), "not stated": set(measure.Quantity{}), "other unit": set(measure.Must("450 mm"))}
	case []measure.Quantity:
		return one([]measure.Quantity{measure.Must("30 %")})
	case []procedure.Person:
		return one([]procedure.Person{{Tickets: refs}})
	case []string:
		return one([]string{"other"})
	case map[procedure.RegisterKind]string:
		return one(map[procedure.RegisterKind]string{procedure.PartRegister: "other"})
	}
	switch {
	case v.Kind() == reflect.Bool:
		return one(reflect.ValueOf(!v.Bool()).Convert(v.Type()).Interface())
	case v.CanInt():
		return one(reflect.ValueOf(v.Int() + 1).Convert(v.Type()).Interface())
	case v.CanFloat():
		return one(reflect.ValueOf(v.Float() + 1).Convert(v.Type()).Interface())
	case v.Kind() == reflect.String:
		return one(reflect.ValueOf("notice").Convert(v.Type()).Interface())
	}
	t.Fatalf("no other value for a %s", v.Type())
	return nil
}

func reading() procedure.Reading {
	return procedure.Reading{Name: "said", Words: "said", Unit: "mm", Accept: "said"}
}

func action() *procedure.Action {
	return &procedure.Action{Verb: procedure.Hang, Object: procedure.Ref{ID: "part"}, With: []procedure.Ref{{ID: "support"}}, Reason: someProse("said")}
}

// fill states every declared field of a struct.
func fill(v reflect.Value) {
	for _, f := range procedure.FieldsOf(v.Type()) {
		switch x := f.In(v).Addr().Interface().(type) {
		case *procedure.Ref:
			x.ID = "said"
		case *[]procedure.Ref:
			*x = []procedure.Ref{{ID: "one"}, {ID: "two"}}
		case *procedure.Prose:
			*x = someProse("said")
		case *[]procedure.Prose:
			*x = []procedure.Prose{someProse("said")}
		case *[]*procedure.Action:
			*x = []*procedure.Action{action()}
		case *[]procedure.InspectionItem:
			*x = []procedure.InspectionItem{{Look: "said", Accept: someProse("said")}}
		case *[]procedure.Reading:
			*x = []procedure.Reading{reading()}
		case *[]procedure.Choice:
			*x = []procedure.Choice{{Prose: someProse("said"), Feedback: someProse("said")}}
		case *[]procedure.Balloon:
			*x = []procedure.Balloon{{Ref: procedure.Ref{ID: "1"}, Targets: []procedure.Point{{X: 1, Y: 2}}}}
		case *[]procedure.Session:
			*x = []procedure.Session{{Title: "said", Items: []procedure.CourseItem{{Ref: procedure.Ref{ID: "p"}}}}}
		case *procedure.Estimate:
			*x = procedure.Estimate{Optimistic: 2, Likely: 4, Pessimistic: 9}
		case *measure.Quantity:
			*x = measure.Must("45 cm")
		case *[]string:
			*x = []string{"said"}
		case *map[procedure.RegisterKind]string:
			*x = map[procedure.RegisterKind]string{procedure.PartRegister: "said"}
		default:
			if f.In(v).Kind() == reflect.String {
				f.In(v).SetString("said")
			}
		}
	}
}

// library is one of everything, with every field stated.
type library struct {
	lib     *procedure.Library
	machine *procedure.Machine
	used    *procedure.Procedure // names all rows
	free    *procedure.Procedure // names none
	course  *procedure.Course
	quiz    *procedure.Quiz
}

func whole() library {
	m := &procedure.Machine{
		Variants: []*procedure.Variant{{}}, Parts: []*procedure.Part{{}}, Fasteners: []*procedure.Fastener{{}}, Connections: []*procedure.Connection{{}},
		Fluids: []*procedure.Fluid{{}}, Supports: []*procedure.Support{{}}, Conditions: []*procedure.Condition{{}}, Tools: []*procedure.Tool{{}}, Figures: []*procedure.Figure{{}},
	}
	l := library{&procedure.Library{}, m, &procedure.Procedure{}, &procedure.Procedure{}, &procedure.Course{}, &procedure.Quiz{Questions: []*procedure.Question{{}}}}
	things := []any{l.lib, m, l.used, l.free, l.course, l.quiz, l.quiz.Questions[0], m.Figures[0], m.Variants[0]}
	for _, x := range things {
		fill(reflect.ValueOf(x).Elem())
	}
	naming := &procedure.Step{ID: "naming"}
	for _, t := range m.Things() {
		_, row := t.Register()
		fill(reflect.ValueOf(row).Elem())
		t.Row.ID = map[procedure.ThingKind]string{
			procedure.PartThing: "part", procedure.FastenerThing: "1", procedure.ConnectionThing: "connection", procedure.FluidThing: "fluid",
			procedure.SupportThing: "support", procedure.ConditionThing: "condition", procedure.ToolThing: "tool",
		}[t.Kind]
		naming.Tools = append(naming.Tools, procedure.Ref{ID: t.Row.ID})
	}
	m.Index()
	l.used.Machine, l.free.Machine = m, m
	l.used.Figures, l.used.Steps = []*procedure.Figure{{}}, []*procedure.Step{naming}
	fill(reflect.ValueOf(l.used.Figures[0]).Elem())
	for _, p := range []*procedure.Procedure{l.used, l.free} {
		s := &procedure.Step{}
		fill(reflect.ValueOf(s).Elem())
		s.Blocks = nil
		for _, k := range procedure.Kinds() {
			b := k.New()
			fill(reflect.ValueOf(b).Elem())
			s.Blocks = append(s.Blocks, b)
		}
		p.Steps = append(p.Steps, s)
	}
	return l
}

// told lists the names of all changes between two libraries.
func (l library) told(now library) (what []string) {
	add := func(changes []Change) {
		for _, c := range changes {
			what = append(what, c.What)
		}
	}
	lists := func(lists []Entries) {
		for _, l := range lists {
			for _, e := range l.Entries {
				add(e.Changes)
			}
		}
	}
	for _, o := range []Other{Libraries(l.lib, now.lib), Machines(l.machine, now.machine), Quizzes(l.quiz, now.quiz), Courses(l.course, now.course)} {
		add(o.Head)
		lists(o.Lists)
	}
	for _, pair := range [][2]*procedure.Procedure{{l.used, now.used}, {l.free, now.free}} {
		c := Compare(pair[0], pair[1])
		add(c.Head)
		lists(c.Figures)
		for _, s := range c.Steps {
			add(s.Changes)
		}
		for _, h := range c.Hazards {
			add(h.Changes)
			what = append(what, string(h.Kind))
			if h.OldText != h.NewText {
				what = append(what, "text")
			}
		}
		for _, h := range c.Holds {
			add(h.Changes)
		}
		for _, r := range c.Rows {
			add(r.Changes)
		}
	}
	return what
}

// Whatever is declared and is not what it was is named: in every type that is published, field by field.
func TestEveryFieldIsCompared(t *testing.T) {
	if what := whole().told(whole()); len(what) > 0 {
		t.Fatalf("two of the same differ in %q", what)
	}
	count := 0
	flip := func(name string, of func(l library) any, calls func(f procedure.Field) []string) {
		fresh := reflect.ValueOf(of(whole())).Elem()
		for _, f := range procedure.FieldsOf(fresh.Type()) {
			if f.Word == "id" || f.Word == "blocks" || f.Word == "edition" || entered(f.In(fresh).Type()) {
				continue // a name tells things apart; what is in a list is flipped by itself; an edition stands above
			}
			for how, change := range flips(t, f.In(fresh)) {
				now := whole()
				change(f.In(reflect.ValueOf(of(now)).Elem()))
				count++
				what := whole().told(now)
				if !slices.ContainsFunc(calls(f), func(w string) bool { return slices.Contains(what, w) }) {
					t.Errorf("%s: %s %s is told as %q", name, f.Word, how, what)
				}
			}
		}
	}
	byWord := func(f procedure.Field) []string { return []string{f.Word} }
	flip("library", func(l library) any { return l.lib }, byWord)
	flip("machine", func(l library) any { return l.machine }, byWord)
	flip("variant", func(l library) any { return l.machine.Variants[0] }, byWord)
	flip("figure of a machine", func(l library) any { return l.machine.Figures[0] }, byWord)
	for i, thing := range whole().machine.Things() {
		flip(thing.Row.ID, func(l library) any { _, row := l.machine.Things()[i].Register(); return row }, byWord)
	}
	flip("procedure", func(l library) any { return l.free }, byWord)
	flip("figure of a procedure", func(l library) any { return l.used.Figures[0] }, byWord)
	flip("step", func(l library) any { return l.free.Steps[0] }, byWord)
	for i, k := range procedure.Kinds() {
		flip(k.Label(), func(l library) any { return l.free.Steps[0].Blocks[i] }, func(f procedure.Field) []string {
			if f.Word == "signal-word" {
				return []string{string(Lowered)}
			}
			return []string{f.Word, k.Label()}
		})
	}
	flip("quiz", func(l library) any { return l.quiz }, byWord)
	flip("question", func(l library) any { return l.quiz.Questions[0] }, byWord)
	flip("course", func(l library) any { return l.course }, byWord)
	if count < 200 {
		t.Errorf("only %d flips", count)
	}
}

// The order of blocks, and which words stand in one block, is told where nothing else is.
func TestBlocksInAnotherOrder(t *testing.T) {
	for _, change := range []func(s *procedure.Step){
		func(s *procedure.Step) { slices.Reverse(s.Blocks) },
		func(s *procedure.Step) {
			i := slices.IndexFunc(s.Blocks, func(b procedure.Block) bool { return b.Shows().Lift != nil })
			s.Blocks = slices.Insert(s.Blocks, i, procedure.Block(&procedure.ActionList{}))
		},
	} {
		now := whole()
		change(now.free.Steps[0])
		if what := whole().told(now); len(what) == 0 {
			t.Error("the step is called the same")
		}
	}
}
