package fastening

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/published"
)

// Source: tensile stress areas of ASME B1.1 as printed in public bolt torque guides; the computed column by Python 3. A printed
// area has three or four figures.
func TestPublishedInchThreads(t *testing.T) {
	for _, row := range published.Rows(t, "23_unc_unf.csv") {
		thread, err := ParseThread(row["designation"] + " " + row["series"])
		assert.NilError(t, err)
		if thread.Coarse != (row["series"] == "UNC") || float64(thread.PerInch) != row.Number(t, "tpi") || math.Abs(thread.Diameter/25.4-row.Number(t, "D_in")) > 1e-9 {
			t.Errorf("%s %s is read as %+v", row["designation"], row["series"], thread)
		}
		area := thread.StressArea() / (25.4 * 25.4)
		if printed := row.Number(t, "at_printed"); !within(area, printed, 0.005) {
			t.Errorf("%s: stress area %.5f in², printed %v", thread, area, printed)
		}
		if computed := row.Number(t, "at_computed"); math.Abs(area-computed) > 6e-6+1e-5*computed {
			t.Errorf("%s: stress area %.6f in², computed %v", thread, area, computed)
		}
	}
}

// Source: SAE J429 and ASTM A193 strengths by public copies. B7 has no proof stress, so that no share of one is worked out.
func TestPublishedGrades(t *testing.T) {
	for _, row := range published.Rows(t, "24_sae_grades.csv") {
		name := row["grade"]
		if row["standard"] == "SAE J429" {
			name = "Grade " + name
		}
		c, err := ParseClass(name)
		assert.NilError(t, err)
		_, upTo, _ := strings.Cut(row["size_in"], "thru ")
		d := inchesOf(t, upTo) * 25.4
		tensile := row.Number(t, "tensile_mpa")
		if got := c.of(d); math.Abs(got.tensile-tensile) > 0.05 {
			t.Errorf("%s at %s in: tensile %v MPa, want %v", c.Name, upTo, got.tensile, tensile)
		}
		if row["proof_mpa"] == "" {
			assert.Equal(t, c.Proof(d), 0.0)
		} else if want := row.Number(t, "proof_mpa"); math.Abs(c.Proof(d)-want) > 0.05 {
			t.Errorf("%s at %s in: proof %v MPa, want %v", c.Name, upTo, c.Proof(d), want)
		}
	}
}

// inchesOf reads "1-1/2" and "2-1/2".
func inchesOf(t *testing.T, s string) float64 {
	whole, part, mixed := strings.Cut(s, "-")
	if !mixed {
		whole, part = "0", s
		if !strings.Contains(s, "/") {
			return published.Number(t, s)
		}
	}
	over, under, _ := strings.Cut(part, "/")
	return published.Number(t, whole) + published.Number(t, over)/published.Number(t, under)
}

// Source: a published table of tightening torques (K 0.2, 75 % of proof), recomputed with Python 3. Rows that the table gets
// wrong are marked in the file: the expected values hold for them too.
func TestPublishedInchTorques(t *testing.T) {
	type row struct {
		Thread, Grade string
		Force         float64 `json:"F_lbf_expected"`
		Torque        float64 `json:"T_lbft_expected"`
		Printed       float64 `json:"T_lbft_printed"`
		Wrong         string  `json:"print_error"`
	}
	var file struct {
		Table struct{ Rows []row } `json:"table_A"`
	}
	published.JSON(t, "25_inch_torque_examples.json", &file)
	assert.Equal(t, len(file.Table.Rows), 56)
	const pound = 4.4482216152605 // N
	for _, r := range file.Table.Rows {
		thread, err := ParseThread(r.Thread)
		assert.NilError(t, err)
		class, err := ParseClass("Grade " + r.Grade)
		assert.NilError(t, err)
		force := 0.75 * ProofLoad(thread, class)
		if !within(force/pound, r.Force, 0.006) {
			t.Errorf("%s Grade %s: %.0f lbf, want %v", thread, r.Grade, force/pound, r.Force)
		}
		feet := Torque(0.2, force, thread.Diameter) / 1.3558179483314004
		if !within(feet, r.Torque, 0.012) {
			t.Errorf("%s Grade %s: %.2f lbf·ft, want %v", thread, r.Grade, feet, r.Torque)
		}
		if wrong := !within(feet, r.Printed, 0.02); wrong != (r.Wrong != "") {
			t.Errorf("%s Grade %s: printed %v, worked out %.2f", thread, r.Grade, r.Printed, feet)
		}
	}
}

// Source: ASME B18.2.1 across flats and B18.3 keys, by public copies.
func TestPublishedInchHeads(t *testing.T) {
	checked := 0
	for _, row := range published.Rows(t, "26_drive_sizes.csv") {
		if row["kind"] != "I" {
			continue
		}
		thread, err := ParseThread(row["size"] + " UNC")
		assert.NilError(t, err)
		h, known := headOf(thread)
		assert.Assert(t, known, row["size"])
		if mm := row["across_flats_mm"]; mm != "" && math.Abs(h.flats-published.Number(t, mm)) > 0.006 {
			t.Errorf("%s: %v mm across flats, want %s", thread, h.flats, mm)
		}
		if key, found := strings.CutSuffix(row["key"], " in"); found && math.Abs(h.key-inchesOf(t, key)*25.4) > 1e-9 {
			t.Errorf("%s: key %v mm, want %s", thread, h.key, row["key"])
		}
		checked++
	}
	assert.Equal(t, checked, 16)
}

func TestInchDesignations(t *testing.T) {
	for s, want := range map[string]string{
		"1/2-13 UNC": "1/2-13 UNC", "1/2-13": "1/2-13 UNC", "1/2 UNF": "1/2-20 UNF", "#10-32 UNF": "#10-32 UNF", `3/8"-16`: "3/8-16 UNC", "1-8 UNC": "1-8 UNC",
		"1 1/8-7": "1-1/8-7 UNC", "1-1/8-12 UNF-2A": "1-1/8-12 UNF-2A", "5/8 in-11 UNC-2A-LH": "5/8-11 UNC-2A-LH",
	} {
		thread, err := ParseThread(s)
		if err != nil || thread.String() != want {
			t.Errorf("%s is read as %s, %v; want %s", s, thread, err, want)
		}
	}
	for _, s := range []string{"1/2-20 UNC", "1/2-13 UNF", "1/2-14", "5/7-12", "#11-24"} {
		var e *measure.ParseError
		if _, err := ParseThread(s); !errors.As(err, &e) {
			t.Errorf("%s: %v", s, err)
		}
	}
	for _, s := range []string{"1/2-14 NPT", "G 1/2", "1/2", "1/2-28 UNEF", "1/4-32 UNEF", "BSW 1/2"} {
		if _, err := ParseThread(s); !errors.Is(err, ErrNotCovered) {
			t.Errorf("%s: %v", s, err)
		}
	}
	for _, s := range []string{"Grade 5", "grade 5", "Gr. 5", "SAE J429 Grade 5", "SAE 5"} {
		if c, err := ParseClass(s); err != nil || c.Name != "Grade 5" {
			t.Errorf("%s: %v, %v", s, c.Name, err)
		}
	}
	for _, s := range []string{"B7", "ASTM A193 B7", "Grade B7"} {
		if c, err := ParseClass(s); err != nil || c.Name != "B7" {
			t.Errorf("%s: %v, %v", s, c.Name, err)
		}
	}
}

func TestInchTorques(t *testing.T) {
	for _, c := range []struct {
		thread, class, torque string
		outcome               Outcome
		reason                Reason
	}{
		{"1/2-13 UNC", "Grade 5", "75 lbf·ft", Plausible, ""},
		{"1/2-13 UNC", "Grade 5", "102 N·m", Plausible, ""},
		{"1/2-13 UNC", "Grade 2", "120 lbf·ft", TooHigh, ""},
		{"1/2-13 UNC", "B7", "75 lbf·ft", NotChecked, NoProof},
		{"1/2-13 UNC", "8.8", "75 lbf·ft", NotChecked, OtherFamily},
		{"M12", "Grade 5", "80 N·m", NotChecked, OtherFamily},
		{"#10-24 UNC", "Grade 5", "3 lbf·ft", NotChecked, NotInClass},
	} {
		f := fastener(procedure.Bolt, c.thread, c.class, c.torque)
		f.Treatment = "dry"
		if v := CheckTorque(f); v.Outcome != c.outcome || v.Reason != c.reason {
			t.Errorf("%s %s %s: %v %q, want %v %q", c.thread, c.class, c.torque, v.Outcome, v.Reason, c.outcome, c.reason)
		}
	}
}

// TestFrictionDoubt: dry steel has no friction of paste, and paste none of dry steel.
//
// Source: public torque tables of the trade; the margin of a fifth is common practice, no source.
func TestFrictionDoubt(t *testing.T) {
	for _, c := range []struct {
		treatment string
		k         float64
		doubted   bool
	}{
		{"dry", 0.2, false}, {"dry", 0.25, false}, {"dry", 0.1, true}, {"oil", 0.16, false}, {"oil", 0.35, true}, {"molybdenum paste", 0.2, true}, {"molybdenum paste", 0.13, false},
		{"anti-seize", 0.14, false}, {"threadlocker", 0.4, false}, {"dry", 0, false},
	} {
		if _, got := FrictionDoubt(&procedure.Fastener{Treatment: c.treatment, Friction: c.k}); got != c.doubted {
			t.Errorf("K %v, %s: doubted %v", c.k, c.treatment, got)
		}
	}
}
