package supplies

import "matchmark/procedure"

// Bag holds fasteners that come out.
type Bag struct {
	// Name is the register's bag. It is empty for fasteners without one: those
	// of one step share a bag that the mechanic names.
	Name string
	// Step is the first step that needs the bag.
	Step  int
	Items []BagItem
}

// BagItem is a fastener in a bag.
type BagItem struct {
	*procedure.Fastener
	Step int
}

// Pieces is how many single things the bag holds: fasteners, and the washers and nuts that belong to them.
func (b Bag) Pieces() int {
	n := 0
	for _, i := range b.Items {
		n += i.Fastener.Pieces()
	}
	return n
}

// Label goes on a thing that comes off, so that it goes back where and how it was. Exactly one pointer is set.
type Label struct {
	Part       *procedure.Part
	Connection *procedure.Connection
	Step       int
}

// Bags lists the bags for all fasteners that are removed, in the order of the steps. One that the same job fits again, such as a drain
// plug, lies in no bag when the bags are counted.
func Bags(job *procedure.Job) []Bag {
	type key struct {
		name string
		step int // told apart only when the bag has no name
	}
	at := map[key]int{}
	seen := map[*procedure.Fastener]bool{}
	var bags []Bag
	for _, step := range job.Steps {
		for _, a := range step.Actions() {
			t := job.Machine.Thing(a.Object.ID)
			if a.Verb != procedure.Remove || t == nil || t.Fastener == nil || t.Fastener.Brought || seen[t.Fastener] || goesBackIn(job, t.Fastener) {
				continue
			}
			seen[t.Fastener] = true
			k := key{name: t.Fastener.Bag}
			if k.name == "" {
				k.step = step.Number
			}
			i, ok := at[k]
			if !ok {
				i = len(bags)
				at[k] = i
				bags = append(bags, Bag{Name: k.name, Step: step.Number})
			}
			bags[i].Items = append(bags[i].Items, BagItem{t.Fastener, step.Number})
		}
	}
	return bags
}

// goesBackIn reports whether the job itself fits all of a fastener after it was taken out, whatever is found.
func goesBackIn(job *procedure.Job, f *procedure.Fastener) bool {
	in := false
	for _, step := range job.Steps {
		for _, b := range step.Blocks {
			for _, a := range b.Shows().Actions {
				if a.Object.ID != f.ID {
					continue
				}
				switch a.Verb {
				case procedure.Remove:
					in = false
				case procedure.Fit:
					in = a.Some(f) == 0 && step.If == "" && b.Base().If == ""
				}
			}
		}
	}
	return in
}

// Labels lists the parts that come off and the connections that come apart
// with a mark of their own, in the order of the steps.
func Labels(job *procedure.Job) []Label {
	var out []Label
	seen := map[*procedure.Row]bool{}
	for _, step := range job.Steps {
		for _, a := range step.Actions() {
			t := job.Machine.Thing(a.Object.ID)
			if t == nil || seen[t.Row] || !comesOff(job, t, a.Verb) {
				continue
			}
			seen[t.Row] = true
			out = append(out, Label{Part: t.Part, Connection: t.Connection, Step: step.Number})
		}
	}
	return out
}

func comesOff(job *procedure.Job, t *procedure.Thing, v procedure.Verb) bool {
	switch v {
	case procedure.Remove:
		return t.Part != nil && !t.Part.SingleUse && !t.Part.Brought // what is thrown away, or goes back to the stores, needs no label
	case procedure.Lift:
		return t.Part != nil && job.Procedure.Removal == nil // a refitting lifts parts home
	case procedure.Disconnect:
		return t.Connection != nil && t.Connection.Mark != ""
	}
	return false
}
