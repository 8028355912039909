package content_test

import (
	"fmt"
	"io/fs"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/refit"
	"matchmark/procedure/risk"
	"matchmark/procedure/supplies"
)

// partlyShown are the fasteners of which a figure shows fewer than there are, and the words of its description that say so.
var partlyShown = map[string]string{
	"mixer-overall 1": "Four of its eight screws show",
	"pump-set 1":      "A guard of sheet covers the coupling",
	"pump-set 2":      "two of them in sight",
	"fan-on-table 4":  "One of the two upper and one of the two lower nuts show",
	"blower-set 1":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 2":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 3":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 4":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 5":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"bell-face 4":     "Two guide pins sit in the two upper holes, and bolts in the other six",
	"fan-on-table 5":  "One of the two upper and one of the two lower nuts show",
}

// TestFiguresCountAsTheRowsDo: a figure points at as many pieces of a fastener as its row counts, or its description says how many show.
func TestFiguresCountAsTheRowsDo(t *testing.T) {
	for _, m := range load(t).Machines {
		counts := map[string]int{}
		for _, f := range m.Fasteners {
			counts[f.ID] = max(f.Count, 1)
		}
		for _, f := range m.Figures {
			points := map[string]int{}
			for _, b := range f.Balloons {
				if counts[b.Ref.ID] > 0 {
					points[b.Ref.ID] += len(b.Targets)
				}
			}
			for no, n := range points {
				words, partly := partlyShown[f.ID+" "+no]
				switch {
				case n > counts[no]:
					t.Errorf("%s, %s: the figure points at %d pieces of fastener %s, and there are %d", m.ID, f.ID, n, no, counts[no])
				case n < counts[no] && !(partly && strings.Contains(f.Describe, words)):
					t.Errorf("%s, %s: the figure points at %d of %d pieces of fastener %s, and its description does not say that", m.ID, f.ID, n, counts[no], no)
				}
			}
		}
	}
}

// TestFiguresHaveLeftAndRightWhereTheRowsHave: a figure that shows a part of one side shows it on that side of the gearbox, and what two
// figures from the same side show stands on the same side in both.
func TestFiguresHaveLeftAndRightWhereTheRowsHave(t *testing.T) {
	lib := load(t)
	mixer := machineNamed(t, lib, "spiral-mixer")
	centre := map[string]float64{"open-column": 400, "feet-left": 464, "feet-right": 334} // the shaft, in the units of each picture
	side := func(figure, ref string) string {
		for _, f := range mixer.Figures {
			if f.ID != figure {
				continue
			}
			for _, b := range f.Balloons {
				if b.Ref.ID == ref {
					if b.Targets[0].X < centre[figure] {
						return "left"
					}
					return "right"
				}
			}
		}
		return ""
	}
	for figure := range centre {
		for _, p := range mixer.Parts {
			if at := side(figure, p.ID); p.Side != "" && at != "" && at != string(p.Side) {
				t.Errorf("%s shows the %s at the %s", figure, p.ID, at)
			}
		}
		if at := side(figure, "19"); at != "right" {
			t.Errorf("%s shows the rear bolt at the %s; seen from behind it stands at the right", figure, at)
		}
	}
	sheeter := machineNamed(t, lib, "dough-sheeter")
	for _, f := range sheeter.Figures {
		for _, b := range f.Balloons {
			if f.ID == "scraper-and-block" && (b.Ref.ID == "left-cap" && b.Targets[0].X > 400 || b.Ref.ID == "right-cap" && b.Targets[0].X < 400) {
				t.Errorf("%s shows the %s on the wrong side", f.ID, b.Ref.ID)
			}
		}
	}
}

// numbers as descriptions write them.
var numbers = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "six": 6, "eight": 8, "ten": 10}

// TestDescriptionsCountAsTheRowsDo: where a description says how many there are of what the figure is about, the row says the same.
func TestDescriptionsCountAsTheRowsDo(t *testing.T) {
	lib := load(t)
	for _, x := range []struct{ machine, figure, words, no string }{
		{"spiral-mixer", "mixer-overall", "of its %n screws show", "1"},
		{"spiral-mixer", "open-column", "held by %n bolts", "2"},
		{"spiral-mixer", "header-tank", "held by %n bolts", "9"},
		{"spiral-mixer", "feet-left", "%n bolts hold it to the casing", "15"},
		{"spiral-mixer", "feet-left", "%n hold it to the rail", "16"},
		{"spiral-mixer", "feet-right", "%n bolts hold it to the casing", "17"},
		{"spiral-mixer", "feet-right", "%n hold it to the rail", "18"},
		{"dough-sheeter", "sheeter-overall", "turns on %n hinge pins", "1"},
		{"dough-sheeter", "scraper-and-block", "held by %n screws", "2"},
		{"dough-sheeter", "scraper-and-block", "A cap with %n bolts closes each block", "6"},
		{"deck-oven", "oven-panel", "%n screws hold the rear panel", "1"},
		{"deck-oven", "oven-fan", "held by %n spring clips", "2"},
	} {
		m := machineNamed(t, lib, x.machine)
		for _, f := range m.Figures {
			if f.ID != x.figure {
				continue
			}
			found := false
			for word, n := range numbers {
				if strings.Contains(strings.ToLower(f.Describe), strings.ToLower(strings.ReplaceAll(x.words, "%n", word))) {
					found = true
					if row := rowNumbered(m, x.no); row == nil || max(row.Count, 1) != n {
						t.Errorf("%s: the description says %s, and the row of %s does not", x.figure, strings.ReplaceAll(x.words, "%n", word), x.no)
					}
				}
			}
			if !found {
				t.Errorf("%s: the description no longer says %q", x.figure, x.words)
			}
		}
	}
}

// TestStrokesAreAsTheRowsSay: one stroke marks the left twin and two the right one, in rows and descriptions.
func TestStrokesAreAsTheRowsSay(t *testing.T) {
	lib := load(t)
	for _, x := range []struct{ machine, part, figure, words string }{
		{"spiral-mixer", "left-foot", "feet-left", "One paint stroke crosses foot and casing"},
		{"spiral-mixer", "right-foot", "feet-right", "Two paint strokes cross foot and casing"},
		{"dough-sheeter", "left-cap", "scraper-and-block", "One paint stroke crosses the left seam"},
		{"dough-sheeter", "right-cap", "scraper-and-block", "two cross the right seam"},
	} {
		m := machineNamed(t, lib, x.machine)
		strokes := strings.ToLower(strings.Fields(x.words)[0])
		for _, p := range m.Parts {
			if p.ID == x.part && !strings.Contains(p.Mark, strokes+" stroke") {
				t.Errorf("%s: the row says %q, the figure %q", x.part, p.Mark, x.words)
			}
		}
		for _, f := range m.Figures {
			if f.ID == x.figure && !strings.Contains(f.Describe, x.words) {
				t.Errorf("%s: the description does not say %q", f.ID, x.words)
			}
		}
	}
}

func machineNamed(t *testing.T, lib *procedure.Library, id string) *procedure.Machine {
	t.Helper()
	for _, m := range lib.Machines {
		if m.ID == id {
			return m
		}
	}
	t.Fatalf("no machine %s", id)
	return nil
}

func rowNumbered(m *procedure.Machine, no string) *procedure.Fastener {
	for _, f := range m.Fasteners {
		if f.ID == no {
			return f
		}
	}
	return nil
}

// TestWordsCountAsTheRowsDo: where a job or a quiz counts fasteners of several rows in one breath, the rows add up to that.
func TestWordsCountAsTheRowsDo(t *testing.T) {
	lib := load(t)
	for _, x := range []struct {
		file, machine, words string
		nos                  []string
		less                 int // pieces that the words leave out
	}{
		{"procedures/mixer-gearbox-out.md", "spiral-mixer", "Undo the %n lower screws first", []string{"1"}, 2},
		{"procedures/mixer-gearbox-out.md", "spiral-mixer", "Count %n screws into Bag 1", []string{"1"}, 0},
		{"procedures/mixer-gearbox-out.md", "spiral-mixer", "Loosen all %n bolts of both feet", []string{"15", "16", "17", "18"}, 0},
		{"procedures/mixer-gearbox-out.md", "spiral-mixer", "%n foot bolts and the rear bolt lie in their bags", []string{"15", "16", "17", "18"}, 0},
		{"procedures/mixer-gearbox-out.md", "spiral-mixer", "Count %n sealing rings off", []string{"8", "8"}, 0},
		{"procedures/sheeter-roller-out.md", "dough-sheeter", "Loosen all %n bolts by one turn", []string{"6", "7"}, 0},
		{"procedures/sheeter-roller-out.md", "dough-sheeter", "Undo the %n lower screws first", []string{"3"}, 2},
		{"procedures/oven-fan-out.md", "deck-oven", "Undo the %n lower nuts", []string{"4"}, 0},
		{"procedures/oven-fan-out.md", "deck-oven", "on each of the %n studs", []string{"4", "5"}, 0},
		{"procedures/blower-motor-out.md", "flour-blower", "Undo the other %n bell bolts", []string{"4"}, 2},
		{"procedures/coupling-guard-off.md", "water-pump", "Undo the %n screws. Lift", []string{"1"}, 0},
		{"procedures/coupling-guard-off.md", "flour-blower", "Undo the %n screws. Lift", []string{"1"}, 0},
		{"quizzes/mixer-quiz.md", "spiral-mixer", "The %n motor slide bolts", []string{"3"}, 0},
		{"quizzes/mixer-quiz.md", "spiral-mixer", "the %n motor bolts are loose", []string{"3"}, 0},
		{"quizzes/blower-quiz.md", "flour-blower", "Undo the other %n bell bolts", []string{"4"}, 2},
	} {
		sum := -x.less
		for _, no := range x.nos {
			sum += max(rowNumbered(machineNamed(t, lib, x.machine), no).Count, 1)
		}
		text, found := textOf(t, x.file), false
		for word, n := range numbers {
			if strings.Contains(text, strings.ToLower(strings.ReplaceAll(x.words, "%n", word))) {
				found = true
				if n != sum {
					t.Errorf("%s says %s, and the rows have %d", x.file, strings.ReplaceAll(x.words, "%n", word), sum)
				}
			}
		}
		if !found {
			t.Errorf("%s no longer says %q", x.file, x.words)
		}
	}
}

// TestWorkedFiguresAreRight: what the words work out follows from the rows, on both variants.
//
// Source: a chain is worn out at 2 % (common practice, no source); a leg carries its share of the load over the sine of its angle.
func TestWorkedFiguresAreRight(t *testing.T) {
	sine := math.Sin(math.Pi / 3)
	down := func(mm float64) float64 { return math.Floor(mm*10) / 10 } // a limit is never rounded up
	for _, x := range []struct {
		file, words string
		value       float64
	}{
		{"procedures/mixer-gearbox-out.md", "New, 20 pitches measure %.1f mm", 20 * 15.875},
		{"procedures/mixer-gearbox-out.md", "pulled straight: at most %.1f mm", down(20 * 15.875 * 1.02)},
		{"procedures/mixer-gearbox-out.md", "At 60 degrees each leg carries %.0f kg", 64 / 2 / sine},
		{"procedures/mixer-gearbox-out.md", "At 30 degrees it carries %.0f kg", 64},
		{"quizzes/mixer-quiz.md", `answer="%.0f kg" tolerance="2 kg"`, 64 / 2 / sine},
		{"procedures/sheeter-roller-out.md", "pulled straight: at most %.1f mm", down(20 * 9.525 * 1.02)},
		{"procedures/sheeter-roller-out.md", "That end is heavier by %.0f kg", 34 * 2 * 10 / 680.0},
		{"quizzes/sheeter-quiz.md", "20 pitches of this chain measure %.1f mm", 20 * 9.525},
		{"quizzes/sheeter-quiz.md", `answer="%.1f mm" tolerance="0.2 mm"`, down(20 * 9.525 * 1.02)},
		{"quizzes/blower-quiz.md", `answer="%.0f kg" tolerance="10 kg"`, 380 * 300 / 550.0},
		{"procedures/oven-fan-out.md", "The panel is %.0f kg of sharp sheet", mass(t, "deck-oven", "rear-panel")},
		{"refits/oven-fan-back.md", "The panel is %.0f kg of sharp sheet", mass(t, "deck-oven", "rear-panel")},
		{"procedures/oven-fan-out.md", "The fan unit weighs %.0f kg", mass(t, "deck-oven", "fan-unit")},
		{"refits/oven-fan-back.md", "The fan unit weighs %.0f kg", mass(t, "deck-oven", "fan-unit")},
		{"procedures/sheeter-roller-out.md", "The roller weighs %.0f kg with its bearings", mass(t, "dough-sheeter", "roller", "bearings")},
		{"refits/sheeter-roller-back.md", "The roller weighs %.0f kg with its bearings", mass(t, "dough-sheeter", "roller", "bearings")},
		{"quizzes/sheeter-quiz.md", "%.0f kg come down without a word", mass(t, "dough-sheeter", "roller", "bearings")},
		{"procedures/mixer-gearbox-out.md", "The motor weighs %.0f kg", mass(t, "spiral-mixer", "motor")},
		{"procedures/mixer-gearbox-out.md", "The gearbox weighs %.0f kg", mass(t, "spiral-mixer", "gearbox")},
		{"refits/mixer-gearbox-back.md", "The hub weighs %.1f kg", mass(t, "spiral-mixer", "hub")},
		{"quizzes/mixer-quiz.md", "The gearbox weighs %.0f kg", mass(t, "spiral-mixer", "gearbox")},
		{"quizzes/blower-quiz.md", "The blower weighs %.0f kg", mass(t, "flour-blower", "blower")},
	} {
		if words := fmt.Sprintf(x.words, x.value); !strings.Contains(textOf(t, x.file), strings.ToLower(words)) {
			t.Errorf("%s does not say %q", x.file, words)
		}
	}
}

// mass is that of parts together, in kilograms.
func mass(t *testing.T, machine string, parts ...string) (kg float64) {
	t.Helper()
	for _, p := range machineNamed(t, load(t), machine).Parts {
		if slices.Contains(parts, p.ID) {
			kg += p.Mass.Float("kg")
		}
	}
	return kg
}

// TestSidesAreToldAlike: a side, and the strokes that mark it, are the same wherever the job, its way back and its quiz tell them.
func TestSidesAreToldAlike(t *testing.T) {
	for _, x := range []struct{ file, words string }{
		{"procedures/mixer-gearbox-out.md", "Let its end rest on the right rail"},
		{"procedures/mixer-gearbox-out.md", "Right rail to loosen, left rail to tighten"},
		{"procedures/mixer-gearbox-out.md", "the hub presses the bar down on the right"},
		{"procedures/mixer-gearbox-out.md", "One stroke for the left foot, two for the right"},
		{"refits/mixer-gearbox-back.md", "Let its end rest on the left rail this time"},
		{"refits/mixer-gearbox-back.md", "Two strokes, right foot"},
		{"quizzes/mixer-quiz.md", "You loosen the hub nut. Why does the holding bar rest on the right rail?"},
		{"quizzes/mixer-quiz.md", "One stroke marks the left foot. Two strokes mark the right foot."},
		{"procedures/sheeter-roller-out.md", "Draw one stroke across the left seam. Draw two strokes across the right seam."},
		{"refits/sheeter-roller-back.md", "Take the cap with one stroke out of the tray marked L. It goes on the left block."},
		{"refits/sheeter-roller-back.md", "Take the cap with two strokes out of the tray marked R. It goes on the right block."},
		{"procedures/mixer-gearbox-out.md", "Tie the guide rope to the right eye"},
		{"machines/spiral-mixer.md", "A guide rope leads from the right eye to the right"},
	} {
		if !strings.Contains(textOf(t, x.file), strings.ToLower(x.words)) {
			t.Errorf("%s does not say %q", x.file, x.words)
		}
	}
}

var (
	wrenchSet = regexp.MustCompile(`set the torque wrench to ([0-9.]+) n·m`)
	readUntil = regexp.MustCompile(`(?:until you read|set it to|gives) ([0-9.]+) mm`)
	mmLimits  = regexp.MustCompile(`: ([0-9.]+) mm to ([0-9.]+) mm`)
)

// TestWordsSetWhatTheStepTightensAndMeasures: a wrench is set to a torque of the step, and what is set in millimetres lies within a limit of it.
func TestWordsSetWhatTheStepTightensAndMeasures(t *testing.T) {
	lib, wrenches, settings := load(t), 0, 0
	for _, p := range lib.Procedures {
		for _, s := range p.WrittenSteps() {
			var torques []string
			for _, a := range s.Actions() {
				if x := p.Machine.Thing(a.Object.ID); x != nil && x.Fastener != nil && a.Verb != procedure.Loosen {
					torques = append(torques, strconv.FormatFloat(x.Fastener.Torque.Float("N·m"), 'g', -1, 64))
				}
			}
			words := strings.ToLower(wordsOf(s))
			for _, m := range wrenchSet.FindAllStringSubmatch(words, -1) {
				if wrenches++; !slices.Contains(torques, m[1]) && s.ID != "foot-check" { // tried at the torque that it has
					t.Errorf("%s: the wrench is set to %s N·m, and the step tightens to %v", s.ID, m[1], torques)
				}
			}
			limits := mmLimits.FindAllStringSubmatch(words, -1)
			for _, m := range readUntil.FindAllStringSubmatch(words, -1) {
				mm, _ := strconv.ParseFloat(m[1], 64)
				settings++
				if !slices.ContainsFunc(limits, func(l []string) bool {
					low, _ := strconv.ParseFloat(l[1], 64)
					high, _ := strconv.ParseFloat(l[2], 64)
					return low < mm && mm < high
				}) {
					t.Errorf("%s: the words set %s mm, and no limit of the step has that inside: %v", s.ID, m[1], limits)
				}
			}
		}
	}
	if wrenches < 4 || settings < 3 {
		t.Errorf("the words set %d wrenches and %d gaps: too few to be held against anything", wrenches, settings)
	}
}

// wordsOf are all words of a step, with its limits as they are written.
func wordsOf(s *procedure.Step) string {
	var out strings.Builder
	s.EachProse(func(p procedure.Prose) { out.WriteString(p.Plain() + "\n") })
	for _, b := range s.Blocks {
		if looks := b.Shows().Looks; looks != nil {
			for _, i := range looks.Items {
				out.WriteString(": " + i.Accept.Plain() + "\n")
			}
		}
	}
	return out.String()
}

// TestListsHoldWhatTheVariantHas: nothing that only the other variant needs lies ready, out or back.
func TestListsHoldWhatTheVariantHas(t *testing.T) {
	lib := load(t)
	jobs := []*procedure.Job{}
	for _, p := range lib.Procedures {
		back := refit.Derive(p, refit.AdditionsOf(p), func(key string, _ ...any) string { return key })
		jobs = append(jobs, append(p.Jobs(), back.Jobs()...)...)
	}
	for _, job := range jobs {
		if job.Variant != nil {
			for _, g := range supplies.For(job).Tools {
				for _, tool := range g.Tools {
					if !job.Has(tool.ID) {
						t.Errorf("%s, %s: %s lies ready, and the variant has no use for it", job.Procedure.ID, job.Variant.ID, tool.ID)
					}
				}
			}
		}
	}
}

// TestPermitCountsEachTrade: two trades work on the pump, one after the other, and both hang a lock on each source.
func TestPermitCountsEachTrade(t *testing.T) {
	for _, p := range load(t).Procedures {
		if p.ID != "pump-align" {
			continue
		}
		for _, s := range risk.Sources(analysis.New(p).Jobs[0]) {
			for _, k := range s.Kept {
				if k.ID != "dead" && k.Locks != 2 { // no lock proves dead
					t.Errorf("%s: %d locks on %s", s.ID, k.Locks, k.ID)
				}
			}
		}
		return
	}
	t.Error("there is no pump")
}

// textOf is a file of the demo in small letters, with each line end a space.
func textOf(t *testing.T, name string) string {
	t.Helper()
	data, err := fs.ReadFile(content.Library(), name)
	if err != nil {
		t.Fatal(err)
	}
	return strings.ToLower(strings.Join(strings.Fields(string(data)), " "))
}
