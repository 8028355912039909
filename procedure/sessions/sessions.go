// Package sessions splits work into sessions of a stated length that end only
// where it is safe to stop, and says by when each session should have got where.
//
// It is safe to stop after a step that its author marks as a safe stop, after a
// hold point so marked, at the end of a job, and after anything that is no step,
// such as a quiz.
//
// A proof that energy is kept away ends when work stops. So a session, and work after a break, begins
// with the steps that proved it, each with its time, where the work that follows relies on them.
//
// The time that a session needs is set-up and clear-down, the breaks, and the sum
// of its steps' expected times plus z standard deviations of that sum, z being the
// normal quantile of the stated confidence. Who is slow at one step is slow at the next:
// any two times have the stated correlation. A session fits when that is no more than its length; so it overruns
// with a chance of 1 - confidence at most.
//
// Of all splits in which every session fits, the plan has the fewest sessions. Of
// those, the chance of overrunning of the worst session is the smallest. Where
// that is certain to be kept either way, the worst session has the most spare time.
package sessions

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"matchmark/procedure"
	"matchmark/procedure/say"
)

// Item is one thing that the class does.
type Item struct {
	Title string
	// Job is the job whose steps are done; nil for something that has no steps, such as a quiz.
	Job *procedure.Job
	// From and To are the names of the first and the last step; empty for the whole job.
	From, To string
	// Time is how long something without steps takes.
	Time procedure.Estimate
	// Factor multiplies the steps' times, as for learners; 0 counts as 1.
	Factor float64
	// Added says of each of the job's steps how many minutes it adds to those before it when people share the work out; nil when one
	// step follows the other.
	Added []float64
}

// Rules are what a session must keep to. Times are in minutes.
type Rules struct {
	// Length is from the start of set-up to the end of clear-down.
	Length float64
	// SetUp and ClearDown are taken in every session.
	SetUp, ClearDown float64
	Break            Break
	// Confidence is the chance with which a session must keep its length, from 0.5 to below 1.
	Confidence float64
	// CommonPace is the correlation of the times of any two steps, from 0, when a team's pace
	// says nothing, to 1.
	CommonPace float64
	// Start is the time of day at which a session starts, in minutes past midnight.
	Start float64
}

// Break is when work is interrupted for a rest. A break is taken at a safe stop:
// at the last one that comes before Every minutes of expected work, or, when there
// is none, at the first one after.
type Break struct {
	// Length is how long a break takes; 0 for no breaks.
	Length float64
	// Every is how many minutes of work there are between breaks, at most.
	Every float64
}

// exact is a number as it was typed.
func exact(x float64) say.Decimal { return say.Decimal{Value: x, Places: say.Shortest} }

// check says what makes no sense.
func (r Rules) check() error {
	finite := func(x float64) bool { return x >= 0 && !math.IsInf(x, 1) }
	switch {
	case !(r.Length > 0) || !finite(r.Length):
		return say.Error(say.That("a session of %length min is no session", exact(r.Length)))
	case !finite(r.SetUp) || !finite(r.ClearDown) || r.SetUp+r.ClearDown >= r.Length:
		return say.Error(say.That("set-up (%setup min) and clear-down (%cleardown min) leave nothing of a session of %length min", exact(r.SetUp), exact(r.ClearDown), exact(r.Length)))
	case !finite(r.Break.Length) || r.Break.Length > 0 && !(r.Break.Every > 0):
		return say.Error(say.That("a break of %length min every %work min of work makes no sense", exact(r.Break.Length), exact(r.Break.Every)))
	case !(r.Confidence >= 0.5 && r.Confidence < 1):
		return say.Error(say.That("a confidence of %confidence is out of range; use a number from 0.5 to below 1, such as 0.9", exact(r.Confidence)))
	case !(r.CommonPace >= 0 && r.CommonPace <= 1):
		return say.Error(say.That("a common pace of %pace is out of range; use a correlation from 0 to 1, such as 0.3", exact(r.CommonPace)))
	}
	return nil
}

// z is the normal quantile of the confidence.
func (r Rules) z() float64 { return distuv.UnitNormal.Quantile(r.Confidence) }

// Clock writes a time in minutes from a session's start as a time of day: "09:45".
// Halves of a minute are rounded up; after midnight it starts again from 00:00.
func (r Rules) Clock(minutes float64) string {
	const day = 24 * 60
	at := int(math.Floor(r.Start+minutes+0.5+1e-9)) % day
	if at < 0 {
		at += day
	}
	return fmt.Sprintf("%02d:%02d", at/60, at%60)
}

// Plan is the work, split into sessions.
type Plan struct {
	Rules Rules
	// Sessions are the sessions in order; none when there is no split.
	Sessions []Session
	// Obstacles say why there is no split; none when there is one.
	Obstacles []Obstacle
	// Breaches are the places where the items leave a job at a step that is no safe stop.
	Breaches []Breach
	// Expected and Deviation are those of all work, without set-up, breaks and clear-down.
	Expected, Deviation float64
}

// Breach is an item that ends within its job where it is not safe to stop.
type Breach struct {
	Item *Item
	// Step is the item's last step.
	Step *procedure.Step
	// Hangs is what hangs on a support then, where BreachesIn has looked; nil when nothing does.
	Hangs *procedure.Part
}

// Session is one meeting of the class.
type Session struct {
	// Number is counted from 1.
	Number int
	Rows   []Row
	// Work is the expected time of its steps, Deviation the standard deviation of their sum.
	Work, Deviation float64
	// Breaks is the time of all breaks together.
	Breaks float64
	// End is the expected end of clear-down; CarefulEnd the end that is kept with the stated confidence.
	End, CarefulEnd float64
	// Spare is the session's length less End; negative when more is expected than fits.
	Spare float64
	// Overrun is the chance that the session takes longer than its length.
	Overrun float64
	// Fits is true when the session keeps its length with the stated confidence.
	Fits bool
	// Stop says what makes its end safe to stop at.
	Stop Stop
	// LongStretch is true when more is worked without a break than the rule for breaks allows.
	LongStretch bool
}

// AllKeep is the chance that each of some teams keeps the session's length when each starts some
// minutes after the one before. Each team has a pace of its own, so teams are taken as
// independent of each other.
func (s *Session) AllKeep(teams int, apart float64) float64 {
	chance := 1.0
	for team := range teams {
		switch spare := s.Spare - float64(team)*apart; {
		case s.Deviation > 0:
			chance *= distuv.UnitNormal.CDF(spare / s.Deviation)
		case spare < -same:
			return 0
		}
	}
	return chance
}

// RowKind says what a row of a session is.
type RowKind string

// The kinds of row.
const (
	SetUpRow     RowKind = "set-up"
	WorkRow      RowKind = "work"
	ProofRow     RowKind = "proof" // energy is proved away again, after a stop
	BreakRow     RowKind = "break"
	ClearDownRow RowKind = "clear-down"
)

// Row is a line of a session's timetable. All times are in minutes from the session's start.
type Row struct {
	Kind RowKind
	// Item is set on rows of work and of proofs, Step with its Job on those of a job's step. A proof's step
	// may be one of the job that the item's job brings back.
	Item *Item
	Step *procedure.Step
	Job  *procedure.Job
	// Start and End are the expected times.
	Start, End float64
	// Latest is by when the row must have started if the session is to keep its
	// length with the stated confidence; negative when it is too late at once.
	Latest float64
	// Checkpoint is true where the trainer should compare the clock: at the start
	// of an item, after a break or a safe stop, and at a step with a hold point.
	Checkpoint bool
	// Stop says what makes it safe to stop after the row.
	Stop Stop
}

// Stop says why it is safe to stop. Pages have words for each.
type Stop string

// The reasons why it is safe to stop.
const (
	NotSafe    Stop = ""
	StepStop   Stop = "step"    // the step is marked as a safe stop
	HoldStop   Stop = "hold"    // its hold point is
	EndOfJob   Stop = "job"     // the job ends
	AfterOther Stop = "no-step" // what ends is no step
)
