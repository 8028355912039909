package page

import (
	"strings"

	"matchmark/procedure"
	"matchmark/themes"
)

// When says a condition in words: "Run-out: out of limits, and “Does it move?”: no".
func When(w *themes.Words, c procedure.When, finders []procedure.Finder) string {
	var ways []string
	for _, way := range c.Cases() {
		var all []string
		for _, l := range way {
			all = append(all, literal(w, l, finders))
		}
		ways = append(ways, strings.Join(all, w.T("when.and")))
	}
	return strings.Join(ways, w.T("when.or"))
}

func literal(w *themes.Words, l procedure.Literal, finders []procedure.Finder) string {
	key := map[bool]string{true: "no", false: "yes"}[l.Not]
	for i := range finders {
		switch f := &finders[i]; {
		case f.Readings != nil && f.Name == l.Name:
			return w.T("when.value."+key, Finder(w, f))
		case f.Name == l.Name && f.Inspection != nil:
			return w.T("when.look."+key, Finder(w, f))
		case f.Name == l.Name:
			return w.T("when.answer."+key, Finder(w, f))
		case f.Readings != nil && f.Reading == nil: // a value of its table
			for k := range f.Readings.Rows {
				if x := &f.Readings.Rows[k]; x.Name == l.Name {
					return w.T("when.value."+key, f.Readings.LabelOf(x))
				}
			}
		}
	}
	return w.T("when.answer."+key, l.Name)
}

// Finder is what is found out, in words.
func Finder(w *themes.Words, f *procedure.Finder) string {
	switch {
	case f.Decision != nil:
		return f.Decision.Question.Plain()
	case f.Inspection != nil:
		var looks []string
		for _, item := range f.Inspection.Items {
			looks = append(looks, item.Look)
		}
		return strings.Join(looks, w.T("when.and"))
	case f.Reading != nil:
		return f.Reading.Label()
	}
	return f.Readings.Title
}

// Sum says how a value is worked out: "Gap as found − gap wanted".
func Sum(x *procedure.Reading, finders []procedure.Finder) string {
	var b strings.Builder
	for i, a := range x.Addends() {
		switch {
		case a.Minus && i == 0:
			b.WriteString("−")
		case a.Minus:
			b.WriteString(" − ")
		case i > 0:
			b.WriteString(" + ")
		}
		if a.Times > 1 {
			b.WriteString(times(a.Times))
		}
		b.WriteString(labelOf(a.Name, finders))
	}
	return b.String()
}

func times(n int) string {
	digits := ""
	for ; n > 0; n /= 10 {
		digits = string(rune('0'+n%10)) + digits
	}
	return digits + " × "
}

// labelOf is what a value is called.
func labelOf(name string, finders []procedure.Finder) string {
	for i := range finders {
		f := &finders[i]
		if f.Readings == nil {
			continue
		}
		for k := range f.Readings.Rows {
			if x := &f.Readings.Rows[k]; x.Name == name {
				return x.Label()
			}
		}
	}
	return name
}
