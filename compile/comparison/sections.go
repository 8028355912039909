package comparison

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/edition"
	"matchmark/procedure/schedule"
)

func (w *writer) head(title string, changes []edition.Change) []Entry {
	if len(changes) == 0 {
		return nil
	}
	e := Entry{Title: title, Lines: w.lines(changes)}
	e.Kind, e.Word = w.kind(edition.Changed)
	return []Entry{e}
}

// entries are the changes of a list of things, each by its name.
func (w *writer) entries(l edition.Entries) []Entry {
	var out []Entry
	for _, x := range l.Entries {
		e := Entry{Title: x.Name, Lines: w.lines(x.Changes)}
		if l.What == string(procedure.FastenerRegister) {
			e.Title = w.words.T("compare.fastener", x.ID, x.Name)
		}
		e.Kind, e.Word = w.kind(x.Kind)
		out = append(out, e)
	}
	return out
}

func (w *writer) steps() []Entry {
	var out []Entry
	for _, s := range w.c.Steps {
		e := Entry{Title: w.stepName(s.Either()), Lines: w.lines(s.Changes)}
		e.Kind, e.Word = w.kind(s.Kind)
		switch s.Kind {
		case edition.Added:
			e.Notes = append(e.Notes, w.words.T("compare.time.added", schedule.Duration(s.NewTime)))
		case edition.Removed:
			e.Notes = append(e.Notes, w.words.T("compare.time.removed", schedule.Duration(s.OldTime)))
		default:
			e.Notes = w.changedStep(s)
		}
		if s.Moved {
			e.Kind, e.Word = "moved", w.words.T("compare.kind.moved")
			if len(s.Changes) > 0 {
				e.Word = w.words.T("compare.kind.moved-changed")
			}
		}
		out = append(out, e)
	}
	return out
}

// changedStep says where a step stood and stands, and how its time changed.
func (w *writer) changedStep(s edition.Step) []string {
	var out []string
	if s.Moved {
		out = append(out, w.words.T("compare.moved", w.place(s.OldAfter), w.place(s.NewAfter)))
	}
	for _, c := range s.Changes {
		if c.What == "time" {
			out = append(out, w.words.T("compare.time", schedule.Duration(s.OldTime), schedule.Duration(s.NewTime), w.difference(s.OldTime, s.NewTime)))
		}
	}
	return out
}

// place says what stands before a step.
func (w *writer) place(after *procedure.Step) string {
	if after == nil {
		return w.words.T("compare.first")
	}
	return w.words.T("compare.after", after.Title)
}

func (w *writer) hazards() []Entry {
	var out []Entry
	for _, h := range w.c.Hazards {
		e := Entry{Kind: string(h.Kind), Word: w.words.T("compare.hazard." + string(h.Kind))}
		switch h.Kind {
		case edition.HazardAdded:
			e.Kind = string(edition.Added)
		case edition.HazardRemoved:
			e.Kind = string(edition.Removed)
		}
		step := h.NewStep
		if step == nil {
			step = h.OldStep
		}
		e.Title = w.stepName(step)
		if h.OldStep != nil && h.NewStep != nil && h.OldStep.ID != h.NewStep.ID {
			e.Notes = append(e.Notes, w.words.T("compare.hazard.from", w.stepName(h.OldStep)))
		}
		// A caution that only moved is shown once.
		if h.Old != nil && h.Kind != edition.HazardMoved {
			e.Was = w.signal(h.Old, h.OldText)
		}
		if h.New != nil {
			e.Is = w.signal(h.New, h.NewText)
		}
		if h.Kind == edition.Reworded && h.OldText == h.NewText {
			e.Was = nil
			e.Word = w.words.T("compare.kind.changed")
		}
		e.Lines = w.lines(h.Changes)
		out = append(out, e)
	}
	return out
}

func (w *writer) signal(c *procedure.Caution, text string) *Signal {
	return &Signal{Signal: string(c.Signal), Word: w.words.T("signal." + string(c.Signal)), Text: text}
}

func (w *writer) holds() []Entry {
	var out []Entry
	for _, h := range w.c.Holds {
		e := Entry{Title: w.words.T("compare.hold", w.stepName(h.Step)), Lines: w.lines(h.Changes)}
		e.Kind, e.Word = w.kind(h.Kind)
		shown := h.New
		if shown == nil {
			shown = h.Old
		}
		if h.Kind != edition.Changed { // a whole hold point, with all that is confirmed there
			l := Line{Label: shown.Title}
			for _, c := range shown.Confirmations {
				if h.Kind == edition.Added {
					l.Come = append(l.Come, c.Plain())
				} else {
					l.Gone = append(l.Gone, c.Plain())
				}
			}
			e.Lines = []Line{l}
		}
		out = append(out, e)
	}
	return out
}

// rows are the changed rows of some registers.
func (w *writer) rows(registers ...procedure.RegisterKind) []Entry {
	var out []Entry
	for _, r := range w.c.Rows {
		if !slices.Contains(registers, r.Register) {
			continue
		}
		e := w.entries(edition.Entries{What: string(r.Register), Entries: []edition.Entry{{Kind: r.Kind, ID: r.ID, Name: r.Name, Changes: r.Changes}}})[0]
		if r.Torque {
			e.Notes = append(e.Notes, w.words.T("compare.torque"))
		}
		var steps []string
		for _, s := range r.Steps {
			steps = append(steps, s.Title)
		}
		switch {
		case len(steps) > 0 && r.Kind == edition.Removed:
			e.Notes = append(e.Notes, w.words.T("compare.was-used", joined(steps)))
		case len(steps) > 0:
			e.Notes = append(e.Notes, w.words.T("compare.used", joined(steps)))
		}
		out = append(out, e)
	}
	return out
}
