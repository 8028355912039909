package sheet

import (
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

// taught is the small library with a course: the job on two machines by pairs, and a quiz with a critical question.
func taught() *procedure.Library {
	lib := library()
	lib.Papers = []procedure.Paper{procedure.ClassPaper, procedure.OrderPaper, procedure.LessonPaper, procedure.AttendancePaper}
	p := lib.Procedures[0]
	p.Aims = []string{"Lift it"}
	p.Machine.Tools = append(p.Machine.Tools, &procedure.Tool{Row: row("rags", "rags"), Kind: procedure.Consumable, Single: false})
	p.Machine.Index()
	p.Steps[0].Tools = refs("spanner", "gloves", "rags")
	p.Steps[2].Who = refs("slinger")
	lib.Trades = []procedure.Trade{{ID: "slinger", Name: "Slinger"}}
	q := &procedure.Quiz{ID: "quiz", Title: "What you know", Procedure: p, Time: estimate(10), Questions: []*procedure.Question{
		{ID: "a", Critical: true, Stem: prose("Who stands under a load?")}, {ID: "b", Stem: prose("How long does it cool?")},
	}}
	c := &procedure.Course{ID: "week", Title: "Week one", Pace: procedure.UsualPace(), Sessions: []procedure.Session{
		{Title: "Out", Items: []procedure.CourseItem{{Procedure: p}, {Quiz: q, IsQuiz: true}}},
	}}
	c.Pace.Teams = 2
	lib.Quizzes, lib.Courses = []*procedure.Quiz{q}, []*procedure.Course{c}
	return lib
}

func emitCourse(t *testing.T, lib *procedure.Library) map[string][]byte {
	t.Helper()
	var out output.Memory
	assert.NilError(t, EmitCourse(lib, pagetest.Theme(t), &out, lib.Courses[0]))
	return out.Files()
}

// A course's papers are made where they are asked for, and say what course and registers say.
func TestPapersOfACourse(t *testing.T) {
	lib := taught()
	files := emitCourse(t, lib)
	class := pagetest.Page(t, files, "course/week/class.html")
	pagetest.Expect(t, class, map[string][]string{
		"#paper-beforehand": {"Short test beforehand"},
		"section[aria-labelledby=paper-limits] td.thing":                            {"At work at once, at most", "4"},
		"section[aria-labelledby=paper-rota] tbody td":                              {"Session 1: Out", "Take the gearbox out", "does the work", "checks"},
		"section[aria-labelledby=paper-beforehand] tbody tr td:first-child":         {"Who stands under a load?"},
		"section[aria-labelledby=paper-entry] tbody tr:first-child td:first-child":  {"Slinger"},
		"section[aria-labelledby=paper-entry] tbody tr:first-child td:nth-child(2)": {"Take the gearbox out, Belt drive"},
	})
	if all := strings.Join(class.Texts("td"), "; "); !strings.Contains(all, "Steps for two or more; step 3; ") || !strings.Contains(all, "Signatures of somebody else, in all; 2; ") || !strings.Contains(all, "ring spanner 18 mm; 1; ") {
		t.Error(all)
	}
	order := strings.Join(pagetest.Page(t, files, "course/week/order.html").Texts("td"), "; ")
	for _, want := range []string{"rags Dough mixer; ; Session 1; ", "gloves Dough mixer; looked at, usable; ", "chain hoist Dough mixer; inspected; "} {
		if !strings.Contains(order, want) {
			t.Errorf("%q is not in %q", want, order)
		}
	}
	lesson := pagetest.Page(t, files, "course/week/lesson.html")
	if got := lesson.Texts(".of-step th"); len(got) != 4 || !strings.HasPrefix(got[1], "2. Present") {
		t.Errorf("%q", got)
	}
	if all := strings.Join(lesson.Texts("td"), "; "); !strings.Contains(all, "Lift it") || !strings.Contains(all, "Catch the last drop · It smells.") || !strings.Contains(all, "Hold point: Before the lift") || !strings.Contains(all, "08:30–08:40; Set up") {
		t.Error(all)
	}
	lib.Papers = []procedure.Paper{procedure.AttendancePaper}
	files = emitCourse(t, lib)
	if len(files) != 1 {
		t.Errorf("%d papers, want the one that is asked for", len(files))
	}
	if got := pagetest.Page(t, files, "course/week/attendance.html").Texts("section[aria-labelledby=paper-when] tbody td"); !slices.Equal(got[:1], []string{"Session 1: Out"}) {
		t.Errorf("%q", got)
	}
	lib.Papers = nil
	if files := emitCourse(t, lib); len(files) != 0 {
		t.Errorf("%d papers that nobody asked for", len(files))
	}
}

// What is renewed and used up counts for each machine of the course and each time that the job is done.
func TestWhatACourseUsesUp(t *testing.T) {
	lib := taught()
	c := lib.Courses[0]
	p := lib.Procedures[0]
	p.Steps[0].Blocks = append(p.Steps[0].Blocks, &procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Fit, Object: ref("5")}}})
	c.Sessions = append(c.Sessions, procedure.Session{Title: "Again", Items: []procedure.CourseItem{{Procedure: p}}})
	const want = 2 * 2 // one washer, two machines, two sessions
	words, err := pagetest.Theme(t).Words("en")
	assert.NilError(t, err)
	e, err := newCourse(emitter{lib: lib, words: words}, c)
	assert.NilError(t, err)
	for _, x := range e.usedUp() {
		if x.name == "5 tab washer" {
			if x.pieces*x.times != want || x.session != 0 {
				t.Errorf("%+v, want %d pieces from the first session on", x, want)
			}
			return
		}
	}
	t.Errorf("%+v has no tab washer", e.usedUp())
}

// What goes on threads and is a consumable of the register stands on the order list once, with both uses.
func TestTreatmentIsOrderedOnce(t *testing.T) {
	lib := taught()
	p := lib.Procedures[0]
	for _, f := range p.Machine.Fasteners {
		if f.ID == "5" {
			f.Treatment = "anti-seize"
		}
	}
	p.Steps[0].Blocks = append(p.Steps[0].Blocks, &procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Fit, Object: ref("5")}}})
	rows := func() string {
		return strings.Join(pagetest.Page(t, emitCourse(t, lib), "course/week/order.html").Texts("section[aria-labelledby=paper-used] tbody tr"), "; ")
	}
	if got := rows(); strings.Count(got, "anti-seize") != 2 || !strings.Contains(got, "For threads: anti-seize · No. 5") {
		t.Errorf("without a consumable: %s", got)
	}
	p.Machine.Tools = append(p.Machine.Tools, &procedure.Tool{Row: row("paste", "Anti-seize paste"), Kind: procedure.Consumable})
	p.Machine.Index()
	for _, named := range []bool{false, true} { // by a step, among its tools
		if named {
			p.Steps[0].Tools = append(p.Steps[0].Tools, ref("paste"))
		}
		if got := rows(); strings.Count(got, "Anti-seize paste") != 1 || strings.Count(got, "anti-seize") != 1 || !strings.Contains(got, "For threads: anti-seize · No. 5") {
			t.Errorf("as a consumable, named %v: %s", named, got)
		}
	}
}

// The deck has a page for the aims, one for each step that has something to show, and one of questions; the form has all steps.
func TestDeckFeedbackAndFollowUp(t *testing.T) {
	lib := library()
	lib.Procedures[0].Aims = []string{"Lift it"}
	lib.Papers = []procedure.Paper{procedure.DeckPaper, procedure.FeedbackPaper, procedure.FollowUpPaper}
	files := emit(t, lib)
	deck := pagetest.Page(t, files, "procedure/out/deck-belt.html")
	pagetest.Expect(t, deck, map[string][]string{
		".deck h2":    {"Aims", "1. Drain the oil", "3. Lift it out", "Questions to ask"},
		".deck ul li": {"Step 1. Catch the last drop: why?", "Step 3. What has to be so before this hold point is given: Before the lift?"},
		".deck-hold":  {"Hold point: Before the lift"},
	})
	if n := len(deck.All(".deck figure")); n != 1 {
		t.Errorf("%d figures", n)
	}
	if got := pagetest.Page(t, files, "procedure/out/feedback-chain.html").Texts("section[aria-labelledby=paper-steps] td:first-child"); !slices.Equal(got, []string{"1. Drain the oil", "2. Let it cool"}) {
		t.Errorf("%q", got)
	}
	pagetest.Expect(t, pagetest.Page(t, files, "procedure/out/follow-up-belt.html"), map[string][]string{
		"section[aria-labelledby=paper-aims] tbody td": {"Lift it", "", "alone with help not yet", ""},
	})
}
