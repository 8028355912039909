package refit

import (
	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Torque is one row of the torque sheet.
type Torque struct {
	Fastener *procedure.Fastener
	// Step is the number of the step in which it is tightened.
	Step int
	// Low and High bound the torque by its tolerance, in the torque's own unit; zero without one.
	Low, High measure.Quantity
	// Place counts, from 1, the fasteners that are tightened in this step.
	Place int
	// New is true when a new one goes in.
	New bool
}

// TorqueSheet lists the fasteners that a job tightens, in the order in which it
// does. Unthreaded kinds are left out unless they have a torque.
func TorqueSheet(job *procedure.Job) []Torque {
	var out []Torque
	for _, s := range job.Steps {
		place := 0
		for _, a := range s.Actions() {
			if a.Verb != procedure.Tighten || job.Machine == nil {
				continue
			}
			t := job.Machine.Thing(a.Object.ID)
			if t == nil || t.Fastener == nil || !t.Fastener.Kind.Threaded() && t.Fastener.Torque.IsZero() {
				continue
			}
			f := t.Fastener
			place++
			row := Torque{Fastener: f, Step: s.Number, Place: place, New: f.SingleUse}
			if !f.Torque.IsZero() && !f.Tolerance.IsZero() {
				// A tolerance of the wrong dimension is reported where it is read.
				row.Low, row.High, _ = f.Torque.Window(f.Tolerance)
			}
			out = append(out, row)
		}
	}
	return out
}
