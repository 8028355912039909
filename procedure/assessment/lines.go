// Package assessment is the practical assessment of a job: what an observer can see at each step, what was seen, and how that is
// read back from a tablet's file or from a table of paper sheets. It says what was observed, and leaves the judgement to people.
package assessment

import (
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/state"
)

// Kind is what a line of the sheet is about.
type Kind string

// The kinds of lines.
const (
	Heeds   Kind = "heeds"   // a danger, a warning or a caution
	Point   Kind = "point"   // a key point
	Looks   Kind = "looks"   // something that is looked at
	Reading Kind = "reading" // a value that is read
	Torque  Kind = "torque"  // a fastener that is tightened to its torque
	Holds   Kind = "holds"   // a hold point
)

// Line is one thing that can be seen in a step.
type Line struct {
	// ID names it within the job: the step, and its number there.
	ID   string
	Step *procedure.Step
	Kind Kind
	// Must is true for what ends the attempt when it is missed: a danger, and a hold point that somebody else signs.
	Must bool
	// Evidence is what shows it: "value", "signature", or nothing.
	Evidence string
	// Caution is set for Heeds, Fastener for Torque.
	Caution  *procedure.Caution
	Fastener *procedure.Fastener
	// Words are what else the line says, Accept is what is accepted of what is looked at.
	Words, Accept string
}

// Lines lists what an observer can see in a job, in the order of its steps.
func Lines(job *analysis.Job) []Line {
	var out []Line
	torques := job.Torques()
	for _, s := range job.Steps {
		from := len(out)
		for _, b := range s.Blocks {
			out = append(out, ofBlock(b)...)
		}
		for _, t := range torques {
			if t.Step == s.Number && !t.Fastener.Torque.IsZero() {
				out = append(out, Line{Kind: Torque, Evidence: "value", Fastener: t.Fastener})
			}
		}
		if hold := state.Hold(s); hold != nil {
			out = append(out, Line{Kind: Holds, Must: hold.Signature != "", Evidence: "signature", Words: hold.Title})
		}
		for i := range out[from:] {
			l := &out[from+i]
			l.Step, l.ID = s, s.ID+"."+strconv.Itoa(i+1)
		}
	}
	return out
}

func ofBlock(b procedure.Block) []Line {
	shown := b.Shows()
	switch {
	case shown.Warning != nil && shown.Warning.Signal != procedure.Notice:
		return []Line{{Kind: Heeds, Must: shown.Warning.Signal == procedure.Danger, Caution: shown.Warning}}
	case shown.Point != nil:
		return []Line{{Kind: Point, Words: shown.Point.Point}}
	case shown.Looks != nil:
		var out []Line
		for _, item := range shown.Looks.Items {
			l := Line{Kind: Looks, Words: item.Look, Accept: item.Accept.Plain()}
			if item.Limits != nil {
				l.Evidence = "value"
			}
			out = append(out, l)
		}
		return out
	case shown.Readings != nil:
		var out []Line
		for i := range shown.Readings.Rows {
			out = append(out, Line{Kind: Reading, Evidence: "value", Words: shown.Readings.LabelOf(&shown.Readings.Rows[i])})
		}
		return out
	}
	return nil
}

// Aims are those that a job works towards: a refitting has those of its removal.
func Aims(p *procedure.Procedure) []string {
	if p.Removal != nil {
		return p.Removal.Aims
	}
	return p.Aims
}
