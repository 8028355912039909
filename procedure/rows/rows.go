// Package rows names the rows of a step view: everything in a step that is
// ticked, looked at, confirmed or signed. A record of a job is kept by these names.
package rows

import (
	"fmt"
	"strings"

	"matchmark/procedure"
)

// Row is one row of a step; exactly one of Action, Item and Hold is set.
type Row struct {
	// ID is STEP--VERB-THING, STEP--inspect-THING, STEP--confirm or STEP--sign; a
	// further row of one name ends in _2, _3 and so on.
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
}

// Of lists the rows of a step, in order.
func Of(step *procedure.Step) []Row {
	var out []Row
	used := map[string]int{}
	add := func(r Row, what, thing string) {
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
		switch x := block.(type) {
		case *procedure.Callout:
			for _, a := range x.Actions {
				add(Row{Action: a}, string(a.Verb), a.Object.ID)
			}
		case *procedure.ActionList:
			for _, a := range x.Actions {
				add(Row{Action: a}, string(a.Verb), a.Object.ID)
			}
		case *procedure.Inspection:
			for i := range x.Items {
				add(Row{Item: &x.Items[i], Inspection: x}, "inspect", x.Of.ID)
			}
		case *procedure.Hold:
			for i := range x.Confirmations {
				add(Row{Hold: x, Confirmation: i}, "confirm", "")
			}
			if x.Signature != "" {
				add(Row{Hold: x, Confirmation: -1}, "sign", "")
			}
		}
	}
	return out
}

// ByID lists all rows of a job by their names, which no two of them share.
func ByID(job *procedure.Job) map[string]Row {
	out := map[string]Row{}
	for _, s := range job.Steps {
		for _, r := range Of(s) {
			out[r.ID] = r
		}
	}
	return out
}
