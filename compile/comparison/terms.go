package comparison

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/edition"
)

// glossary adds what is different in the glossary; of a procedure that was asked for by its name, the terms that it uses.
func (c *comparer) glossary() {
	o := c.terms
	if c.only != "" {
		o.Head = nil
		var asked []edition.Entries
		for _, l := range o.Lists {
			l.Entries = slices.DeleteFunc(slices.Clone(l.Entries), func(e edition.Entry) bool { return len(c.users(e)) == 0 })
			if len(l.Entries) > 0 {
				asked = append(asked, l)
			}
		}
		o.Lists = asked
	}
	if o.Same() {
		return
	}
	w := &writer{words: c.words}
	told := w.other("glossary", o)
	for i, l := range o.Lists {
		for k, e := range l.Entries {
			if users := c.users(e); len(users) > 0 {
				key := "compare.used"
				if e.Kind == edition.Removed {
					key = "compare.was-used"
				}
				to := &told.Sections[i].Entries[k]
				to.Notes = append(to.Notes, c.words.T(key, joined(users)))
			}
		}
	}
	c.Compared = append(c.Compared, told)
}

// users are the titles of the procedures asked for whose steps use a term: in the old library for a term that is gone, else in the new one.
func (c *comparer) users(e edition.Entry) (out []string) {
	in := c.after
	if e.Kind == edition.Removed {
		in = c.before
	}
	for _, p := range in.Procedures {
		if (c.only == "" || p.ID == c.only) && uses(in, p, e) {
			out = append(out, p.Title)
		}
	}
	return out
}

// usesChangedTerm reports whether the steps of a procedure, in both libraries, show a term otherwise than before.
func (c *comparer) usesChangedTerm(p *procedure.Procedure) bool {
	for _, l := range c.terms.Lists {
		for _, e := range l.Entries {
			if e.Kind != edition.Removed && uses(c.after, p, e) || e.Kind == edition.Removed && uses(c.before, find(c.before, p.ID), e) {
				return true
			}
		}
	}
	return false
}

func uses(lib *procedure.Library, p *procedure.Procedure, e edition.Entry) bool {
	return slices.Contains(check.TermsOf(p, lib.Glossary), e.ID)
}
