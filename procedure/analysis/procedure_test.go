package analysis

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

// there is a small job with its refitting.
func there() *procedure.Procedure {
	m := statetest.Machine("base frame\npart lid 12\nbolt 1 lid frame\nbolt 2 lid frame\nhands hands 20\n")
	p := statetest.Procedure(m, strings.Join([]string{"a: remove 1", "b: remove 2", "c: remove lid"}, "\n"))
	p.Refitting = refit.Derive(p, refit.AdditionsOf(p), func(key string, _ ...any) string { return key })
	p.Refitting.Removal = p
	return p
}

// Facts are what the packages that work them out say of the job alone.
func TestFactsAreThoseOfTheJob(t *testing.T) {
	p := there()
	whole := New(p)
	for name, jobs := range map[string][]*Job{
		"there": whole.Jobs, "back": whole.Refitting().Jobs, "back by itself": New(p.Refitting).Jobs, "a job": {NewJob(p.Jobs()[0])}, "a job back": {NewJob(p.Refitting.Jobs()[0])},
	} {
		for _, j := range jobs {
			out, trace := state.RunAfterRemoval(j.Job)
			if got := j.Trace(); len(got.Events) == 0 || len(got.Events) != len(trace.Events) || len(state.Differences(got.Start, got.End())) != len(state.Differences(trace.Start, trace.End())) {
				t.Errorf("%s: another trace", name)
			}
			if (j.Out() == nil) != (out == nil) {
				t.Errorf("%s: a removal is there: %v", name, j.Out() != nil)
			}
			same := func(what string, got, want any) {
				if !reflect.DeepEqual(got, want) {
					t.Errorf("%s: %s %+v, want %+v", name, what, got, want)
				}
			}
			same("swaps", j.Order().Swaps(), order.NewPrecedence(trace).Swaps())
			same("times", j.Network().Times().Path, schedule.Ordered(j.Job, order.NewPrecedence(trace)).Times().Path)
			same("clock", j.Clock().Total, schedule.Clock(j.Job).Total)
			same("lifts", len(j.Lifts()), len(lifts.In(out, trace)))
			same("supplies", j.Supplies(), supplies.For(j.Job))
			same("torques", j.Torques(), refit.TorqueSheet(j.Job))
		}
	}
	if back := whole.Refitting(); len(back.Jobs[0].Lifts()) != 1 {
		t.Errorf("%d lifts in the refitting", len(back.Jobs[0].Lifts()))
	}
}

// The refitting that the checks judged is the one that becomes the refitting.
func TestDerive(t *testing.T) {
	p := there()
	words := func(key string, _ ...any) string { return key }
	f := New(p)
	got, want := f.Derive(refit.AdditionsOf(p), words), refit.Derive(p, refit.AdditionsOf(p), words)
	if f.Derive(refit.Additions{}, words) != got {
		t.Error("a refitting was derived twice")
	}
	p.Refitting, got.Removal = got.Procedure, p
	if f.Refitting() != got {
		t.Error("the facts that were judged are not those of the refitting")
	}
	if len(want.Steps) == 0 || !reflect.DeepEqual(got.Steps, want.Steps) {
		t.Errorf("%d steps, want %d", len(got.Steps), len(want.Steps))
	}
	if nowhere := New(&procedure.Procedure{ID: "x"}).Derive(refit.Additions{}, words); len(nowhere.Steps) > 0 || nowhere.ID != "x"+refit.Suffix {
		t.Errorf("%+v", nowhere)
	}
}

func TestEachFactIsWorkedOutOnce(t *testing.T) {
	p := there()
	f := New(p)
	j, b := f.Job(nil), f.Refitting().Job(nil)
	trace, precedence, network, back := j.Trace(), j.Order(), j.Network(), f.Refitting()
	if j.Trace() != trace || j.Order() != precedence || j.Network() != network || b.Out() != trace || f.Refitting() != back {
		t.Error("a fact was worked out twice")
	}
	if a, again := j.Lifts(), j.Lifts(); &a[0] != &again[0] {
		t.Error("the lifts were worked out twice")
	}
	p.Refitting = nil
	if New(p).Refitting() != nil {
		t.Error("facts of a refitting that is not there")
	}
}
