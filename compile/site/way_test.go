package site

import (
	"slices"
	"strings"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

// withWayBack is the library with a refitting of its procedure, as the compiler
// puts one behind each.
func withWayBack() *procedure.Library {
	lib := library()
	out := lib.Procedures[0]
	back := &procedure.Procedure{
		ID: "out-back", Title: "Refitting: gearbox", Summary: "Derived.", Edition: "2", Machine: out.Machine, Removal: out,
		Steps: []*procedure.Step{
			{ID: "lift-back", Title: "Set it on its feet", Time: procedure.Estimate{Optimistic: 6, Likely: 6, Pessimistic: 6}, People: 2, Blocks: []procedure.Block{
				&procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Fit, Object: ref("left-foot")}}},
			}},
			{ID: "feet-on", Title: "Tighten the feet", Time: procedure.Estimate{Optimistic: 4, Likely: 4, Pessimistic: 4}, People: 1, Blocks: []procedure.Block{
				&procedure.Callout{Figure: ref("feet"), Actions: []*procedure.Action{
					{Verb: procedure.Fit, Object: ref("4")}, {Verb: procedure.Tighten, Object: ref("4")},
				}},
				&procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Undo, Object: ref("dead")}}},
			}},
		},
	}
	out.Refitting = back
	lib.Machines[0].Conditions[0].Undo = "take off your own lock"
	lib.Procedures = append(lib.Procedures, back)
	lib.Courses[0].Sessions = append(lib.Courses[0].Sessions, procedure.Session{Title: "Back", Items: []procedure.CourseItem{
		{Procedure: out, IsRefit: true, From: ref("feet-on")},
	}})
	return lib
}

// A refitting is shown as the refitting of its procedure, not as another procedure.
func TestWayBackNestsInItsProcedure(t *testing.T) {
	files := emitAll(t, withWayBack())
	for _, at := range []string{"index.html", "machine/mixer.html"} {
		var titles []string
		for _, e := range pagetest.Page(t, files, at).All("section ul.entries .entry") {
			if len(e.All(".jobs")) > 0 {
				titles = append(titles, e.Text())
			}
		}
		want := "Removal Belt drive 4 steps · 27 min Chain drive 3 steps · 24 min Refitting Belt drive 2 steps · 10 min Chain drive 2 steps · 10 min Other variant"
		if len(titles) != 1 || !strings.HasSuffix(titles[0], want) {
			t.Errorf("%s: entries %q, want one that ends in %q", at, titles, want)
		}
	}
	var kinds []string
	for _, e := range index(t, files) {
		if strings.HasPrefix(e[3], "procedure/") && strings.HasSuffix(e[3], "/index.html") {
			kinds = append(kinds, e[0]+": "+e[1])
		}
	}
	if want := []string{"Procedure: Take the gearbox out", "Refitting: Refitting: gearbox"}; !slices.Equal(kinds, want) {
		t.Errorf("search finds %q, want %q", kinds, want)
	}
}

func TestWaysLeadToEachOther(t *testing.T) {
	files := emitAll(t, withWayBack())
	for at, c := range map[string]struct{ crumbs, here, other, derived []string }{
		"procedure/out/index.html": {
			crumbs: []string{"Start", "Take the gearbox out"}, here: []string{"Removal"},
			other: []string{"../../procedure/out-back/index.html"},
		},
		"procedure/out-back/index.html": {
			crumbs: []string{"Start", "Take the gearbox out", "Refitting"}, here: []string{"Refitting"},
			other:   []string{"../../procedure/out/index.html"},
			derived: []string{"This refitting procedure was derived from the removal: the steps are reversed. The maker's data come first."},
		},
	} {
		p := pagetest.Page(t, files, at)
		pagetest.Expect(t, p, map[string][]string{".crumb": c.crumbs, ".way[aria-current=page]": c.here, ".derived": c.derived})
		var other []string
		for _, a := range p.All("a.way") {
			if _, here := a.Attributes["aria-current"]; !here {
				other = append(other, a.Attributes["href"])
			}
		}
		if !slices.Equal(other, c.other) {
			t.Errorf("%s leads to %q, want %q", at, other, c.other)
		}
	}
	steps := pagetest.Page(t, files, "procedure/out-back/steps-belt.html")
	pagetest.Expect(t, steps, map[string][]string{".crumb": {"Start", "Take the gearbox out", "Refitting", "Belt drive"}})
	if n := len(one(t, steps, "#lift-back").All(".derived")); n != 1 {
		t.Errorf("the first step says %d times that it is derived", n)
	}
	end := one(t, pagetest.Page(t, files, "procedure/out/steps-belt.html"), "#ui_end")
	if got := end.All(".choices a")[1].Attributes["href"]; got != "../../procedure/out-back/steps-belt.html" {
		t.Errorf("the end of the removal leads to %s", got)
	}
}

// A procedure without a refitting has no ways to choose from.
func TestNoWayBack(t *testing.T) {
	files := emitAll(t, library())
	for at, selector := range map[string]string{"procedure/out/index.html": ".way", "index.html": ".way-name"} {
		if n := len(pagetest.Page(t, files, at).All(selector)); n != 0 {
			t.Errorf("%s has %d of %s", at, n, selector)
		}
	}
}

func TestCourseHoldsARefitting(t *testing.T) {
	files := emitAll(t, withWayBack())
	item := pagetest.Page(t, files, "course/course.html").All(".session")[1]
	pagetest.Expect(t, item, map[string][]string{
		".entry-title": {"Refitting: gearbox"}, ".entry-note": {"Refitting"}, ".part": {"From “Tighten the feet” to the end"},
	})
	if got := item.All("a.job")[0].Attributes["href"]; got != "../procedure/out-back/steps-belt.html#feet-on" {
		t.Errorf("the course leads to %s", got)
	}
}

// The refitting says each fact once, and the torque where the eye falls first.
func TestRowsOfTheWayBack(t *testing.T) {
	step := one(t, pagetest.Page(t, emitAll(t, withWayBack()), "procedure/out-back/steps-belt.html"), "#feet-on")
	for id, words := range map[string]string{
		"#feet-on--fit-4": "4 Fit Front foot bolt 2 pieces · M12×1.25 LH × 40 mm · 8.8 · hex 18 mm Left-hand thread: turn anticlockwise to tighten Take a new one",
		".i-tighten":      "4 Tighten Front foot bolt 80 N·m (59 lbf·ft) hex 18 mm Left-hand thread: turn anticlockwise to tighten",
		".i-undo":         "Take off your own lock Ends: Proved dead",
	} {
		if got := one(t, step, id).Text(); got != words {
			t.Errorf("%s says %q, want %q", id, got, words)
		}
	}
}
