package workorder

import (
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
