package assessment

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/record"
)

// Format and Version name the form of a kept assessment.
const (
	Format  = "matchmark assessment"
	Version = 1
)

// Role is what a learner of a pair did.
type Role string

// The roles.
const (
	Does   Role = "does"
	Checks Role = "checks"
)

// Verdict is how far a learner reached an aim, as the observer saw it.
type Verdict string

// The verdicts.
const (
	Alone    Verdict = "alone"
	WithHelp Verdict = "help"
	NotYet   Verdict = "not-yet"
)

// Verdicts lists them, the best first.
var Verdicts = []Verdict{Alone, WithHelp, NotYet}

// Assessment is what one observer saw of one learner at one attempt.
type Assessment struct {
	Format    string       `json:"format"`
	Version   int          `json:"version"`
	Procedure string       `json:"procedure"` // the removal, for both ways
	Way       record.Phase `json:"way"`
	Variant   string       `json:"variant,omitempty"`
	Learner   string       `json:"learner,omitempty"`
	Observer  string       `json:"observer,omitempty"`
	Role      Role         `json:"role"`
	Attempt   int          `json:"attempt"`
	// Finished is when it was written down, by RFC 3339; a table says the day alone.
	Finished string `json:"finished"`
	// Record is the number of the job's record, or of its photos, as the observer wrote it.
	Record string `json:"record,omitempty"`
	Aims   []Aim  `json:"aims"`
	Lines  []Seen `json:"lines"`
	// Again is what is to be done again, and by when.
	Again string `json:"again,omitempty"`
}

// Aim is how far one aim was reached. Words are those that stood on the sheet, so that a verdict does not move to another aim;
// a table has none.
type Aim struct {
	Number  int     `json:"number"`
	Words   string  `json:"words,omitempty"`
	Verdict Verdict `json:"verdict"`
}

// Seen is one line of the sheet as it was filled in.
type Seen struct {
	Line     string `json:"line"`
	Must     bool   `json:"must,omitempty"`
	Seen     bool   `json:"seen"`
	Evidence string `json:"evidence,omitempty"`
}

// JSON is the assessment as a file.
func (a *Assessment) JSON() ([]byte, error) {
	content, err := json.MarshalIndent(a, "", " ")
	return append(content, '\n'), err
}

// Missed reports whether a line was missed that ends the attempt.
func (a *Assessment) Missed() bool {
	return slices.ContainsFunc(a.Lines, func(s Seen) bool { return s.Must && !s.Seen })
}

// Of is the verdict on an aim; empty when the aim was not rated, or stood there with other words.
func (a *Assessment) Of(number int, words string) Verdict {
	for _, x := range a.Aims {
		if x.Number == number && (x.Words == "" || x.Words == words) {
			return x.Verdict
		}
	}
	return ""
}

// Reached reports whether the observer saw the aim reached: alone, and nothing missed that must be seen.
func (a *Assessment) Reached(number int, words string) bool {
	return a.Of(number, words) == Alone && !a.Missed()
}

// Shows reports whether an aim was seen reached.
func (a *Assessment) Shows() bool {
	return slices.ContainsFunc(a.Aims, func(x Aim) bool { return x.Verdict == Alone }) && !a.Missed()
}

// At is when it was written down; the zero time when it does not say.
func (a *Assessment) At() time.Time {
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if at, err := time.Parse(layout, a.Finished); err == nil {
			return at
		}
	}
	return time.Time{}
}

// The most that an assessment may hold: more is none.
const (
	MostBytes = 256 << 10
	mostLines = 5_000
	mostText  = 500
)

// Latest is up to when an assessment that is looked at now may be dated: clocks of devices, and days of places, differ by a day at most.
func Latest(now time.Time) time.Time { return now.Add(24 * time.Hour) }

// Check says what is wrong with an assessment of a library's, which nobody can have written after the latest time; nil for nothing.
func (a *Assessment) Check(lib *procedure.Library, latest time.Time) error {
	at := slices.IndexFunc(lib.Procedures, func(p *procedure.Procedure) bool { return p.ID == a.Procedure && p.Removal == nil })
	switch {
	case a.Format != Format:
		return fmt.Errorf("it does not say that it is an assessment")
	case a.Version != Version:
		return fmt.Errorf("its version is %d, and this program knows %d", a.Version, Version)
	case at < 0:
		return fmt.Errorf("the library has no procedure %q", a.Procedure)
	case !slices.Contains(record.Phases, a.Way):
		return fmt.Errorf("way %q is neither out nor back", a.Way)
	case a.Role != Does && a.Role != Checks:
		return fmt.Errorf("role %q is neither does nor checks", a.Role)
	case a.Attempt < 1 || a.Attempt > 9:
		return fmt.Errorf("there is no attempt %d", a.Attempt)
	case a.At().IsZero():
		return fmt.Errorf("%q is no time", a.Finished)
	case a.At().After(latest):
		return fmt.Errorf("its date, %s, is still to come: was the clock of the device wrong?", a.At().Format(time.DateOnly))
	case len(a.Lines) > mostLines:
		return fmt.Errorf("it has %d lines", len(a.Lines))
	}
	if err := a.checkAims(len(lib.Procedures[at].Aims)); err != nil {
		return err
	}
	for _, text := range a.texts() {
		if utf8.RuneCountInString(text) > mostText {
			return fmt.Errorf("a text is longer than %d characters", mostText)
		}
	}
	return nil
}

func (a *Assessment) checkAims(most int) error {
	var known []int
	for _, x := range a.Aims {
		switch {
		case x.Number < 1 || x.Number > most:
			return fmt.Errorf("the procedure has no aim %d", x.Number)
		case slices.Contains(known, x.Number):
			return fmt.Errorf("aim %d is rated twice", x.Number)
		case !slices.Contains(Verdicts, x.Verdict):
			return fmt.Errorf("aim %d: %q is no verdict", x.Number, x.Verdict)
		}
		known = append(known, x.Number)
	}
	return nil
}

func (a *Assessment) texts() []string {
	out := []string{a.Learner, a.Observer, a.Record, a.Again, a.Variant}
	for _, x := range a.Aims {
		out = append(out, x.Words)
	}
	for _, s := range a.Lines {
		out = append(out, s.Line, s.Evidence)
	}
	return out
}
