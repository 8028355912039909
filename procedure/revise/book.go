package revise

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/text"
)

// book finds the steps of procedures by their names.
type book struct {
	// procedures are those with steps of their own: what is written for a refitting is one.
	procedures []*procedure.Procedure
	entries    []*entry
	bySource   map[text.Span]*entry
	// byName has the entries of each step name, places those of each procedure's steps.
	byName map[string][]*entry
	places map[*procedure.Procedure]map[string]*entry
	// derived has the names of the steps that nobody wrote.
	derived map[*procedure.Procedure]map[string]bool
}

func newBook(procedures []*procedure.Procedure) *book {
	b := &book{
		bySource: map[text.Span]*entry{}, byName: map[string][]*entry{},
		places: map[*procedure.Procedure]map[string]*entry{}, derived: map[*procedure.Procedure]map[string]bool{},
	}
	for _, p := range procedures {
		if p.Removal != nil {
			continue
		}
		b.add(p)
		if p.RefitFile != nil || p.Refitting != nil {
			written := refit.Written(p, p.Title+", refitting")
			b.add(written)
			b.join(written, p.Refitting)
		}
	}
	return b
}

// add takes in the steps of a procedure.
func (b *book) add(p *procedure.Procedure) {
	b.procedures = append(b.procedures, p)
	b.places[p], b.derived[p] = map[string]*entry{}, map[string]bool{}
	for _, s := range p.Steps {
		e := b.bySource[s.Span]
		if e == nil || !s.Span.Valid() {
			e = &entry{revision: Revision{Step: s, Old: s.Time}}
			b.bySource[s.Span] = e
			b.entries = append(b.entries, e)
			b.byName[s.ID] = append(b.byName[s.ID], e)
		}
		e.revision.Procedures = append(e.revision.Procedures, p)
		b.places[p][s.ID] = e
	}
}

// join finds what is written for a refitting under the names that it has in the whole of it: a step
// that differs by variant stands there once for each, and all but the first have another name.
// whole is nil when nothing goes back.
func (b *book) join(written, whole *procedure.Procedure) {
	if whole == nil {
		return
	}
	places := b.places[written]
	own := map[text.Span]*entry{}
	for _, s := range written.Steps {
		own[s.Span] = places[s.ID]
	}
	for _, s := range whole.Steps {
		e := own[s.Span]
		if e == nil {
			b.derived[written][s.ID] = true
			continue
		}
		places[s.ID] = e
		if !slices.Contains(b.byName[s.ID], e) {
			b.byName[s.ID] = append(b.byName[s.ID], e)
		}
	}
}

// find returns the step that a record is of; else why there is none, and a name that may have been meant.
func (b *book) find(r Record) (e *entry, why Why, suggest string) {
	if r.Procedure == "" {
		switch found := b.byName[r.Step]; len(found) {
		case 1:
			e = found[0]
		case 0:
			why, suggest = b.missing(r.Step, b.procedures...)
			return nil, why, suggest
		default:
			return nil, AmbiguousStep, ""
		}
	} else {
		i := slices.IndexFunc(b.procedures, func(p *procedure.Procedure) bool { return p.ID == r.Procedure })
		if i < 0 {
			var names []string
			for _, p := range b.procedures {
				names = append(names, p.ID)
			}
			return nil, UnknownProcedure, diagnostic.Nearest(r.Procedure, names)
		}
		if e = b.places[b.procedures[i]][r.Step]; e == nil {
			why, suggest = b.missing(r.Step, b.procedures[i])
			return nil, why, suggest
		}
	}
	if r.Variant != "" {
		if why, suggest = e.variant(r); why != "" {
			return nil, why, suggest
		}
	}
	return e, "", ""
}

// missing says why some procedures have no step of a name that has a time, and which name may have been meant.
func (b *book) missing(step string, among ...*procedure.Procedure) (why Why, suggest string) {
	var names []string
	for _, p := range among {
		if b.derived[p][step] {
			return DerivedStep, ""
		}
		for _, s := range p.Steps {
			names = append(names, s.ID)
		}
	}
	return UnknownStep, diagnostic.Nearest(step, names)
}

// variant says why a record's variant does not fit its step; empty when it does.
func (e *entry) variant(r Record) (why Why, suggest string) {
	why = UnknownVariant
	var names []string
	for _, p := range e.revision.Procedures {
		if p.Machine == nil || r.Procedure != "" && p.ID != r.Procedure {
			continue
		}
		for _, v := range p.Machine.Variants {
			names = append(names, v.ID)
		}
		if v := p.Machine.Variant(r.Variant); v != nil {
			if why = OtherVariant; procedure.AppliesTo(e.revision.Step.Variants, v) {
				return "", ""
			}
		}
	}
	if why == UnknownVariant {
		suggest = diagnostic.Nearest(r.Variant, names)
	}
	return why, suggest
}
