package facts

import (
	"reflect"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/lifts"
	"matchmark/procedure/order"
	"matchmark/procedure/refit"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/supplies"
)

// there is a small job with its way back.
func there() *procedure.Procedure {
	m := statetest.Machine("base frame\npart lid 12\nbolt 1 lid frame\nbolt 2 lid frame\nhands hands 20\n")
	p := statetest.Procedure(m, strings.Join([]string{"a: remove 1", "b: remove 2", "c: remove lid"}, "\n"))
	p.Back = refit.Derive(p, refit.AdditionsOf(p), func(key string, _ ...any) string { return key })
	p.Back.Forth = p
	return p
}

// Facts are what the packages that work them out say of the job alone.
func TestFactsAreThoseOfTheJob(t *testing.T) {
	p := there()
	whole := Of(p)
	for name, jobs := range map[string][]*Job{
		"there": whole.Jobs, "back": whole.Back().Jobs, "back by itself": Of(p.Back).Jobs, "a job": {OfJob(p.Jobs()[0])}, "a job back": {OfJob(p.Back.Jobs()[0])},
	} {
		for _, j := range jobs {
			out, trace := state.There(j.Job)
			if got := j.Trace(); len(got.Events) == 0 || len(got.Events) != len(trace.Events) || len(state.Differences(got.Start, got.End())) != len(state.Differences(trace.Start, trace.End())) {
				t.Errorf("%s: another trace", name)
			}
			if (j.Out() == nil) != (out == nil) {
				t.Errorf("%s: a way out is there: %v", name, j.Out() != nil)
			}
			same := func(what string, got, want any) {
				if !reflect.DeepEqual(got, want) {
					t.Errorf("%s: %s %+v, want %+v", name, what, got, want)
				}
			}
			same("swaps", j.Order().Swaps(), order.Of(trace).Swaps())
			same("times", j.Network().Times().Path, schedule.Of(trace).Times().Path)
			same("clock", j.Clock().Total, schedule.Clock(j.Job).Total)
			same("lifts", len(j.Lifts()), len(lifts.Of(j.Job)))
			same("supplies", j.Supplies(), supplies.For(j.Job))
			same("torques", j.Torques(), refit.TorqueSheet(j.Job))
		}
	}
	if back := whole.Back(); len(back.Jobs[0].Lifts()) != 1 || len(whole.Traces()) != 1 {
		t.Errorf("%d lifts on the way back", len(back.Jobs[0].Lifts()))
	}
}

// The way back that the checks judged is the one that becomes the refitting.
func TestDerive(t *testing.T) {
	p := there()
	words := func(key string, _ ...any) string { return key }
	f := Of(p)
	if way := f.Way(0, refit.Additions{}, words); f.Way(0, refit.Additions{}, words) != way {
		t.Error("a way back was derived twice")
	}
	got, want := f.Derive(refit.AdditionsOf(p), words), refit.Derive(p, refit.AdditionsOf(p), words)
	if len(want.Steps) == 0 || !reflect.DeepEqual(got.Steps, want.Steps) {
		t.Errorf("%d steps, want %d", len(got.Steps), len(want.Steps))
	}
	if nowhere := Of(&procedure.Procedure{ID: "x"}).Derive(refit.Additions{}, words); len(nowhere.Steps) > 0 || nowhere.ID != "x"+refit.Suffix {
		t.Errorf("%+v", nowhere)
	}
}

func TestEachFactIsWorkedOutOnce(t *testing.T) {
	p := there()
	f := Of(p)
	j, b := f.Job(nil), f.Back().Job(nil)
	trace, precedence, network, back := j.Trace(), j.Order(), j.Network(), f.Back()
	if j.Trace() != trace || j.Order() != precedence || j.Network() != network || b.Out() != trace || f.Back() != back {
		t.Error("a fact was worked out twice")
	}
	if a, again := j.Lifts(), j.Lifts(); &a[0] != &again[0] {
		t.Error("the lifts were worked out twice")
	}
	p.Back = nil
	if Of(p).Back() != nil {
		t.Error("facts of a way back that is not there")
	}
}
