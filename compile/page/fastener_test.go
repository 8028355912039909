package page

import (
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
)

func shellIn(t *testing.T, lang string) Shell {
	t.Helper()
	theme := pagetest.Theme(t)
	words, err := theme.Words(lang)
	assert.NilError(t, err)
	return Shell{Words: words}
}

func TestThreadAndLength(t *testing.T) {
	for _, c := range []struct{ thread, length, want string }{
		{"M12x1.25", "40 mm", "M12×1.25 × 40 mm"},
		{"M8", "", "M8"},
		{"", "40 mm", "40 mm"},
		{"", "", ""},
	} {
		f := &procedure.Fastener{Thread: c.thread}
		if c.length != "" {
			f.Length = measure.Must(c.length)
		}
		if got := shellIn(t, "en").ThreadAndLength(f); got != c.want {
			t.Errorf("%s, %s: %q, want %q", c.thread, c.length, got, c.want)
		}
	}
	for thread, want := range map[string]string{"M12x1.25": "M12×1.25 LH", "M12 LH": "M12 LH", "": "LH"} {
		if got := shellIn(t, "en").ThreadAndLength(&procedure.Fastener{Thread: thread, Hand: procedure.LeftHand}); got != want {
			t.Errorf("left-hand %s: %q, want %q", thread, got, want)
		}
	}
}

// A left-hand thread is undone clockwise: common practice, no source.
func TestHandOfAThread(t *testing.T) {
	left := &procedure.Fastener{Hand: procedure.LeftHand}
	for _, c := range []struct {
		verb   procedure.Verb
		en, de string
	}{
		{procedure.Remove, "turn clockwise to undo", "zum Lösen rechtsherum drehen"},
		{procedure.Loosen, "turn clockwise to undo", "zum Lösen rechtsherum drehen"},
		{procedure.Fit, "turn anticlockwise to tighten", "zum Anziehen linksherum drehen"},
		{procedure.Tighten, "turn anticlockwise to tighten", "zum Anziehen linksherum drehen"},
	} {
		if got := shellIn(t, "en").Hand(left, c.verb); got != "Left-hand thread: "+c.en {
			t.Errorf("%s: %q", c.verb, got)
		}
		if got := shellIn(t, "de").Hand(left, c.verb); got != "Linksgewinde: "+c.de {
			t.Errorf("%s: %q", c.verb, got)
		}
		if got := shellIn(t, "en").Hand(&procedure.Fastener{}, c.verb); got != "" {
			t.Errorf("%s of a right-hand thread: %q", c.verb, got)
		}
	}
	if got := shellIn(t, "en").Hand(left, procedure.Clean); got != "" {
		t.Errorf("clean: %q", got)
	}
}

// The other unit by 1 lbf·ft = 1.3558179483314004 N·m and 1 kgf·m = 9.80665 N·m, which are
// exact by definition: 18/1.35582 = 13.276, 9/1.35582 = 6.638, 260/1.35582 = 191.77,
// 0.5/1.35582 = 0.36878, 59·1.35582 = 79.993, 8·9.80665 = 78.453.
func TestTorqueInBothUnits(t *testing.T) {
	for _, c := range []struct{ lang, torque, newtonMetres, footPounds string }{
		{"en", "18 N·m", "18 N·m", "13.3 lbf·ft"},
		{"en", "12.5 N·m", "12.5 N·m", "9.22 lbf·ft"},
		{"en", "9.0 N·m", "9.0 N·m", "6.64 lbf·ft"},
		{"de", "9 N·m", "9 N·m", "6,64 lbf·ft"},
		{"en", "260 N·m", "260 N·m", "192 lbf·ft"},
		{"en", "0.5 N·m", "0.5 N·m", "0.369 lbf·ft"},
		{"en", "59 lbf·ft", "80 N·m", "59 lbf·ft"},
		{"en", "8 kgf·m", "8 kgf·m = 78.5 N·m", "57.9 lbf·ft"},
		{"en", "8 kg", "8 kg", ""},
	} {
		newtonMetres, footPounds := shellIn(t, c.lang).Torque(measure.Must(c.torque))
		if newtonMetres != c.newtonMetres || footPounds != c.footPounds {
			t.Errorf("%s: %q, %q; want %q, %q", c.torque, newtonMetres, footPounds, c.newtonMetres, c.footPounds)
		}
	}
}

func TestTightening(t *testing.T) {
	f := &procedure.Fastener{Torque: measure.Must("80 N·m"), Tolerance: measure.Must("5 %"), Angle: measure.Must("90 deg")}
	if got := shellIn(t, "en").Tightening(f); got != "80 N·m (59 lbf·ft) ± 5 % + 90°" {
		t.Errorf("got %q", got)
	}
	f.Tolerance, f.Angle = measure.Quantity{}, measure.Quantity{}
	if got := shellIn(t, "en").Tightening(f); got != "80 N·m (59 lbf·ft)" {
		t.Errorf("got %q", got)
	}
	if got := shellIn(t, "en").Tightening(&procedure.Fastener{}); got != "" {
		t.Errorf("no torque: %q", got)
	}
}

// What is written is allowed: both ends lie inside, and count as right where the window is asked for.
func TestWindowsAreRoundedInwards(t *testing.T) {
	for _, c := range []struct{ torque, tolerance, unit, want string }{
		{"108.5 N·m", "5 %", "N·m", "103.1–113.9 N·m"}, // 103.075 to 113.925
		{"80 N·m", "5 %", "N·m", "76–84 N·m"},
		{"80 N·m", "5 %", "lbf·ft", "56.06–61.95 lbf·ft"}, // 56.055 to 61.956
		{"8 N·m", "10 %", "N·m", "7.2–8.8 N·m"},
		{"80 N·m", "0.001 N·m", "N·m", "79.999–80.001 N·m"}, // more digits rather than nothing
	} {
		q := measure.Must(c.torque)
		low, high, err := q.Window(measure.Must(c.tolerance))
		assert.NilError(t, err)
		got := shellIn(t, "en").Window(low, high, c.unit, 4)
		if got != c.want {
			t.Errorf("%s ± %s: %s, want %s", c.torque, c.tolerance, got, c.want)
		}
		from, to, _ := strings.Cut(strings.TrimSuffix(got, " "+c.unit), "–")
		question := &procedure.Question{ID: "x", Kind: procedure.NumberAnswer, Number: q, Tolerance: measure.Must(c.tolerance), Points: 1}
		for _, number := range []string{from, to} {
			if !quiz.Right(question, quiz.Answer{Number: number, Unit: c.unit}) {
				t.Errorf("%s ± %s: %s %s stands on the sheet and is wrong in the quiz", c.torque, c.tolerance, number, c.unit)
			}
		}
	}
}
