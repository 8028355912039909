package supplies

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Drain is a fluid that comes out into a container.
type Drain struct {
	Fluid *procedure.Fluid
	Step  int
	// Container is nil when the step names none that is registered.
	Container *procedure.Tool
	// Held is what the container holds after this step when nobody empties it
	// in between; zero when a quantity on the way is not stated.
	Held measure.Quantity
	// Fit compares Held with the container's volume.
	Fit Fit
}

// Fit says whether a container is large enough.
type Fit int

// The answers to whether a container is large enough.
const (
	FitUnknown Fit = iota // a quantity or the volume is not stated
	FitsIn
	Overflows
)

// Renewal is something that does not go back: a new one goes in. Exactly one pointer is set.
type Renewal struct {
	Fastener *procedure.Fastener
	Fluid    *procedure.Fluid
	Part     *procedure.Part
	Tool     *procedure.Tool // a consumable that goes in with what is fitted, such as a sealing ring
	Step     int
}

// Row is the row of what is renewed.
func (r Renewal) Row() *procedure.Row {
	switch {
	case r.Fastener != nil:
		return &r.Fastener.Row
	case r.Part != nil:
		return &r.Part.Row
	case r.Tool != nil:
		return &r.Tool.Row
	}
	return &r.Fluid.Row
}

// drains follows what each container holds through the steps.
func drains(job *procedure.Job) []Drain {
	var out []Drain
	held := map[*procedure.Tool]content{}
	for _, step := range job.Steps {
		for _, a := range step.Actions() {
			t := job.Machine.Thing(a.Object.ID)
			if a.Verb != procedure.Drain || t == nil || t.Fluid == nil {
				continue
			}
			d := Drain{Fluid: t.Fluid, Step: step.Number, Container: container(job, a)}
			if d.Container != nil {
				c := held[d.Container].with(t.Fluid.Quantity)
				held[d.Container] = c
				d.Held, d.Fit = c.volume, c.fit(d.Container.Quantity)
			}
			out = append(out, d)
		}
	}
	return out
}

func container(job *procedure.Job, a *procedure.Action) *procedure.Tool {
	for _, r := range a.With {
		if t := job.Machine.Thing(r.ID); t != nil && t.Tool != nil {
			return t.Tool
		}
	}
	return nil
}

// content is what a container holds so far.
type content struct {
	volume  measure.Quantity
	unknown bool // a quantity on the way was not stated, or does not add up
	any     bool
}

func (c content) with(q measure.Quantity) content {
	switch {
	case c.unknown || q.IsZero():
		return content{unknown: true}
	case !c.any:
		return content{volume: q, any: true}
	}
	sum, err := c.volume.Add(q)
	if err != nil {
		return content{unknown: true}
	}
	return content{volume: sum, any: true}
}

func (c content) fit(volume measure.Quantity) Fit {
	switch {
	case c.unknown || volume.IsZero() || !c.volume.SameDimension(volume):
		return FitUnknown
	case c.volume.Compare(volume) > 0:
		return Overflows
	}
	return FitsIn
}

// GoIn lists the consumables that are kept for fitting something: they go in with it, and new ones each time.
func GoIn(job *procedure.Job) (out []Renewal) {
	for _, t := range job.Machine.Tools {
		if !goesIn(t) {
			continue
		}
		i := slices.IndexFunc(job.Steps, func(s *procedure.Step) bool { return slices.ContainsFunc(s.Actions(), t.Use.Names) })
		if i >= 0 {
			out = append(out, Renewal{Tool: t, Step: job.Steps[i].Number})
		}
	}
	return out
}

func goesIn(t *procedure.Tool) bool {
	return t.Kind == procedure.Consumable && len(t.Use.Things) > 0 && len(t.Use.Verbs) == 1 && putsIn(t.Use.Verbs[0])
}

func putsIn(v procedure.Verb) bool { return v == procedure.Fit || v == procedure.Fill }

// later reports whether a consumable waits for the refitting: all that it goes in with in this job is fitted there again.
func later(job *procedure.Job, t *procedure.Tool) bool {
	back := job.Procedure.Refitting
	if back == nil || !goesIn(t) {
		return false
	}
	fitted := map[string]bool{}
	for _, s := range back.Steps {
		for _, a := range s.Actions() {
			fitted[a.Object.ID] = fitted[a.Object.ID] || putsIn(a.Verb)
		}
	}
	for _, s := range job.Steps {
		for _, a := range s.Actions() {
			if t.Use.Names(a) && !fitted[a.Object.ID] {
				return false
			}
		}
	}
	return true
}

// renewals lists the single-use fasteners that are undone or fitted, the single-use
// fluids that are drained or filled, and the single-use parts that come off or go on. Where a refitting follows, what only
// goes in there is laid out there. A new one that is registered as a consumable of its own stands among those, and not twice.
func renewals(job *procedure.Job, tools map[string][]int) []Renewal {
	var out []Renewal
	seen := map[*procedure.Row]bool{}
	for _, step := range job.Steps {
		for _, a := range step.Actions() {
			t := job.Machine.Thing(a.Object.ID)
			if t == nil || seen[t.Row] || !usesUp(t, a.Verb) || job.Procedure.Refitting != nil && !putsIn(a.Verb) || ownRow(job, t, a, tools) {
				continue
			}
			seen[t.Row] = true
			out = append(out, Renewal{Fastener: t.Fastener, Fluid: t.Fluid, Part: t.Part, Step: step.Number})
		}
	}
	return out
}

// ownRow reports whether what goes in new with an act lies ready as a consumable with a row of its own, which says how much there is where
// one piece is not enough.
func ownRow(job *procedure.Job, thing *procedure.Thing, a *procedure.Action, tools map[string][]int) bool {
	one := thing.Fluid == nil && (thing.Fastener == nil || thing.Fastener.Count <= 1)
	return slices.ContainsFunc(job.Machine.Tools, func(t *procedure.Tool) bool {
		return goesIn(t) && t.Use.Names(a) && len(tools[t.ID]) > 0 && (one || !t.Quantity.IsZero())
	})
}

// usesUp reports whether the verb spends a single-use thing. A tab washer is
// spent when it is flattened, so loosening counts.
func usesUp(t *procedure.Thing, v procedure.Verb) bool {
	switch v {
	case procedure.Remove, procedure.Loosen, procedure.Fit:
		return t.Fastener != nil && t.Fastener.SingleUse || t.Part != nil && t.Part.SingleUse && v != procedure.Loosen
	case procedure.Drain, procedure.Fill:
		return t.Fluid != nil && t.Fluid.SingleUse
	}
	return false
}
