// Package order holds the rules of the order check: can the procedure be carried
// out at the bench, step by step, and does everything go back? One rule, one file;
// each rule reads the trace of the machine's state and reports what goes wrong.
//
// A new rule is a file with a Check and a line in Checks. Its pair of small
// libraries, one that breaks the rule and one that does not, is testdata/CODE.txtar.
package order

import (
	"maps"
	"slices"
	"sync"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/loads"
	"matchmark/procedure/order"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

// Check is one rule.
type Check struct {
	diagnostic.Rule
	// Written is true for a rule that judges procedures as they are written; the
	// others judge the derived refitting as well.
	Written bool
	// Together is true for a rule on the order of the steps, which judges all ways through a job as one.
	Together bool
	// Run reports what breaks the rule. Code and severity are filled in.
	Run func(f *Facts, report func(diagnostic.Diagnostic))
}

// Facts is what the rules judge: a job with what was worked out from it.
type Facts struct {
	Job   *procedure.Job
	Trace *state.Trace
	// Out is the trace of the job that this one brings back; nil for a job that is no refitting.
	Out *state.Trace

	precedence func() *order.Precedence
	balances   map[moment]*loads.Balance
}

// Precedence is the graph of the job's steps, worked out when a rule first asks for it.
func (f *Facts) Precedence() *order.Precedence { return f.precedence() }

// Checks lists the rules in the order of the messages page.
func Checks() []Check {
	return []Check{
		removedTwice, fittedTwice, notThere, baseLeaves, stillJoined, stillHeld, stillCovered, outOfReach, notOnBench, unitIncomplete, outOfSight, nothingToJoin,
		broughtLeft, eyeMissing, keptTooShort, keptForgotten, leftUnheld, leftLoose, leftOut, piecesDiffer, tightEarly, jointOpen, setOnLoose, retorqueMissing, refitGap,
		hangsOnNothing, hangsOnLoose, overCapacity, noBalance, jointOverloaded, holdsDown, hangsCrooked, halfHeld, wrongSupport, liftUnsupported, releasedLifted, setDownUnlifted, tipsOver, tipsEasily, rollsAway, bareHook, standsSomehow, supportBusy, loadLeftHanging, supportLeftOn,
		massUnknown, capacityUnknown, noBase,
		energyFirst, conditionNotHeld, conditionUnready, isolationUnmade, provedFirst, proofCovered, proofLapses, energyReturns, startUnwarned, undoOrder, locksFew, lockOfAnother, lockLeftOn,
		lockFirst, lockTrapped, lockEarly, lockLeftOpen, unlockedForNothing, beltSlack, drainedClosed, openedFull, filledOpen, flushOrder,
		zoneOpen, zoneUnstated, workUnderLoad, sentUnderLoad, liftAlone, liftUnwarned, portOpen,
		cautionLate, liftWithoutHold, dangerWithoutHold, hazardUnwarned, usualHazard, protectionMissing,
		markMissing, twinUnmarked, twinSide, faceMissing, lookAlike, torqueMissing, renewalUnspecified, usuallyRenewed, oldOneBack, oldOneKept, newOneMissing, notCounted,
		roundChanges,
		afterLater, swappable, orderHabit,
	}
}

// all are the rules, unwritten those that judge a derived refitting too; each list is made once.
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
	return append(out, notReturned, leftOutAlone)
}

// Run checks a procedure for all variants of its machine, and the refitting that is
// derived from it, and adds what it finds to the log. A fault that several variants
// share is one message; one that only some have names them.
//
// What the job itself gets wrong is not reported again on its refitting.
func Run(p *procedure.Procedure, add refit.Additions, log *diagnostic.Log) {
	f := analysis.New(p)
	RunOn(f, add, keys, log)
}

// keys are words for a refitting that nobody reads.
func keys(key string, _ ...any) string { return key }

// RunOn is Run on facts that are there already. What it judges as the refitting is what f.Derive gives: the jobs that pages show.
func RunOn(f *analysis.Procedure, add refit.Additions, words refit.Words, log *diagnostic.Log) {
	if f.Machine == nil {
		return
	}
	var found []finding
	var jobs []*procedure.Job
	for i, job := range f.Jobs {
		jobs = append(jobs, job.Job)
		found = gather(found, i, faultsOf(f, i, add, words))
	}
	for _, x := range found {
		log.Add(x.named(jobs))
	}
}

// faultsOf are the faults of the i-th job, there and back. What matchmark fails at itself is one of them.
func faultsOf(f *analysis.Procedure, i int, add refit.Additions, words refit.Words) (there []diagnostic.Diagnostic) {
	job := f.Jobs[i]
	report := func(d diagnostic.Diagnostic) { there = append(there, d) }
	if !diagnostic.GuardWork(say.That("following the machine through its states"), f.Span, report, func() { job.Trace() }) {
		return there
	}
	there = onWays(job, all())
	var way *analysis.Job
	if diagnostic.GuardWork(say.That("deriving the refitting"), f.Span, report, func() { way = f.Derive(add, words).Jobs[i] }) {
		there = append(there, notOf(there, job.Trace(), back(way, add))...)
	}
	return there
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
		diagnostic.Guard(now.Rule, f.Job.Procedure.Span, func(d diagnostic.Diagnostic) { out = append(out, d) }, func() { now.Run(f, report) })
	}
	return out
}

// onJob runs rules on one job.
func onJob(j *analysis.Job, checks []Check) []diagnostic.Diagnostic {
	return rulesOn(&Facts{Job: j.Job, Trace: j.Trace(), Out: j.Out(), precedence: j.Order}, checks)
}

// back judges a job of the refitting, with the author's additions to it.
func back(j *analysis.Job, add refit.Additions) []diagnostic.Diagnostic {
	found := onWays(j, unwritten())
	for i := range found {
		found[i].Refitting = true
	}
	for _, way := range j.Ways() {
		found = plus(found, returned(way.Out(), way.Trace(), add), way, j)
		found = plus(found, outAlone(way.Out(), way.Trace(), add), way, j)
	}
	return append(found, toolless(j, add)...)
}

// onWays runs rules on each way through a job. What a step only does on one of the ways is judged there; whether steps could change
// places, on all of them together.
func onWays(j *analysis.Job, checks []Check) (out []diagnostic.Diagnostic) {
	ways := j.Ways()
	if len(ways) == 1 {
		return onJob(j, checks)
	}
	together, each := []Check{}, []Check{}
	for _, c := range checks {
		if c.Together {
			together = append(together, c)
		} else {
			each = append(each, c)
		}
	}
	for _, way := range ways {
		out = plus(out, onJob(way, each), way, j)
	}
	return append(out, onJob(j, together)...)
}

// plus adds the faults of one way that no other one has, and says what leads that way.
func plus(out, more []diagnostic.Diagnostic, way, j *analysis.Job) []diagnostic.Diagnostic {
	for _, d := range more {
		if slices.ContainsFunc(out, func(x diagnostic.Diagnostic) bool {
			return x.Code == d.Code && x.Span == d.Span && x.Refitting == d.Refitting && say.SameButSteps(x.Wrong, d.Wrong)
		}) {
			continue
		}
		if len(way.Answers) > 0 && len(d.See) == 0 {
			d.See = led(way.Job, j.Job)
		}
		out = append(out, d)
	}
	return out
}

// led says what was found on a way through a job.
func led(way, j *procedure.Job) (out []diagnostic.Related) {
	finders := j.Procedure.Finders()
	for _, name := range slices.Sorted(maps.Keys(way.Answers)) {
		i := slices.IndexFunc(finders, func(f procedure.Finder) bool { return f.Name == name })
		if i < 0 {
			continue
		}
		says := say.That("when this is so")
		if !way.Answers[name] {
			says = say.That("when this is not so")
		}
		out = append(out, diagnostic.Related{Span: finders[i].Place(), Says: says})
	}
	return out
}

// finding is a fault with the jobs that have it.
type finding struct {
	diagnostic.Diagnostic
	jobs []int
}

func gather(found []finding, job int, more []diagnostic.Diagnostic) []finding {
	// The numbers of steps may differ from variant to variant in the same fault.
	same := func(a, b diagnostic.Diagnostic) bool {
		return a.Code == b.Code && a.Span == b.Span && a.Refitting == b.Refitting && say.SameButSteps(a.Wrong, b.Wrong)
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
	for _, i := range x.jobs {
		d.Variants = append(d.Variants, jobs[i].Variant.ID)
	}
	return d
}
