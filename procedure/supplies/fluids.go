package supplies

import (
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
	Step     int
}

// Row is the row of what is renewed.
func (r Renewal) Row() *procedure.Row {
	switch {
	case r.Fastener != nil:
		return &r.Fastener.Row
	case r.Part != nil:
		return &r.Part.Row
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

// renewals lists the single-use fasteners that are undone or fitted, the single-use
// fluids that are drained or filled, and the single-use parts that come off or go on.
func renewals(job *procedure.Job) []Renewal {
	var out []Renewal
	seen := map[*procedure.Row]bool{}
	for _, step := range job.Steps {
		for _, a := range step.Actions() {
			t := job.Machine.Thing(a.Object.ID)
			if t == nil || seen[t.Row] || !usesUp(t, a.Verb) {
				continue
			}
			seen[t.Row] = true
			out = append(out, Renewal{Fastener: t.Fastener, Fluid: t.Fluid, Part: t.Part, Step: step.Number})
		}
	}
	return out
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
