package source

import (
	"reflect"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/learning"
)

const courseItems = "sessions:\n  - title: One\n    items:\n      - procedure: job\n---\n"

// What a course states, and what the language reference says of a course that states nothing.
func TestPace(t *testing.T) {
	usual := procedure.Pace{Stated: 1, People: 2, Session: 180, SetUp: 10, ClearDown: 15, Break: 15, BreakEvery: 90, Confidence: 0.9, CommonPace: 0.3, Teams: 1, Start: 510}
	with := func(change func(*procedure.Pace)) procedure.Pace {
		p := usual
		change(&p)
		return p
	}
	for _, c := range []struct {
		lines string
		want  procedure.Pace
	}{
		{"", usual},
		{"learning: wright\nrate: 85\nrepetition: 3\n", with(func(p *procedure.Pace) {
			p.Learning, p.Stated = learning.Curve{Form: learning.Wright, Rate: 0.85}, 3
		})},
		{"rate: 92.5\n", with(func(p *procedure.Pace) { p.Learning = learning.Curve{Form: learning.Crawford, Rate: 0.925} })},
		{"rate: 100\n", with(func(p *procedure.Pace) { p.Learning = learning.Curve{Form: learning.Crawford, Rate: 1} })},
		{"people: 1\nsession: 4 h\nset-up: 0 min\nclear-down: \"20 min\"\nbreak: 0 min\nconfidence: 95\nstart: \"13:05\"\n",
			procedure.Pace{Stated: 1, People: 1, Shared: true, Session: 240, ClearDown: 20, BreakEvery: usual.BreakEvery, Confidence: 0.95, CommonPace: 0.3, Teams: 1, Start: 785}},
		{"people: 3\ntogether: true\n", with(func(p *procedure.Pace) { p.People = 3 })},
		{"common-pace: 45\nteams: 6\n", with(func(p *procedure.Pace) { p.CommonPace, p.Teams = 0.45, 6 })},
		{"common-pace: 0\n", with(func(p *procedure.Pace) { p.CommonPace = 0 })},
		{"break: 20 min\nbreak-every: 1.5 h\n", with(func(p *procedure.Pace) { p.Break, p.BreakEvery = 20, 90 })},
		{"start: 07:15\n", with(func(p *procedure.Pace) { p.Start = 435 })},
	} {
		lib, log := readFiles(t, map[string]string{"mixer.md": machineHead, "job.md": procedureHead + stepHead + "Words.\n:::\n",
			"course.md": "---\nkind: course\nid: a\ntitle: A\n" + c.lines + courseItems})
		if all := log.Sorted(); len(all) > 0 || len(lib.Courses) != 1 {
			t.Fatalf("%q: %s", c.lines, printed(all))
		}
		if got := lib.Courses[0].Pace; !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q:\ngot  %+v\nwant %+v", c.lines, got, c.want)
		}
	}
}

func TestQuizTime(t *testing.T) {
	for _, c := range []struct {
		line                            string
		optimistic, likely, pessimistic float64
	}{
		{"", 4, 4, 4}, // two questions of two minutes
		{"time: 15 min\n", 15, 15, 15},
		{"time: 20\n", 20, 20, 20},
		{"time: 10/15/25\n", 10, 15, 25},
	} {
		lib, log := readFiles(t, map[string]string{"mixer.md": machineHead, "job.md": procedureHead + stepHead + "Words.\n:::\n",
			"quiz.md": "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: 80\n" + c.line + "---\n" +
				"::: question a {type=true-false answer=true}\nYes?\n:::\n::: question b {type=true-false answer=false}\nNo?\n:::\n"})
		if all := log.Sorted(); len(all) > 0 || len(lib.Quizzes) != 1 {
			t.Fatalf("%q: %s", c.line, printed(all))
		}
		if got := lib.Quizzes[0].Time; got.Optimistic != c.optimistic || got.Likely != c.likely || got.Pessimistic != c.pessimistic {
			t.Errorf("%q: %+v", c.line, got)
		}
	}
}
