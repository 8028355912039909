package comparison

import (
	"matchmark/procedure"
	"matchmark/procedure/edition"
	"matchmark/procedure/schedule"
)

func (w *writer) head() []Entry {
	if len(w.c.Head) == 0 {
		return nil
	}
	e := Entry{Title: w.c.New.Title, Lines: w.lines(w.c.Head)}
	e.Kind, e.Word = w.kind(edition.Changed)
	return []Entry{e}
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
			out = append(out, w.words.T("compare.time", schedule.Duration(s.OldTime), schedule.Duration(s.NewTime), w.difference(s.Difference)))
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
			e.Notes = append(e.Notes, w.words.T("compare.hazard.about"))
		}
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

func (w *writer) fasteners() []Entry {
	var out []Entry
	for _, f := range w.c.Fasteners {
		row := f.New
		if row == nil {
			row = f.Old
		}
		e := Entry{Title: w.words.T("compare.fastener", row.ID, row.Name), Lines: w.lines(f.Changes)}
		e.Kind, e.Word = w.kind(f.Kind)
		if f.Torque {
			e.Notes = append(e.Notes, w.words.T("compare.torque"))
		}
		out = append(out, e)
	}
	return out
}

func (w *writer) tools() []Entry {
	var out []Entry
	for _, t := range w.c.Tools {
		e := Entry{Title: t.Name, Lines: w.lines(t.Changes)}
		e.Kind, e.Word = w.kind(t.Kind)
		var steps []string
		for _, s := range t.Steps {
			steps = append(steps, s.Title)
		}
		if len(steps) > 0 {
			used := w.words.T("compare.used", joined(steps))
			if t.Kind == edition.Removed {
				used = w.words.T("compare.was-used", joined(steps))
			}
			e.Notes = append(e.Notes, used)
		}
		out = append(out, e)
	}
	return out
}
