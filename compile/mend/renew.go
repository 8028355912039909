package mend

import (
	"io/fs"
	"slices"
	"strings"

	"matchmark/compile"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
)

// Renew reads a library and writes what is in older forms of the language in today's form, without the listed tools that follow from what steps do. A library
// with errors is left as it is: they are in the outcome's log. The error is the world's, or a fault of our own
// that would have changed what a page shows.
func Renew(files fs.FS) (*Outcome, error) {
	var log diagnostic.Log
	before, err := compile.Load(files, &log)
	if err != nil {
		return nil, err
	}
	out := &Outcome{Procedures: len(before.Procedures), Log: &log}
	if log.HasErrors() {
		return out, nil
	}
	old, err := compile.OldForms(files)
	if err != nil {
		return nil, err
	}
	var edits []rewrite.Edit
	for _, d := range old {
		if d.Code == OldForm && len(d.Fixes) > 0 {
			edits = append(edits, d.Fixes[0].Edits...)
			out.Fixed = append(out.Fixed, d)
		}
	}
	made, err := rewrite.Make(edits)
	if err != nil {
		return nil, err
	}
	now := onto(made, files)
	after, err := loadSame(before, now)
	if err != nil {
		return nil, err
	}
	fewer, err := withoutFitting(after, now)
	if err != nil {
		return nil, err
	}
	if _, err := loadSame(before, onto(fewer, now)); err != nil {
		return nil, err
	}
	out.Log = &diagnostic.Log{}
	out.Files = joined(made, fewer)
	return out, nil
}

// onto returns the files with others in place of those of their names.
func onto(made []rewrite.File, files fs.FS) fs.FS {
	over := compile.Overlay{}
	for _, f := range made {
		over[f.Old.Name] = f.Source
	}
	return over.Onto(files)
}

// joined are files that were written anew and then, some of them, once more: each as it was and as it is at the end.
func joined(first, then []rewrite.File) []rewrite.File {
	out := slices.Clone(first)
	for _, f := range then {
		if i := slices.IndexFunc(out, func(x rewrite.File) bool { return x.Old.Name == f.Old.Name }); i >= 0 {
			out[i].Source = f.Source
		} else {
			out = append(out, f)
		}
	}
	slices.SortFunc(out, func(a, b rewrite.File) int { return strings.Compare(a.Old.Name, b.Old.Name) })
	return out
}

// loadSame reads a library that must say the same as it did before.
func loadSame(before *procedure.Library, files fs.FS) (*procedure.Library, error) {
	var log diagnostic.Log
	after, err := compile.Load(files, &log)
	if err != nil {
		return nil, err
	}
	if changed := difference(before, after); changed != "" || log.HasErrors() {
		return nil, say.Error(say.That("writing the library anew would change what it says, so nothing was written: %what", say.Name(changed)))
	}
	return after, nil
}

// OldForm is the code of the messages on files in older forms.
const OldForm diagnostic.Code = "old-form"

// difference names the first thing that pages would show otherwise; "" for none.
func difference(before, after *procedure.Library) string {
	if len(before.Procedures) != len(after.Procedures) {
		return "a procedure is missing"
	}
	for i, p := range before.Procedures {
		q := after.Procedures[i]
		if procedure.Fingerprint(p) != procedure.Fingerprint(q) {
			return p.ID
		}
		steps, others := p.WrittenSteps(), q.WrittenSteps()
		for j, s := range steps {
			if j >= len(others) || shown(s) != shown(others[j]) {
				return p.ID + ", step " + s.ID
			}
		}
		if len(steps) != len(others) {
			return p.ID
		}
	}
	return ""
}

// shown is all that pages show of a step. Rows look the same whatever kind of block they are from.
func shown(s *procedure.Step) string {
	plain := *s
	plain.Blocks, plain.Figure = nil, procedure.Ref{}
	for _, b := range s.Blocks {
		b = procedure.Clone(b)
		for _, p := range procedure.Texts(b) {
			*p = p.Joined()
		}
		if of := b.Shows(); len(of.Actions) > 0 {
			list := &procedure.ActionList{Common: *b.Base(), Actions: of.Actions}
			if of.Lift != nil {
				list.Lift = *of.Lift
			}
			b = list
		}
		plain.Blocks = append(plain.Blocks, b)
	}
	return procedure.Fingerprint(&plain) + strings.Join(s.FigureNames(), " ")
}
