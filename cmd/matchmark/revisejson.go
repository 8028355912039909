package main

import (
	"matchmark/procedure"
	"matchmark/procedure/feedback"
	"matchmark/procedure/revise"
)

// revisedJSON are the revised times for scripts, in minutes.
type revisedJSON struct {
	Steps []revisedStepJSON `json:"steps"`
	// Unplaced are the records that belong to no step.
	Unplaced []leftOutJSON `json:"unplaced"`
	Pace     *foundJSON    `json:"commonPace"`
	Rate     *foundJSON    `json:"learningRate"`
	// Said is what classes said of the steps.
	Said []saidJSON `json:"said"`
}

// saidJSON is how many learners said so of a step.
type saidJSON struct {
	Procedure string   `json:"procedure"`
	Step      string   `json:"step"`
	Clear     int      `json:"clear"`
	Asked     int      `json:"asked"`
	Wrong     int      `json:"wrong"`
	Longer    int      `json:"longer"`
	Remarks   []string `json:"remarks"`
	Look      []string `json:"look"`
}

type revisedStepJSON struct {
	Step string `json:"step"`
	File string `json:"file"`
	// Procedures are those that the step belongs to.
	Procedures []string      `json:"procedures"`
	Old        *estimateJSON `json:"old"`
	New        *estimateJSON `json:"new"`
	Changed    bool          `json:"changed"`
	Records    int           `json:"records"`
	Used       int           `json:"used"`
	Before     int           `json:"countedBefore"`
	Mean       *float64      `json:"mean"`
	Low        *float64      `json:"low"`
	High       *float64      `json:"high"`
	LeftOut    []leftOutJSON `json:"leftOut"`
}

type estimateJSON struct {
	Optimistic  float64 `json:"optimistic"`
	Likely      float64 `json:"likely"`
	Pessimistic float64 `json:"pessimistic"`
}

// leftOutJSON is a record that does not count, and why. Line is 0 for one that is remembered from an earlier run.
type leftOutJSON struct {
	File    string  `json:"file"`
	Line    int     `json:"line"`
	Step    string  `json:"step"`
	Minutes float64 `json:"minutes"`
	Why     string  `json:"why"`
	Says    string  `json:"says"`
}

// foundJSON is a figure, from 0 to 1, with the interval that holds it in 95 of 100 cases.
type foundJSON struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// revisedForJSON returns a report for scripts. Lists are lists, also when they are empty.
func revisedForJSON(report revise.Report, places []recordPlace, said []feedback.Said) revisedJSON {
	out := revisedJSON{Said: []saidJSON{}, Steps: []revisedStepJSON{}, Unplaced: leftOutForJSON(report.Unplaced, places)}
	for _, v := range report.Revisions {
		step := revisedStepJSON{
			Step: v.Step.ID, File: v.Step.Span.File.Name, New: estimateForJSON(v.New), Changed: v.Changed,
			Records: v.Records, Used: v.Used, Before: v.Before, LeftOut: leftOutForJSON(v.LeftOut, places),
		}
		for _, p := range v.Procedures {
			step.Procedures = append(step.Procedures, p.ID)
		}
		if v.Writable {
			step.Old = estimateForJSON(v.Old)
		}
		if v.Used > 0 {
			mean := hundredths(v.Mean)
			step.Mean = &mean
		}
		if v.High > 0 {
			low, high := hundredths(v.Low), hundredths(v.High)
			step.Low, step.High = &low, &high
		}
		out.Steps = append(out.Steps, step)
	}
	for _, s := range said {
		out.Said = append(out.Said, saidJSON{
			Procedure: s.Procedure.ID, Step: s.Step.ID, Clear: s.Clear, Asked: s.Asked, Wrong: s.Wrong, Longer: s.Longer,
			Remarks: append([]string{}, s.Remarks...), Look: english(look(&s, report)),
		})
	}
	if p := report.Pace; p.Known {
		out.Pace = &foundJSON{hundredths(p.Correlation), hundredths(p.Low), hundredths(p.High)}
	}
	if f := report.Learning; f.Known {
		out.Rate = &foundJSON{hundredths(f.Rate), hundredths(f.Low), hundredths(f.High)}
	}
	return out
}

func estimateForJSON(e procedure.Estimate) *estimateJSON {
	return &estimateJSON{hundredths(e.Optimistic), hundredths(e.Likely), hundredths(e.Pessimistic)}
}

func leftOutForJSON(all []revise.LeftOut, places []recordPlace) []leftOutJSON {
	out := []leftOutJSON{}
	for _, l := range all {
		j := leftOutJSON{Step: l.Record.Step, Minutes: hundredths(l.Record.Minutes), Why: string(l.Why), Says: why(l).String()}
		if l.Record.Line >= 0 {
			j.File, j.Line = places[l.Record.Line].file, places[l.Record.Line].line
		}
		out = append(out, j)
	}
	return out
}
