package supplies

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Wrenches is what the torque wrenches of a job must be able to do.
type Wrenches struct {
	// Settings are the torques of the job, each once, ascending.
	Settings []measure.Quantity
	// Steps are the numbers of the steps that tighten to a torque, ascending.
	Steps []int
	// Tool is the registered wrench whose name states a range that has room for all settings; nil for none.
	Tool *procedure.Tool
}

// Low and High bound the settings.
func (w Wrenches) Low() measure.Quantity { return w.Settings[0] }

// High is the greatest setting.
func (w Wrenches) High() measure.Quantity { return w.Settings[len(w.Settings)-1] }

// Several reports whether the settings lie further apart than one wrench is good for:
// it is tested from 20 % of its greatest torque on.
//
// Source: ISO 6789-1, from memory.
func (w Wrenches) Several() bool { return w.Low().Times(5).Compare(w.High()) < 0 }

// Treatment is something that goes on threads.
type Treatment struct {
	// Name is the register's word, such as "oil" or "anti-seize".
	Name string
	// Fasteners are those that it goes on, and Steps the steps that need it, both in the order of the steps.
	Fasteners []*procedure.Fastener
	Steps     []int
}

// wrenches returns nil for a job that tightens nothing to a torque.
func wrenches(job *procedure.Job) *Wrenches {
	var w Wrenches
	eachFastener(job, func(f *procedure.Fastener, v procedure.Verb, step int) {
		if v != procedure.Tighten || f.Torque.Dimension() != measure.Torque {
			return
		}
		w.Steps = note(w.Steps, step)
		if !slices.ContainsFunc(w.Settings, f.Torque.Equal) {
			w.Settings = append(w.Settings, f.Torque)
		}
	})
	if len(w.Settings) == 0 {
		return nil
	}
	slices.SortFunc(w.Settings, measure.Quantity.Compare)
	for _, t := range job.Machine.Tools {
		if w.Tool == nil && job.Has(t.ID) && t.Kind == procedure.HandTool && covers(t.Name, w.Low(), w.High()) {
			w.Tool = t
		}
	}
	return &w
}

// torqueRange finds "40 N·m to 200 N·m" or "40–200 Nm" in a tool's name.
var torqueRange = regexp.MustCompile(`([0-9.,]+)\s*(?:N·?m|lbf·ft)?\s*(?:to|bis|-|–|\.\.\.|…)\s*([0-9.,]+)\s*(N·?m|lbf·ft)`)

// covers reports whether a tool's name states a range of torque with room for both.
func covers(name string, low, high measure.Quantity) bool {
	found := torqueRange.FindStringSubmatch(name)
	if found == nil {
		return false
	}
	var bounds [2]measure.Quantity
	for i := range bounds {
		var err error
		if bounds[i], err = measure.Parse(strings.ReplaceAll(found[i+1], ",", ".") + " " + found[3]); err != nil {
			return false
		}
	}
	return bounds[0].Compare(low) <= 0 && high.Compare(bounds[1]) <= 0
}

// treatments lists what goes on the threads of the fasteners that a job fits or tightens.
func treatments(job *procedure.Job) []Treatment {
	var out []Treatment
	eachFastener(job, func(f *procedure.Fastener, v procedure.Verb, step int) {
		name := strings.TrimSpace(f.Treatment)
		if v != procedure.Fit && v != procedure.Tighten || !putOn(name) {
			return
		}
		i := slices.IndexFunc(out, func(t Treatment) bool { return strings.EqualFold(t.Name, name) })
		if i < 0 {
			i = len(out)
			out = append(out, Treatment{Name: name})
		}
		t := &out[i]
		t.Steps = note(t.Steps, step)
		if !slices.Contains(t.Fasteners, f) {
			t.Fasteners = append(t.Fasteners, f)
		}
	})
	return out
}

// putOn reports whether a treatment has to lie ready: a thread that is left dry,
// or that came coated, needs nothing. Words that authors use in English and German.
func putOn(treatment string) bool {
	words := strings.ToLower(treatment)
	for _, start := range []string{"dry", "none", "zinc", "trocken", "ohne", "verzinkt"} {
		if strings.HasPrefix(words, start) {
			return false
		}
	}
	return words != ""
}

// eachFastener calls f for each action on a fastener, in order.
func eachFastener(job *procedure.Job, f func(f *procedure.Fastener, v procedure.Verb, step int)) {
	for _, step := range job.Steps {
		for _, a := range step.Actions() {
			if t := job.Machine.Thing(a.Object.ID); t != nil && t.Fastener != nil {
				f(t.Fastener, a.Verb, step.Number)
			}
		}
	}
}
