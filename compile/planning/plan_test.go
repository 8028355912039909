package planning

import (
	"strings"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/learning"
)

// Times by hand: set-up to 08:40; the second round of the job is a second time and takes 0.85 of the first.
func TestPlanPage(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "course/week/plan.html")
	pagetest.Expect(t, p, map[string][]string{
		".plan-facts dd": {"1 h 30 min, 08:30 to 10:00", "10 min", "15 min", "none", "in 90 % of cases at least", "two steps of one team have a correlation of 0 %: who is slow at one is slow at the next", "2 people", "each doubling of repetitions cuts the time of a repetition to 85 %"},
		".learning tr": {
			"Job First time Second Third Fourth Fifth",
			"Covers off 30 min 26 min 23 min 22 min 21 min",
			// 0.85^(log2 n): Crawford's unit times as in the documentation of the R package learningCurve 1.1.2.
			"Times the stated time × 1 × 0.85 × 0.77 × 0.72 × 0.69",
		},
		".plan-warning": nil,
	})
	rows := p.Texts(".timetable tbody tr")
	if got := strings.Join(rows[4:15], "\n"); got != `08:30 08:31 Set up
Covers off
08:40 08:41 2 Left cover check the clock
08:50 08:51 3 Right cover
09:00 09:02 4 Count all check the clock Hold point Safe stop
09:04 09:06 What you know check the clock
Covers off time 2
09:14 09:16 1 Look at it check the clock Safe stop
09:19 09:22 2 Left cover check the clock
09:28 09:31 3 Right cover
09:36 09:42 4 Count all check the clock Hold point Safe stop` {
		t.Error(got)
	}
	split := p.Texts(".split tbody tr")
	if len(split) != 4 || split[1] != "2 Doing 1 h 09:55 in 90 % by 09:59 7 % Step 4: Count all the job is done" || !strings.HasSuffix(split[2], "Step 4: Count all the job is done") {
		t.Errorf("%q", split)
	}
}

func TestOwnSplitIsBest(t *testing.T) {
	lib := library()
	lib.Courses[0].Pace.Session = 240
	lib.Courses[0].Sessions = []procedure.Session{{Title: "All", Items: []procedure.CourseItem{{Procedure: lib.Procedures[0]}}}}
	files := emit(t, lib)
	p := pagetest.Page(t, files, "course/week/plan.html")
	if !strings.Contains(p.Text(), "are already the best split") || len(p.All(".split")) != 1 || files["course/week/proposed-session-1.html"] != nil {
		t.Error(p.Text())
	}
}

// The covers take 24 minutes in one run that cannot be interrupted; a session of 45 less 25 holds 20.
func TestNoSplit(t *testing.T) {
	lib := library()
	lib.Courses[0].Pace.Session = 45
	files := emit(t, lib)
	p := pagetest.Page(t, files, "course/week/plan.html")
	pagetest.Expect(t, p, map[string][]string{".obstacle li": {"Covers off, step 2: Left cover. Risk of overrunning then: under 1 %."}})
	text := p.Text()
	for _, want := range []string{"No split works.", "A safe stop would be needed after:", "Too long.", "too late", "expected to overrun by"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing: %s", want, text)
		}
	}
	lib.Courses[0].Pace.Session = 32 // seven minutes: less than a cover alone
	p = pagetest.Page(t, emit(t, lib), "course/week/plan.html")
	if got := p.Texts(".obstacle li"); len(got) == 0 || !strings.HasPrefix(got[0], "Covers off, step 2 (Left cover) needs ") {
		t.Errorf("%q", got)
	}
}

// A session that ends in the middle of a run says so.
func TestUnsafeEnd(t *testing.T) {
	lib := library()
	job := lib.Procedures[0]
	lib.Courses[0].Sessions = []procedure.Session{{Title: "Half", Items: []procedure.CourseItem{{Procedure: job, To: ref("left")}}}}
	p := pagetest.Page(t, emit(t, lib), "course/week/plan.html")
	if w := p.Texts(".plan-warning"); len(w) != 1 || w[0] != "Not a safe stop. Covers off ends after step 2: Left cover." {
		t.Errorf("%q", w)
	}
}

func TestNoLearningCurve(t *testing.T) {
	lib := library()
	lib.Courses[0].Pace.Learning = learning.Curve{}
	p := pagetest.Page(t, emit(t, lib), "course/week/plan.html")
	if len(p.All(".learning")) != 0 || !strings.Contains(p.Text(), "The course states no learning curve") || !strings.Contains(p.Text(), "time 2") {
		t.Error(p.Text())
	}
}

func TestSessionSheet(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "course/week/session-2.html")
	pagetest.Expect(t, p, map[string][]string{
		".sheet-facts":   {"Session 2 of 2 · Doing"},
		".fields li":     {"Trainer", "Date", "Learners"},
		".lay-out-group": {"Tools Socket 13 mm 1 piece", "Protection Gloves 2 pieces", "Consumables Rags 3 pieces", "Bags and labels Bag 1 4 pieces"},
		".breakdown tbody tr": {
			"Covers off", "2 Left cover 10 min", "3 Right cover 10 min", "4 Count all 4 min Hold point: Before you go Signature (trainer) Time",
			"What you know 10 min",
			"Covers off time 2", "1 Look at it 5 min Danger It can start.", "Walk around it A leak hides behind.", "Listen A bearing tells.",
			"2 Left cover 9 min", "3 Right cover 9 min", "4 Count all 3 min Hold point: Before you go Signature (trainer) Time",
		},
		".plan-marks tbody tr": {
			"08:30 08:31 Set up", "08:40 08:41 Covers off Step 2: Left cover", "09:00 09:02 Step 4: Count all Hold point", "09:04 09:06 What you know",
			"09:14 09:16 Covers off Step 1: Look at it", "09:19 09:22 Step 2: Left cover", "09:36 09:42 Step 4: Count all Hold point", "09:40 09:45 Clear down", "09:55 10:00 End",
		},
	})
	if first := pagetest.Page(t, emit(t, library()), "course/week/session-1.html"); strings.Contains(first.Text(), "Socket") || strings.Contains(first.Text(), "Bag 1") {
		t.Error("the first session, which only looks, lays out a socket or a bag")
	}
}

// Two machines may have a bag of one name; a tool of one name is laid out once.
func TestBagsOfTwoMachines(t *testing.T) {
	lib, other := library(), library()
	m := other.Machines[0]
	m.ID, m.Title = "saw", "Saw"
	p := other.Procedures[0]
	p.ID = "saw-covers"
	lib.Machines, lib.Procedures = append(lib.Machines, m), append(lib.Procedures, p)
	lib.Courses[0].Sessions = []procedure.Session{{Title: "Both", Items: []procedure.CourseItem{{Procedure: lib.Procedures[0]}, {Procedure: p}}}}
	sheet := pagetest.Page(t, emit(t, lib), "course/week/session-1.html")
	pagetest.Expect(t, sheet, map[string][]string{".lay-out-group": {"Tools Socket 13 mm 1 piece", "Protection Gloves 2 pieces", "Consumables Rags 3 pieces", "Bags and labels Bag 1 4 pieces Bag 1 (Saw) 4 pieces"}})
}

// The plan holds for the slowest variant; an end that it lacks gives way to the next step inside.
func TestVariants(t *testing.T) {
	lib := library()
	m, p := lib.Machines[0], lib.Procedures[0]
	m.Variants = []*procedure.Variant{{Row: row("small", "Small")}, {Row: row("large", "Large")}}
	m.Index()
	p.Steps[1].Variants = refs("small")
	p.Steps[2].Variants, p.Steps[2].Time = refs("large"), fixed(30)
	lib.Courses[0].Sessions = []procedure.Session{{Title: "From the left", Items: []procedure.CourseItem{{Procedure: p, From: ref("left")}}}, {Title: "Left alone", Items: []procedure.CourseItem{{Procedure: p, From: ref("left"), To: ref("left")}}}}
	a := newAgenda(lib.Courses[0])
	if len(a.Jobs) != 1 || a.Jobs[0].Variant.ID != "large" {
		t.Fatalf("%+v", a.Jobs)
	}
	if got := a.Groups; len(got[0]) != 1 || got[0][0].From != "right" || len(got[1]) != 0 {
		t.Errorf("%+v", got)
	}
	files := emit(t, lib)
	if facts := pagetest.Page(t, files, "course/week/plan.html").Texts(".plan-facts dd"); facts[len(facts)-1] != "Press: Large" {
		t.Errorf("%q", facts)
	}
	for _, at := range []string{"procedure/covers/times-small.html", "procedure/covers/times-large.html", "course/week/session-2.html"} {
		pagetest.Page(t, files, at)
	}
}

// Every word that the pages ask for is there in German too.
func TestGerman(t *testing.T) {
	lib := library()
	lib.Language = "de"
	for at, content := range emit(t, lib) {
		if strings.Contains(string(content), "[plan.") || strings.Contains(string(content), "[sheet.") {
			t.Errorf("%s lacks words", at)
		}
	}
	p := pagetest.Page(t, emit(t, lib), "course/week/session-2.html")
	pagetest.Expect(t, p, map[string][]string{".sheet-facts": {"Termin 2 von 2 · Doing"}})
}

// Four covers with a standard deviation of 2 minutes, two of them at 0.85 of the time: apart they deviate by 3.71 min, with a
// correlation of 0.3 by 5.11, and 5.5 are left. All of six teams keep a session as often as one of them does to the power of six.
func TestPlanForTeams(t *testing.T) {
	lib := library()
	lib.Courses[0].Pace.CommonPace, lib.Courses[0].Pace.Teams = 0.3, 6
	own := pagetest.Page(t, emit(t, lib), "course/week/plan.html").Texts(".split tbody tr")
	if len(own) < 2 || !strings.Contains(own[1], "in 90 % by 10:01") || !strings.Contains(own[1], "14 %. All 6 teams end in time: 40 %") {
		t.Errorf("%q", own)
	}
}

// Three teams and one trainer: "Count all" ends with his signature at 09:04 in each. Five minutes apart nobody waits, and the session
// still ends in time; where the teams need all of it, they start together, and the second and the third wait.
func TestVisitsOfTheTrainer(t *testing.T) {
	lib := library()
	lib.Courses[0].Pace.Teams = 3
	lib.Courses[0].Pace.Session = 120
	sheet := pagetest.Page(t, emit(t, lib), "course/week/session-2.html")
	if text := sheet.Text(); !strings.Contains(text, "Where you must be 3 teams, each of which starts 5 min after the one before. Due") ||
		!strings.Contains(text, "09:04 Team 1 Step 4: Count all 09:09 Team 2 Step 4: Count all 09:14 Team 3 Step 4: Count all") {
		t.Error(text)
	}
	lib.Courses[0].Pace.Session = 85
	if text := pagetest.Page(t, emit(t, lib), "course/week/session-2.html").Text(); !strings.Contains(text, "3 teams that start together.") ||
		!strings.Contains(text, "09:04 Team 2 Step 4: Count all waits 5 min: you are with team 1") || !strings.Contains(text, "waits 10 min: you are with team 2") {
		t.Error(text)
	}
	lib.Courses[0].Pace.Teams = 1
	if text := pagetest.Page(t, emit(t, lib), "course/week/session-2.html").Text(); strings.Contains(text, "Where you must be") {
		t.Error(text)
	}
}
