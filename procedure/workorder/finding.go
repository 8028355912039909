package workorder

import (
	"cmp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/supplies"
)

// Finding is one finding with its place.
type Finding struct {
	// Number counts from 1 in the order of the work order; the gated checklist names findings by it.
	Number int
	// Key is its name in the record.
	Key string
	record.Finding
	At record.PlacedFinding
	// GateGone is true when the step that was to wait has gone; the whole refitting then waits.
	GateGone bool
	// Repaired says that the repair is done; Repair who did it, and the note.
	Repaired bool
	Repair   record.Repair
	// Look is the trainer's look at a finding that stops the work; nil for any other.
	Look *Signature
}

// Stops reports whether nothing goes on until somebody in charge has looked at it. That it is repaired says that somebody has, and proves it no
// more than a name on the tablet does.
func (f *Finding) Stops() bool { return f.Look != nil && !f.Look.Given() && !f.Unproved() }

// Unproved reports whether nothing but what was written on a tablet lets the work go on that it stops.
func (f *Finding) Unproved() bool {
	return f.Look != nil && !f.Look.Given() && (f.Look.Written.Given || f.Repaired)
}

// Open reports whether the refitting, or all work, still waits for the repair.
func (f *Finding) Open() bool { return !f.Repaired && f.Severity != record.Watch }

// urgency orders findings by what waits for them: 0 for all work, 1 for the whole way
// back, then the steps of the refitting, and last nothing.
func (f *Finding) urgency() int {
	switch {
	case f.Stops():
		return 0
	case f.Severity == record.Watch:
		return 1 << 30
	case f.At.Before == nil:
		return 1
	}
	return 1 + f.At.Before.Number
}

func (o *Order) findings(others []string) {
	for key, f := range o.Record.Findings {
		if f.Withdrawn {
			o.Withdrawn++
			continue
		}
		repair := o.Record.Repairs[key]
		made := &Finding{
			Key: key, Finding: f, At: o.Placement.Findings[key], Repaired: repair.Done, Repair: repair,
			GateGone: slices.ContainsFunc(o.Lost, func(l record.Lost) bool {
				return l.Map == "findings" && l.Key == key && l.Reason == record.GateGone
			}),
		}
		if f.Severity == record.StopsWork {
			made.Look = o.signature(record.StopKey(key), others)
		}
		o.Findings = append(o.Findings, made)
	}
	slices.SortFunc(o.Findings, func(a, b *Finding) int {
		return cmp.Or(
			cmp.Compare(a.urgency(), b.urgency()),
			cmp.Compare(slices.Index(record.Severities, a.Severity), slices.Index(record.Severities, b.Severity)),
			cmp.Compare(a.Found, b.Found), cmp.Compare(a.Key, b.Key),
		)
	})
	for i, f := range o.Findings {
		f.Number = i + 1
	}
}

// Gated lists the open findings that a step of the refitting waits for; with a nil
// step those that the whole refitting waits for, all that stops the work among them.
func (o *Order) Gated(step *procedure.Step) []*Finding {
	var out []*Finding
	for _, f := range o.Findings {
		if !f.Open() {
			continue
		}
		before := f.At.Before
		if f.Stops() {
			before = nil
		}
		if step == nil && before == nil || step != nil && before != nil && step.ID == before.ID {
			out = append(out, f)
		}
	}
	return out
}

// Want is a thing that must be ordered or repaired.
type Want struct {
	// Name is what the finding calls it; Thing is nil for one that no register has.
	Name  string
	Thing *procedure.Thing
	// Findings are the numbers of the findings on it, ascending.
	Findings []int
}

// wants lists what open findings are about. Whether a thing is repaired or
// renewed is for people to say: a finding has words for the repair, and no more.
func (o *Order) wants() {
	for _, f := range o.Findings {
		if !f.Open() {
			continue
		}
		name := nameOf(f)
		i := slices.IndexFunc(o.Wants, func(w Want) bool {
			return f.At.Thing != nil && w.Thing == f.At.Thing || f.At.Thing == nil && w.Thing == nil && w.Name == name
		})
		if i < 0 {
			i, o.Wants = len(o.Wants), append(o.Wants, Want{Name: name, Thing: f.At.Thing})
		}
		o.Wants[i].Findings = append(o.Wants[i].Findings, f.Number)
	}
}

func nameOf(f *Finding) string {
	if f.At.Thing != nil {
		return f.At.Thing.Row.Name
	}
	return cmp.Or(f.Other, f.Name, f.Thing)
}

// Renewal is a single-use thing, with what was found on it besides.
type Renewal struct {
	supplies.Renewal
	Findings []int
}

func (o *Order) renewals() {
	job := o.Taken
	if job == nil {
		job = o.Out
	}
	for _, r := range slices.Concat(supplies.For(job).Renewals, supplies.GoIn(job)) {
		id := r.Row().ID
		out := Renewal{Renewal: r}
		for _, w := range o.Wants {
			if w.Thing != nil && w.Thing.Row.ID == id {
				out.Findings = w.Findings
			}
		}
		o.Renewals = append(o.Renewals, out)
	}
}
