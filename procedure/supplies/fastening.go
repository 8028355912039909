package supplies

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/fitting"
	"matchmark/procedure/measure"
)

// Wrench is a torque wrench that must be found: no registered one reaches its settings.
type Wrench struct {
	// Settings are torques of the job, each once, ascending.
	Settings []measure.Quantity
	// Steps are the numbers of the steps that need it, ascending.
	Steps []int
}

// Low is the least setting.
func (w Wrench) Low() measure.Quantity { return w.Settings[0] }

// High is the greatest setting.
func (w Wrench) High() measure.Quantity { return w.Settings[len(w.Settings)-1] }

// Several reports whether the settings lie further apart than one wrench is good for:
// it is tested from 20 % of its greatest torque on.
//
// Source: ISO 6789-1, from memory.
func (w Wrench) Several() bool { return w.Low().Times(5).Compare(w.High()) < 0 }

// Treatment is something that goes on threads.
type Treatment struct {
	// Name is the register's word, such as "oil" or "anti-seize".
	Name string
	// Fasteners are those that it goes on, and Steps the steps that need it, both in the order of the steps.
	Fasteners []*procedure.Fastener
	Steps     []int
	// Tool is the consumable of the register that it is; nil for none.
	Tool *procedure.Tool
}

// setting is one torque of a job, with the steps that need it.
type setting struct {
	torque measure.Quantity
	steps  []int
}

func settings(job *procedure.Job) []setting {
	var out []setting
	eachFastener(job, func(f *procedure.Fastener, v procedure.Verb, step int) {
		if v != procedure.Tighten || f.Torque.Dimension() != measure.Torque {
			return
		}
		i := slices.IndexFunc(out, func(s setting) bool { return s.torque.Equal(f.Torque) })
		if i < 0 {
			i = len(out)
			out = append(out, setting{torque: f.Torque})
		}
		out[i].steps = note(out[i].steps, step)
	})
	slices.SortFunc(out, func(a, b setting) int { return a.torque.Compare(b.torque) })
	return out
}

// wrench finds a wrench for each torque of the job: one that a step names, or else
// another registered one, whose steps it notes. It returns what is left over; nil for nothing.
func wrench(job *procedure.Job, steps map[string][]int) *Wrench {
	left := settings(job)
	for _, named := range []bool{true, false} {
		for _, t := range job.Machine.Tools {
			if t.Kind != procedure.HandTool || !job.Has(t.ID) || named != (len(steps[t.ID]) > 0) {
				continue
			}
			left = slices.DeleteFunc(left, func(s setting) bool {
				if !Covers(t, s.torque) {
					return false
				}
				if !named {
					steps[t.ID] = merge(steps[t.ID], s.steps)
				}
				return true
			})
		}
	}
	if len(left) == 0 {
		return nil
	}
	w := &Wrench{}
	for _, s := range left {
		w.Settings = append(w.Settings, s.torque)
		w.Steps = merge(w.Steps, s.steps)
	}
	return w
}

// merge joins two lists of steps, ascending.
func merge(a, b []int) []int {
	all := slices.Concat(a, b)
	slices.Sort(all)
	return slices.Compact(all)
}

// Covers reports whether a tool is a torque wrench with room for the setting: by what it fits, or else by a range in its name.
func Covers(t *procedure.Tool, torque measure.Quantity) bool {
	if !t.Use.Empty() {
		return t.Use.Reaches(torque) && (len(t.Use.Verbs) == 0 || slices.Contains(t.Use.Verbs, procedure.Tighten))
	}
	u := fitting.Of(t)
	return u.Reaches(torque)
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
			out = append(out, Treatment{Name: name, Tool: consumable(job, name)})
		}
		t := &out[i]
		t.Steps = note(t.Steps, step)
		if !slices.Contains(t.Fasteners, f) {
			t.Fasteners = append(t.Fasteners, f)
		}
	})
	return out
}

// consumable finds the treatment among the consumables: one whose name begins with it, such as "Anti-seize paste", or whose id it is.
// A word further on says what the thing is like: penetrating oil is not the oil of a thread.
func consumable(job *procedure.Job, treatment string) *procedure.Tool {
	words := strings.ToLower(treatment)
	i := slices.IndexFunc(job.Machine.Tools, func(t *procedure.Tool) bool {
		rest, begins := strings.CutPrefix(strings.ToLower(t.Name), words)
		next, _ := utf8.DecodeRuneInString(rest)
		return t.Kind == procedure.Consumable && job.Has(t.ID) && (begins && !unicode.IsLetter(next) || strings.EqualFold(t.ID, strings.ReplaceAll(words, " ", "-")))
	})
	if i < 0 {
		return nil
	}
	return job.Machine.Tools[i]
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
