package edition

import (
	"reflect"
	"slices"

	"matchmark/procedure"
)

// Entry is one thing of a list that changed: a row of a register, a figure, a question.
type Entry struct {
	Kind Kind
	// ID and Name are those of the new edition, or else of the old.
	ID, Name string
	Changes  []Change
}

// Entries are the things of one list that changed, by the list's name: parts, figures, questions.
type Entries struct {
	What    string
	Entries []Entry
}

// Other is what is different in a machine, a quiz, a course, the glossary or the library's settings.
type Other struct {
	// ID and Title are those of the new one.
	ID, Title string
	// Head are the changes of what is no list of things.
	Head  []Change
	Lists []Entries
}

// Same reports whether nothing is different.
func (o *Other) Same() bool { return len(o.Head)+len(o.Lists) == 0 }

// Machines compares two machines of one name.
func Machines(before, after *procedure.Machine) Other {
	return other(names{machine: before}, names{machine: after}, before, after, after.ID, after.Title)
}

// Quizzes compares two quizzes of one name.
func Quizzes(before, after *procedure.Quiz) Other {
	of := func(q *procedure.Quiz) names {
		if q.Procedure == nil {
			return names{}
		}
		return namesOf(q.Procedure)
	}
	return other(of(before), of(after), before, after, after.ID, after.Title)
}

// Courses compares two courses of one name.
func Courses(before, after *procedure.Course) Other {
	return other(names{}, names{}, before, after, after.ID, after.Title)
}

// Libraries compares the settings of two libraries.
func Libraries(before, after *procedure.Library) Other {
	return other(names{}, names{}, before, after, "library", after.Title)
}

func other(old, now names, before, after any, id, title string) Other {
	var head changes
	head.fields(old, now, before, after)
	lists := head.entries(old, now, before, after)
	return Other{ID: id, Title: title, Head: head, Lists: lists}
}

// entered reports whether the items of a field are things with a name of their own, which are compared one by one.
func entered(t reflect.Type) bool {
	return t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Pointer && named(t.Elem().Elem(), "id") != nil
}

// named returns the field of that name.
func named(t reflect.Type, word string) *procedure.Field {
	fields := procedure.FieldsOf(t)
	if i := slices.IndexFunc(fields, func(f procedure.Field) bool { return f.Word == word }); i >= 0 {
		return &fields[i]
	}
	return nil
}

// entries compares the lists of things in two structs of one type. A list in another order is noted as a change.
func (c *changes) entries(old, now names, before, after any) []Entries {
	var out []Entries
	x := reflect.ValueOf(after).Elem()
	procedure.EachField(before, func(f *procedure.Field, value any) {
		list := reflect.ValueOf(value).Elem()
		if !entered(list.Type()) {
			return
		}
		was, is := thingsIn(list), thingsIn(f.In(x))
		of := Entries{What: f.Word}
		for _, b := range is {
			i := slices.IndexFunc(was, func(a listed) bool { return a.id == b.id })
			if i < 0 {
				of.Entries = append(of.Entries, Entry{Kind: Added, ID: b.id, Name: b.name})
				continue
			}
			var changed changes
			if changed.fields(old, now, was[i].thing, b.thing); len(changed) > 0 {
				of.Entries = append(of.Entries, Entry{Changed, b.id, b.name, changed})
			}
			was = slices.Delete(was, i, i+1)
		}
		for _, a := range was {
			of.Entries = append(of.Entries, Entry{Kind: Removed, ID: a.id, Name: a.name})
		}
		if len(of.Entries) > 0 {
			out = append(out, of)
		}
		c.order(f.Word, ids(thingsIn(list)), ids(is))
	})
	return out
}

// listed is a thing of a list.
type listed struct {
	thing    any
	id, name string
}

func thingsIn(list reflect.Value) []listed {
	var out []listed
	for i := range list.Len() {
		x := list.Index(i)
		t := listed{thing: x.Interface(), id: named(x.Type().Elem(), "id").In(x.Elem()).String()}
		t.name = t.id
		for _, word := range []string{"name", "title"} {
			if f := named(x.Type().Elem(), word); f != nil && f.In(x.Elem()).String() != "" {
				t.name = f.In(x.Elem()).String()
			}
		}
		out = append(out, t)
	}
	return out
}

func ids(list []listed) []item {
	var out []item
	for _, t := range list {
		out = append(out, item{t.id, t.id})
	}
	return out
}
