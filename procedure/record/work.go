package record

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// SplitKey takes WAY/NAME apart; ok is false for any other text.
func SplitKey(key string) (way Phase, name string, ok bool) {
	before, name, ok := strings.Cut(key, "/")
	return Phase(before), name, ok && name != "" && slices.Contains(Phases, Phase(before))
}

// SplitWork takes the key of a spell of work apart: WAY/STEP@TABLET@FROM.
func SplitWork(key string) (way Phase, step, tablet string, from int64, ok bool) {
	parts := strings.Split(key, "@")
	if len(parts) != 3 {
		return "", "", "", 0, false
	}
	way, step, ok = SplitKey(parts[0])
	from, err := strconv.ParseInt(parts[2], 10, 64)
	return way, step, parts[1], from, ok && err == nil
}

// StepTime is how long one step was worked on.
type StepTime struct {
	// Worked is the time that the spells of all tablets cover together: two tablets
	// that show one step at the same time count once.
	Worked time.Duration
	// Spells is how many pieces that time has; Begun and Ended are the ends of the whole, in milliseconds since 1970.
	Spells       int
	Begun, Ended int64
}

// Paused is the time between begin and end that nobody worked on the step.
func (s StepTime) Paused() time.Duration {
	return time.Duration(s.Ended-s.Begun)*time.Millisecond - s.Worked
}

// Times returns the time of every step that was worked on, by WAY/STEP.
func (r *Record) Times() map[string]StepTime {
	spells := map[string][]Interval{}
	for key, s := range r.Work {
		if way, step, _, _, ok := SplitWork(key); ok && s.To > s.From {
			at := string(way) + "/" + step
			spells[at] = append(spells[at], s)
		}
	}
	out := map[string]StepTime{}
	for at, list := range spells {
		out[at] = together(list)
	}
	return out
}

// together joins spells that overlap or touch.
func together(list []Interval) StepTime {
	slices.SortFunc(list, func(a, b Interval) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To)) })
	out := StepTime{Begun: list[0].From, Ended: list[0].From - 1}
	for _, s := range list {
		if s.From > out.Ended {
			out.Spells++
			out.Worked += time.Duration(s.To-s.From) * time.Millisecond
		} else if s.To > out.Ended {
			out.Worked += time.Duration(s.To-out.Ended) * time.Millisecond
		}
		out.Ended = max(out.Ended, s.To)
	}
	return out
}
