package edition

import (
	"slices"

	"matchmark/procedure"
)

// Glossaries compares two glossaries, nil where a library has none. Terms that share a form are one term; their order
// is of no account, since pages list them by name.
func Glossaries(before, after *procedure.Glossary) Other {
	out := Other{ID: "terms"}
	var head changes
	if before != nil && after != nil {
		head.fields(names{}, names{}, before, after)
	}
	out.Head = head
	var was, is []*procedure.Term
	if before != nil {
		out.Title, was = before.Title, slices.Clone(before.Terms)
	}
	if after != nil {
		out.Title, is = after.Title, after.Terms
	}
	terms := Entries{What: "terms"}
	for _, t := range is {
		kind, old := Added, &procedure.Term{}
		if i := sameTerm(was, t); i >= 0 {
			kind, old = Changed, was[i]
			was = slices.Delete(was, i, i+1)
		}
		if changed := termChanges(old, t); kind == Added || len(changed) > 0 {
			terms.Entries = append(terms.Entries, Entry{kind, t.Name(), t.Name(), changed})
		}
	}
	for _, t := range was {
		terms.Entries = append(terms.Entries, Entry{Removed, t.Name(), t.Name(), termChanges(t, &procedure.Term{})})
	}
	if len(terms.Entries) > 0 {
		out.Lists = []Entries{terms}
	}
	return out
}

// sameTerm finds a term by the form that it is listed under, or else by any form; -1 for none.
func sameTerm(list []*procedure.Term, t *procedure.Term) int {
	if i := slices.IndexFunc(list, func(x *procedure.Term) bool { return x.Forms[0].Key() == t.Forms[0].Key() }); i >= 0 {
		return i
	}
	return slices.IndexFunc(list, func(x *procedure.Term) bool {
		return slices.ContainsFunc(x.Forms, func(a procedure.Form) bool {
			return slices.ContainsFunc(t.Forms, func(b procedure.Form) bool { return a.Key() == b.Key() })
		})
	})
}

// termChanges notes what is different in a term; one without forms is not there, and has no name to compare.
func termChanges(before, after *procedure.Term) []Change {
	var c changes
	if len(before.Forms) > 0 && len(after.Forms) > 0 {
		c.value("name", plain([]string{before.Name()}), plain([]string{after.Name()}), false)
	}
	c.list("other-forms", otherForms(before), otherForms(after))
	c.list("meaning", paragraphs(before.Meaning), paragraphs(after.Meaning))
	return c
}

// otherForms are the ways to write a term besides its name.
func otherForms(t *procedure.Term) []item {
	var out []item
	for i, f := range t.Forms {
		if i > 0 {
			out = append(out, item{f.Words, f.Words})
		}
	}
	return out
}
