package comparison

import (
	"math"
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/edition"
	"matchmark/procedure/schedule"
	"matchmark/themes"
)

// none stands where one of two values is missing.
const none = "–"

// writer puts the comparison of one procedure into words.
type writer struct {
	words *themes.Words
	c     edition.Comparison
}

func (w *writer) compared() Compared {
	out := Compared{ID: w.c.New.ID, Title: w.c.New.Title, Editions: w.editions(), Short: w.short(), Totals: w.totals()}
	if w.c.NotRaised {
		out.NotRaised = w.words.T("compare.not-raised", w.c.New.Edition)
	}
	// What can hurt somebody comes first.
	for _, s := range []Section{
		{"hazards", w.words.T("compare.hazards"), w.hazards()},
		{"holds", w.words.T("compare.holds"), w.holds()},
		{"steps", w.words.T("compare.steps"), w.steps()},
		{"fasteners", w.words.T("compare.fasteners"), w.rows(procedure.FastenerRegister)},
		{"tools", w.words.T("compare.tools"), w.rows(procedure.ToolRegister, procedure.SupportRegister, "")},
		w.register(procedure.PartRegister), w.register(procedure.ConnectionRegister), w.register(procedure.FluidRegister), w.register(procedure.ConditionRegister),
	} {
		out.add(s)
	}
	for _, l := range w.c.Figures {
		out.add(Section{l.What, w.words.T("machine.figures"), w.entries(l)})
	}
	out.add(Section{"head", w.words.T("compare.head"), w.head(w.c.New.Title, w.c.Head)})
	return out
}

// add adds a section that has something in it.
func (c *Compared) add(s Section) {
	if len(s.Entries) > 0 {
		s.ID = c.ID + "--" + s.ID
		c.Sections = append(c.Sections, s)
	}
}

// register is the section of a register that has no section of its own.
func (w *writer) register(r procedure.RegisterKind) Section {
	return Section{string(r), w.words.T("register." + string(r)), w.rows(r)}
}

// other puts the comparison of something that is no procedure into words; kind is machine, quiz, course, glossary or library.
func (w *writer) other(kind string, o edition.Other) Compared {
	out := Compared{ID: kind + "-" + o.ID, Title: o.Title, Editions: w.words.T("compare.of." + kind)}
	for _, l := range o.Lists {
		out.add(Section{l.What, w.words.T("compare.what." + l.What), w.entries(l)})
	}
	out.add(Section{"head", w.words.T("compare.itself"), w.head(o.Title, o.Head)})
	return out
}

func (w *writer) editions() string {
	if w.c.Old.Edition == w.c.New.Edition {
		return w.words.T("compare.edition", w.c.New.Edition)
	}
	return w.words.T("compare.editions", w.c.Old.Edition, w.c.New.Edition)
}

// short counts the changes.
func (w *writer) short() []string {
	var added, removed, moved, changed, torques int
	for _, s := range w.c.Steps {
		switch {
		case s.Kind == edition.Added:
			added++
		case s.Kind == edition.Removed:
			removed++
		case s.Moved:
			moved++
		default:
			changed++
		}
	}
	tools := 0
	for _, r := range w.c.Rows {
		switch {
		case r.Torque:
			torques++
		case r.Register == procedure.ToolRegister || r.Register == procedure.SupportRegister || r.Register == "":
			tools++
		}
	}
	var out []string
	count := func(n int, words string) {
		if n > 0 {
			out = append(out, words)
		}
	}
	count(len(w.c.Hazards), w.words.Count("compare.count.hazards", len(w.c.Hazards)))
	count(len(w.c.Holds), w.words.Count("compare.count.holds", len(w.c.Holds)))
	count(added, w.words.Count("compare.count.added", added))
	count(removed, w.words.Count("compare.count.removed", removed))
	count(moved, w.words.Count("compare.count.moved", moved))
	count(changed, w.words.Count("compare.count.changed", changed))
	count(torques, w.words.Count("compare.count.torques", torques))
	count(tools, w.words.Count("compare.count.tools", tools))
	return out
}

func (w *writer) totals() []Total {
	var out []Total
	for _, t := range w.c.Totals {
		line := Total{Old: none, New: none, Difference: none}
		if t.Variant != nil {
			line.Variant = t.Variant.Name
		}
		if t.Kind != edition.Added {
			line.Old = schedule.Duration(t.Old)
		}
		if t.Kind != edition.Removed {
			line.New = schedule.Duration(t.New)
		}
		if t.Kind == "" {
			line.Difference = w.difference(t.Old, t.New)
		}
		out = append(out, line)
	}
	return out
}

// difference writes by how much a time is longer or shorter, as far as the two times show it: between "12 min" and
// "13 min" lies 1 min, also where it is 1.6. Times that look alike have the difference that there is.
func (w *writer) difference(before, after float64) string {
	minutes := after - before
	if a, b := schedule.Shown(before), schedule.Shown(after); a != b {
		minutes = b - a
	}
	switch {
	case math.Abs(minutes)*60 < 0.5:
		return w.words.T("compare.as-long")
	case minutes < 0:
		return "−" + schedule.Duration(-minutes)
	}
	return "+" + schedule.Duration(minutes)
}

func (w *writer) kind(k edition.Kind) (kind, word string) {
	return string(k), w.words.T("compare.kind." + string(k))
}

// lines writes differences; a value that is a flag becomes a word of the language.
func (w *writer) lines(changes []edition.Change) []Line {
	var out []Line
	for _, c := range changes {
		l := Line{Label: w.words.T("compare.what." + c.What), Gone: c.Gone, Come: c.Come}
		switch {
		case c.Reordered:
			l.Note = w.words.T("compare.reordered")
		case c.Unseen && c.What == "picture":
			l.Note = w.words.T("compare.redrawn")
		case c.Unseen:
			l.Note = w.words.T("compare.unseen")
		case len(c.Gone)+len(c.Come) == 0:
			l.Old, l.New = w.value(c, c.Old), w.value(c, c.New)
		}
		out = append(out, l)
	}
	return out
}

func (w *writer) value(c edition.Change, value string) string {
	switch {
	case c.Flag && value == "":
		return w.words.T("compare.no")
	case c.Flag:
		return w.words.T("column.yes")
	case value == "":
		return none
	case c.What == "time":
		return w.words.T("compare.minutes", value)
	}
	return value
}

// stepName is a step with its number, as a trainer speaks of it. What is written for a refitting has no
// numbers before the rest is derived.
func (w *writer) stepName(s *procedure.Step) string {
	if s.Number == 0 {
		return s.Title
	}
	return w.words.T("compare.step", strconv.Itoa(s.Number), s.Title)
}
