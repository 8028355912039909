// Package rows names the rows of a step view: everything in a step that is
// ticked, looked at, confirmed or signed. A record of a job is kept by these names.
package rows

import (
	"fmt"
	"strconv"
	"strings"

	"matchmark/procedure"
)

// Line is one row of a step; exactly one of Action, Item, Hold, Reading, Decision and Wait is set, or none for one of the notes
// that a tablet makes of a step: Skip, Begin, Round and More.
type Line struct {
	// ID is STEP--VERB-THING, STEP--inspect-THING, STEP--read-NAME, STEP--decide-NAME, STEP--wait, STEP--confirm or
	// STEP--sign; a further row of one name ends in _2, _3 and so on. Notes are STEP--skip and STEP--begin-NAME, and of the
	// first and the last step of a round STEP--round and STEP--more.
	ID     string
	Step   *procedure.Step
	Action *procedure.Action
	// Item is what is looked at, and Inspection the block that it stands in.
	Item       *procedure.InspectionItem
	Inspection *procedure.Inspection
	// Hold is the hold point that the row is a part of. Confirmation counts its
	// confirmations from 0; it is -1 for the row that is signed.
	Hold         *procedure.Hold
	Confirmation int
	// Reading is a value to write down, or one Point of a series, counted from 0; Readings is the block that it stands in.
	Reading  *procedure.Reading
	Readings *procedure.Readings
	Point    int
	Decision *procedure.Decision
	Wait     *procedure.Wait
	// Note says what a tablet notes of the step under this name.
	Note Note
	// In is the round that the row belongs to, counted from 1; 0 for a row of a step that is in no round.
	In int
}

// Note is something that a tablet writes down about a step and that is no row on its page.
type Note string

// The notes.
const (
	Skip  Note = "skip"  // why the step, or a block of it, was left out
	Begin Note = "begin" // that a series was begun
	Count Note = "round" // which round is gone through
	More  Note = "more"  // who let the work go on without the round's end
)

// roundMark stands between the name of a row or a step and the round, from the second one on.
const roundMark = "_r"

// InRound is the name of a row or a step in a round.
func InRound(id string, round int) string {
	if round < 2 {
		return id
	}
	return id + roundMark + strconv.Itoa(round)
}

// SplitRound takes the round off the name of a row or a step; it is 1 for a name without one.
func SplitRound(id string) (name string, round int) {
	if at := strings.LastIndex(id, roundMark); at > 0 {
		if n, err := strconv.Atoi(id[at+len(roundMark):]); err == nil && n > 1 {
			return id[:at], n
		}
	}
	return id, 1
}

// List lists the rows of a step, in order.
func List(step *procedure.Step) []Line {
	var out []Line
	used := map[string]int{}
	add := func(r Line, what, thing string) {
		r.ID, r.Step = step.ID+"--"+what, step
		if thing != "" {
			r.ID += "-" + thing
		}
		r.ID = strings.ReplaceAll(r.ID, " ", "-")
		used[r.ID]++
		if n := used[r.ID]; n > 1 {
			r.ID = fmt.Sprintf("%s_%d", r.ID, n)
		}
		out = append(out, r)
	}
	for _, block := range step.Blocks {
		shown := block.Shows()
		for _, a := range shown.Actions {
			add(Line{Action: a}, string(a.Verb), a.Object.ID)
		}
		if x := shown.Looks; x != nil {
			for i := range x.Items {
				add(Line{Item: &x.Items[i], Inspection: x}, "inspect", x.Of.ID)
			}
		}
		if x := shown.Readings; x != nil {
			for i := range x.Rows {
				for p := range x.Rows[i].Points() {
					add(Line{Reading: &x.Rows[i], Readings: x, Point: p}, "read", x.Rows[i].Name)
				}
			}
		}
		if x := shown.Decision; x != nil {
			add(Line{Decision: x}, "decide", x.Name)
		}
		if x := shown.Wait; x != nil {
			add(Line{Wait: x}, "wait", "")
		}
		if x := shown.Hold; x != nil {
			for i := range x.Confirmations {
				add(Line{Hold: x, Confirmation: i}, "confirm", "")
			}
			if x.Signature != "" {
				add(Line{Hold: x, Confirmation: -1}, "sign", "")
			}
		}
	}
	return out
}

// ByID lists all rows of a job by their names, which no two of them share.
func ByID(job *procedure.Job) map[string]Line {
	out := map[string]Line{}
	for i, s := range job.Steps {
		rounds := 1
		if s.Round.First != "" {
			rounds = s.Round.Most
		}
		for _, r := range append(List(s), notes(job, i)...) {
			for n := 1; n <= rounds; n++ {
				if s.Round.First != "" {
					r.In = n
				}
				if r.Note == Count || r.Note == More {
					out[r.ID] = r
				} else {
					out[InRound(r.ID, n)] = r
				}
			}
		}
	}
	return out
}

// notes lists what a tablet may note of the i-th step.
func notes(job *procedure.Job, i int) []Line {
	s := job.Steps[i]
	var out []Line
	note := func(n Note, of string) {
		id := s.ID + "--" + string(n)
		if of != "" {
			id += "-" + of
		}
		out = append(out, Line{ID: id, Step: s, Note: n})
	}
	conditional := s.If != ""
	for _, b := range s.Blocks {
		conditional = conditional || b.Base().If != ""
		if x := b.Shows().Readings; x != nil {
			for k := range x.Rows {
				if x.Rows[k].Points() > 1 {
					note(Begin, x.Rows[k].Name)
				}
			}
		}
	}
	if conditional {
		note(Skip, "")
	}
	if s.Round.First != "" {
		if i == 0 || job.Steps[i-1].Round.First != s.Round.First {
			note(Count, "")
		}
		if i+1 == len(job.Steps) || job.Steps[i+1].Round.First != s.Round.First {
			note(More, "")
		}
	}
	return out
}
