package workorder

import (
	"slices"
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
)

// Turn is what decided which way the job went: an answer, what was left out, rounds.
type Turn struct {
	Way  record.Phase
	Step *procedure.Step
	// Decision is set for an answer, and Yes says which; Note is set for the rest.
	Decision *procedure.Decision
	Yes      bool
	Note     rows.Note
	// Words are why something was left out, or who let the work go on; Rounds is how many rounds there were.
	Words  string
	Rounds int
	// Round is the round in which it was so; 0 outside of rounds.
	Round int
	record.Stamp
}

func (o *Order) turns() {
	place := func(way record.Phase, name string) int { return numberOf(o.Rows[string(way)+"/"+name].Step) }
	for _, key := range ordered(o.Record.Confirmed, place) {
		c, row := o.Record.Confirmed[key], o.Rows[key]
		if !c.Given || row.Step == nil || row.Decision == nil && row.Note == "" || row.Note == rows.Begin {
			continue
		}
		way, _, _ := record.SplitKey(key)
		t := Turn{Way: way, Step: row.Step, Decision: row.Decision, Note: row.Note, Words: c.Text, Round: row.In, Stamp: c.Stamp}
		switch {
		case t.Decision != nil && c.Text != "yes" && c.Text != "no":
			continue
		case t.Decision != nil:
			t.Yes = c.Text == "yes"
		case t.Note == rows.Count:
			n, err := strconv.Atoi(c.Text)
			if err != nil || n < 2 || n > row.Step.Round.Most {
				continue
			}
			t.Rounds = n
		}
		o.Turns = append(o.Turns, t)
	}
}

// take works out which of the steps back are left on the way that the job went. What the record does not say stays.
func (o *Order) take() {
	if o.Back == nil {
		return
	}
	answers := o.answers()
	o.Taken = o.Back.On(answers)
	o.Taken.Steps = slices.DeleteFunc(o.Taken.Steps, func(s *procedure.Step) bool { return s.If.Fails(answers) })
}

// answers are what the record says on what decides: the last answer to a question, and whether the values of the last round lie beyond
// their limits. What was looked at is no answer here: that no finding was made does not say that somebody looked.
func (o *Order) answers() map[string]bool {
	out := map[string]bool{}
	for _, job := range []*procedure.Job{o.Out, o.Back} {
		for _, f := range procedure.Finders(job.Steps) {
			switch {
			case f.Decision != nil:
				if said, known := o.said(f.Decision); known {
					out[f.Name] = said
				}
			case f.Readings != nil:
				if beyond, known := o.beyond(f); known {
					out[f.Name] = beyond
				}
			}
		}
	}
	return out
}

// said is the answer to a question in the last round that has one.
func (o *Order) said(d *procedure.Decision) (yes, known bool) {
	last := -1
	for key, c := range o.Record.Confirmed {
		if row := o.Rows[key]; row.Decision == d && c.Given && (c.Text == "yes" || c.Text == "no") && row.In > last {
			yes, known, last = c.Text == "yes", true, row.In
		}
	}
	return yes, known
}

// beyond reports whether one of the values that a finder stands for lies beyond its limits. It is known when one does, or all that have
// limits lie within.
func (o *Order) beyond(f procedure.Finder) (yes, known bool) {
	last := -1
	for key, m := range o.Record.Measured {
		if row := o.Rows[key]; m.Value != "" && stands(f, row) {
			last = max(last, row.In)
		}
	}
	known = last >= 0
	for key, row := range o.Rows {
		if row.In != last || !stands(f, row) || row.Reading.Limits == nil {
			continue
		}
		switch verdict(o.Record.Measured[key]) {
		case Beyond:
			return true, true
		case Unjudged:
			known = false
		}
	}
	return false, known
}

// stands reports whether a row is one of the values that a finder stands for.
func stands(f procedure.Finder, row rows.Line) bool {
	return row.Reading != nil && row.Readings == f.Readings && (f.Reading == nil || row.Reading == f.Reading)
}
