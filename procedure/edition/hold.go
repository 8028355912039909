package edition

import "matchmark/procedure"

// Hold is a hold point that changed.
type Hold struct {
	Kind Kind
	// Step is the step that it ends, of the new edition unless it was removed.
	Step *procedure.Step
	// Old and New are the hold point in the two editions; nil where there is none.
	Old, New *procedure.Hold
	// Changes are what is different in its fields.
	Changes []Change
}

// holds compares the hold points of steps of one name; the first with the first and so on, where variants have their own.
func holds(before, after *procedure.Procedure) []Hold {
	var out []Hold
	for _, s := range after.Steps {
		now := holdsOf(s)
		var old []*procedure.Hold
		if was := before.Step(s.ID); was != nil {
			old = holdsOf(was)
		}
		for i := range max(len(old), len(now)) {
			switch {
			case i >= len(old):
				out = append(out, Hold{Kind: Added, Step: s, New: now[i]})
			case i >= len(now):
				out = append(out, Hold{Kind: Removed, Step: before.Step(s.ID), Old: old[i]})
			default:
				var c changes
				if c.fields(namesOf(before), namesOf(after), old[i], now[i]); len(c) > 0 {
					out = append(out, Hold{Kind: Changed, Step: s, Old: old[i], New: now[i], Changes: c})
				}
			}
		}
	}
	for _, s := range before.Steps {
		if after.Step(s.ID) == nil {
			for _, h := range holdsOf(s) {
				out = append(out, Hold{Kind: Removed, Step: s, Old: h})
			}
		}
	}
	return out
}

func holdsOf(s *procedure.Step) []*procedure.Hold {
	var out []*procedure.Hold
	for _, b := range s.Blocks {
		if h := b.Shows().Hold; h != nil {
			out = append(out, h)
		}
	}
	return out
}
