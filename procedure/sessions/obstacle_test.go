package sessions

import (
	"testing"
)

func TestOneMoreSafeStopWouldDo(t *testing.T) {
	j := job("a 20: stop", "b 30: remove 1", "c 50: mark gearbox", "d 20: remove 2", "e 40: mark gearbox", "f 10: stop")
	p := split(t, whole(j), Rules{Length: 110, SetUp: 5, ClearDown: 5, Confidence: 0.9})
	if len(p.Sessions) != 0 || len(p.Obstacles) != 1 {
		t.Fatalf("%d sessions, %d obstacles", len(p.Sessions), len(p.Obstacles))
	}
	o := p.Obstacles[0]
	if o.From.ID != "b" || o.To.ID != "f" || o.Expected != 150 || o.Needs != 160 || len(o.TooLong) != 0 {
		t.Errorf("%+v", o)
	}
	// b to f takes 150 minutes, a session holds 100. After c the halves are 80 and 70, after d 100 and 50; after
	// b the second half, 120, is too long.
	if len(o.Stops) != 1 || o.Stops[0].Step.ID != "c" || o.Stops[0].Overrun != 0 {
		t.Errorf("stops %+v", o.Stops)
	}
	if len(o.Others) != 1 || o.Others[0].Step.ID != "d" {
		t.Errorf("others %+v", o.Others)
	}
	// And with that safe stop there is a split.
	j.Step("c").SafeStop = true
	if p = split(t, whole(j), Rules{Length: 110, SetUp: 5, ClearDown: 5, Confidence: 0.9}); len(p.Sessions) == 0 {
		t.Error("the proposal does not help")
	}
}

func TestSeveralSafeStopsWouldDo(t *testing.T) {
	j := job("a 40/50/60: remove 1", "b 40/50/60: mark gearbox", "c 40/50/60: remove 2", "d 40/50/60: mark gearbox", "e 40/50/60: stop")
	r := Rules{Length: 110, Confidence: 0.9}
	p := split(t, whole(j), r)
	if len(p.Obstacles) != 1 || len(p.Obstacles[0].Stops) != 2 || len(p.Obstacles[0].Others) != 0 {
		t.Fatalf("%+v", p.Obstacles)
	}
	for _, s := range p.Obstacles[0].Stops {
		if s.Overrun <= 0 || s.Overrun > 0.1 {
			t.Errorf("%+v", s)
		}
		s.Step.SafeStop = true
	}
	if p = split(t, whole(j), r); len(p.Sessions) != 3 {
		t.Errorf("with both, %d sessions", len(p.Sessions))
	}
}

// After c the gearbox hangs on the hoist with no bolt left, after d it is lifted: nobody may leave it so.
func TestNoStopWhileALoadHangs(t *testing.T) {
	steps := []string{"a 30: support gearbox with hoist", "b 30: remove 1", "c 30: remove 2", "d 30: lift gearbox with hoist", "e 30: set down gearbox on pallet", "f 30: stop"}
	p := split(t, whole(job(steps...)), Rules{Length: 100, Confidence: 0.9})
	// One stop after c would do (90 and 90 minutes), but not with the gearbox on the hook: it takes two, after b and e.
	if o := p.Obstacles[0]; len(o.Stops) != 2 || o.Stops[0].Step.ID != "b" || o.Stops[1].Step.ID != "e" {
		t.Fatalf("%+v", o.Stops)
	}
	p = split(t, whole(job(steps...)), Rules{Length: 130, Confidence: 0.9})
	o := p.Obstacles[0]
	if o.Stops[0].Step.ID != "b" || len(o.Others) != 0 {
		t.Errorf("%+v, others %+v", o.Stops, o.Others)
	}
}

func TestNothingHelps(t *testing.T) {
	steps := []string{"a 30: support gearbox with hoist", "b 30: remove 1", "c 50: remove 2", "d 30: lift gearbox with hoist", "e 30: set down gearbox on pallet", "f 120: stop"}
	p := split(t, whole(job(steps...)), Rules{Length: 100, SetUp: 5, Confidence: 0.9})
	o := p.Obstacles[0]
	if len(o.Stops) != 0 || len(o.TooLong) != 2 {
		t.Fatalf("%+v", o)
	}
	if l := o.TooLong[0]; l.From.ID != "c" || l.To.ID != "e" || l.Needs != 115 || l.Hangs == nil || l.Hangs.ID != "gearbox" {
		t.Errorf("%+v", l)
	}
	if l := o.TooLong[1]; l.From.ID != "f" || l.To.ID != "f" || l.Needs != 125 || l.Hangs != nil {
		t.Errorf("%+v", l)
	}
	// A quiz that is too long has no step to name.
	p = split(t, []Item{{Title: "Quiz", Time: estimate("120")}}, Rules{Length: 100, Confidence: 0.9})
	if o := p.Obstacles[0]; o.From != nil || o.Item.Title != "Quiz" || len(o.TooLong) != 1 {
		t.Errorf("%+v", o)
	}
}
