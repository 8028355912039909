// Package order holds the rules of the order check: can the procedure be carried
// out at the bench, step by step, and does everything go back? One rule, one file;
// each rule reads the trace of the machine's state and reports what goes wrong.
//
// A new rule is a file with a Check and a line in Checks. Its pair of small
// libraries, one that breaks the rule and one that does not, is testdata/CODE.txtar.
package order

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/facts"
	"matchmark/procedure/order"
	"matchmark/procedure/refit"
	"matchmark/procedure/state"
)

// Check is one rule.
type Check struct {
	diagnostic.Rule
	// Written is true for a rule that judges procedures as they are written; the
	// others judge the derived way back as well.
	Written bool
	// Run reports what breaks the rule. Code and severity are filled in.
	Run func(f *Facts, report func(diagnostic.Diagnostic))
}

// Facts is what the rules judge: a job with what was worked out from it.
type Facts struct {
	Job   *procedure.Job
	Trace *state.Trace

	precedence func() *order.Precedence
}

// Precedence is the graph of the job's steps, worked out when a rule first asks for it.
func (f *Facts) Precedence() *order.Precedence { return f.precedence() }

// Checks lists the rules in the order of the messages page.
func Checks() []Check {
	return []Check{
		removedTwice, fittedTwice, notThere, baseLeaves, stillJoined, stillCovered, nothingToJoin,
		keptTooShort, keptForgotten, leftUnheld, leftLoose, leftOut,
		hangsOnNothing, hangsOnLoose, overCapacity, liftUnsupported, releasedLifted, setDownUnlifted, supportBusy, loadLeftHanging, supportLeftOn,
		massUnknown, capacityUnknown, noBase,
		energyFirst, conditionNotHeld, conditionUnready, provedFirst,
		lockFirst, lockTrapped, lockEarly, lockLeftOpen, unlockedForNothing, beltSlack, drainedClosed, openedFull, filledOpen, flushOrder,
		cautionLate, liftWithoutHold,
		markMissing, twinUnmarked, twinSide, faceMissing, lookAlike, torqueMissing, renewalUnspecified,
		afterLater, swappable, orderHabit,
	}
}

// all are the rules, unwritten those that judge a derived way back too; each list is made once.
var (
	all       = sync.OnceValue(Checks)
	unwritten = sync.OnceValue(func() []Check { return slices.DeleteFunc(Checks(), func(c Check) bool { return c.Written }) })
)

// Rules documents the rules of this package.
func Rules() []diagnostic.Rule {
	var out []diagnostic.Rule
	for _, c := range Checks() {
		out = append(out, c.Rule)
	}
	return append(out, notReturned)
}

// Run checks a procedure for all variants of its machine, and the way back that is
// derived from it, and adds what it finds to the log. A fault that several variants
// share is one message; one that only some have names them.
//
// The way back of a job is judged only when the job itself has no errors.
func Run(p *procedure.Procedure, add refit.Additions, log *diagnostic.Log) {
	f := facts.Of(p)
	RunOn(f, func(i int) *state.Trace { return f.Way(i, add, keys) }, add, log)
}

// keys are words for a way back that nobody reads.
func keys(key string, _ ...any) string { return key }

// RunOn is Run on facts that are there already; way gives the way back of the i-th job.
func RunOn(f *facts.Procedure, way func(i int) *state.Trace, add refit.Additions, log *diagnostic.Log) {
	if f.Machine == nil {
		return
	}
	var found []finding
	var jobs []*procedure.Job
	for i, job := range f.Jobs {
		jobs = append(jobs, job.Job)
		there := rulesOn(&Facts{Job: job.Job, Trace: job.Trace(), precedence: job.Order}, all())
		if !hasErrors(there) {
			there = append(there, back(job.Trace(), way(i), add)...)
		}
		found = gather(found, i, there)
	}
	for _, x := range found {
		log.Add(x.named(jobs))
	}
}

// Job runs rules on one job, whose trace is given.
func Job(t *state.Trace, checks []Check) []diagnostic.Diagnostic {
	return rulesOn(&Facts{Job: t.Job, Trace: t, precedence: sync.OnceValue(func() *order.Precedence { return order.Of(t) })}, checks)
}

func rulesOn(f *Facts, checks []Check) []diagnostic.Diagnostic {
	var out []diagnostic.Diagnostic
	var now *Check
	report := func(d diagnostic.Diagnostic) {
		d.Code, d.Severity = now.Code, now.Severity
		out = append(out, d)
	}
	for i := range checks {
		now = &checks[i]
		now.Run(f, report)
	}
	return out
}

// Back judges the way back that is derived from a job, with the author's additions to it.
func Back(out *state.Trace, add refit.Additions) []diagnostic.Diagnostic {
	return back(out, refit.Run(out, add, keys), add)
}

func back(out, way *state.Trace, add refit.Additions) []diagnostic.Diagnostic {
	found := Job(way, unwritten())
	for i := range found {
		found[i].Message = "on the way back: " + found[i].Message
	}
	return append(found, returned(out, way, add)...)
}

func hasErrors(all []diagnostic.Diagnostic) bool {
	return slices.ContainsFunc(all, func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Error })
}

// finding is a fault with the jobs that have it.
type finding struct {
	diagnostic.Diagnostic
	jobs []int
}

// stepNumbers are what the same fault's messages may differ in from variant to variant.
var stepNumbers = regexp.MustCompile(`steps? \d+( and \d+)?`)

func gather(found []finding, job int, more []diagnostic.Diagnostic) []finding {
	same := func(a, b diagnostic.Diagnostic) bool {
		return a.Code == b.Code && a.Span == b.Span &&
			stepNumbers.ReplaceAllString(a.Message, "step") == stepNumbers.ReplaceAllString(b.Message, "step")
	}
	for _, d := range more {
		i := slices.IndexFunc(found, func(x finding) bool { return same(x.Diagnostic, d) })
		switch {
		case i < 0:
			found = append(found, finding{d, []int{job}})
		case !slices.Contains(found[i].jobs, job):
			found[i].jobs = append(found[i].jobs, job)
		}
	}
	return found
}

// named adds the names of the variants when not all of them have the fault.
func (x finding) named(jobs []*procedure.Job) diagnostic.Diagnostic {
	d := x.Diagnostic
	if len(x.jobs) == len(jobs) {
		return d
	}
	var names []string
	for _, i := range x.jobs {
		names = append(names, jobs[i].Variant.ID)
	}
	d.Message = fmt.Sprintf("%s (only on: %s)", d.Message, strings.Join(names, ", "))
	return d
}
