package fastening

import (
	"math"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/published"
)

func within(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

// Source: stress areas and proof loads of EN ISO 898-1 as printed by
// optimas.com (ISO metric thread proof loads); coarse pitches by
// engineeringtoolbox.com d_2026. The formula column was computed with Python 3.
func TestPublishedCoarseThreads(t *testing.T) {
	for _, row := range published.Rows(t, "06_metric_coarse.csv") {
		thread, err := ParseThread("M" + row["d_mm"])
		if err != nil {
			t.Errorf("M%s: %v", row["d_mm"], err)
			continue
		}
		if thread.Pitch != row.Number(t, "pitch_mm") || !thread.Coarse {
			t.Errorf("%s has pitch %v, want %s", thread, thread.Pitch, row["pitch_mm"])
		}
		if got := thread.StressArea(); math.Abs(got-row.Number(t, "as_formula")) > 6e-4 || !within(got, row.Number(t, "as_mm2"), 0.005) {
			t.Errorf("%s: stress area %.3f, want %s", thread, got, row["as_formula"])
		}
		for _, name := range []string{"4.6", "5.8", "8.8", "10.9", "12.9"} {
			class, err := ParseClass(name)
			assert.NilError(t, err)
			// The standard multiplies the rounded stress area and rounds once more.
			published := row.Number(t, "proof_"+name)
			if got := row.Number(t, "as_mm2") * class.Proof(thread.Diameter); !within(got, published, 0.0051) {
				t.Errorf("%s %s: proof load %.0f N from the published area, want %v", thread, name, got, published)
			}
			if got := ProofLoad(thread, class); !within(got, published, 0.0065) {
				t.Errorf("%s %s: proof load %.0f N, want %v", thread, name, got, published)
			}
			if got := thread.StressArea() * class.of(thread.Diameter).tensile; !within(got, row.Number(t, "uts_"+name), 0.01) {
				t.Errorf("%s %s: tensile load %.0f N, want %s", thread, name, got, row["uts_"+name])
			}
		}
	}
}

// Source: pitches and printed stress areas from memory; the formula column was computed with Python 3.
func TestFineThreads(t *testing.T) {
	for _, row := range published.Rows(t, "06_metric_fine.csv") {
		thread, err := ParseThread("M" + row["d_mm"] + "x" + row["pitch_mm"])
		if err != nil || thread.Coarse {
			t.Errorf("M%s×%s: %v, %v", row["d_mm"], row["pitch_mm"], thread, err)
			continue
		}
		if got := thread.StressArea(); math.Abs(got-row.Number(t, "as_formula")) > 6e-4 {
			t.Errorf("%s: stress area %.3f, want %s", thread, got, row["as_formula"])
		}
	}
}

// Source: ISO 262, selected sizes for bolts, screws and nuts, as printed by
// liquisearch.com (ISO metric screw thread, preferred sizes) and mlc.org.uk
// (metric thread pitch chart); both pages agree.
func TestSelectedSizes(t *testing.T) {
	for d, pitches := range map[float64][]float64{
		1.6: {0.35}, 2: {0.4}, 2.5: {0.45}, 3: {0.5}, 3.5: {0.6}, 4: {0.7}, 5: {0.8}, 6: {1}, 7: {1}, 8: {1.25, 1},
		10: {1.5, 1.25, 1}, 12: {1.75, 1.5, 1.25}, 14: {2, 1.5}, 16: {2, 1.5}, 18: {2.5, 2, 1.5}, 20: {2.5, 2, 1.5},
		22: {2.5, 2, 1.5}, 24: {3, 2}, 27: {3, 2}, 30: {3.5, 2}, 33: {3.5, 2}, 36: {4, 3}, 39: {4, 3}, 42: {4.5, 3},
		45: {4.5, 3}, 48: {5, 3}, 52: {5, 4}, 56: {5.5, 4}, 60: {5.5, 4}, 64: {6, 4},
	} {
		for i, pitch := range pitches {
			thread, err := ParseThread("M" + decimal(d) + "x" + decimal(pitch))
			if err != nil || thread.Coarse != (i == 0) {
				t.Errorf("M%v×%v: coarse %v, %v", d, pitch, thread.Coarse, err)
			}
		}
	}
}

// Source: ISO 898-1 strengths by public copies (scribd.com/document/338032810,
// aionlinecalculator.com); 5.8 implied by the published proof loads.
func TestPublishedClasses(t *testing.T) {
	for _, row := range published.Rows(t, "06_property_classes.csv") {
		class, err := ParseClass(row["class"])
		assert.NilError(t, err)
		for _, d := range map[string][]float64{"all": {3, 24}, "d<=16": {3, 16}, "d>16": {18, 24}}[row["d_range"]] {
			if class.Proof(d) != row.Number(t, "sp_mpa") || class.of(d).tensile != row.Number(t, "rm_min_mpa") {
				t.Errorf("%s at M%v: %v and %v MPa, want %s and %s", class.Name, d, class.Proof(d), class.of(d).tensile, row["sp_mpa"], row["rm_min_mpa"])
			}
		}
	}
	// Source: mem50212.com, bolt properties of ISO 898-1:1999.
	for name, proof := range map[string]float64{"4.8": 310, "9.8": 650} {
		if class, err := ParseClass(name); err != nil || class.Proof(10) != proof {
			t.Errorf("%s: %v MPa, %v", name, class.Proof(10), err)
		}
	}
}

// Source: worked examples of aionlinecalculator.com and engitoolbox.org (bolt
// torque calculators); the rest computed with Python 3. The file says which is which.
func TestPublishedTorques(t *testing.T) {
	var file struct {
		Examples []struct {
			D        float64 `json:"d_mm"`
			Area     float64 `json:"as_mm2"`
			Proof    float64 `json:"proof_mpa"`
			Fraction float64 `json:"fraction_of_proof"`
			K, F_N   float64
			T        float64 `json:"T_Nm"`
		}
	}
	published.JSON(t, "06_torque_examples.json", &file)
	if len(file.Examples) < 6 {
		t.Fatalf("%d examples", len(file.Examples))
	}
	for _, e := range file.Examples {
		if got := Torque(e.K, e.F_N, e.D); math.Abs(got-e.T) > 0.006 {
			t.Errorf("M%v, K %v, %v N: %.3f N·m, want %v", e.D, e.K, e.F_N, got, e.T)
		}
		if got := Preload(e.K, e.T, e.D); !within(got, e.F_N, 2e-4) {
			t.Errorf("M%v, K %v, %v N·m: %.1f N, want %v", e.D, e.K, e.T, got, e.F_N)
		}
		if e.Proof > 0 && !within(e.Fraction*e.Proof*e.Area, e.F_N, 1e-6) {
			t.Errorf("M%v: the example does not agree with itself", e.D)
		}
	}
}

// Source: across flats of ISO 4014 by machinecalcs.com and mlc.org.uk, DIN 933
// and DIN 912 by creativefasteners.co.in.
func TestPublishedKeys(t *testing.T) {
	for _, row := range published.Rows(t, "06_wrench_sizes.csv") {
		h, ok := headOf(Thread{Diameter: published.Number(t, row["d"][1:])})
		older := row.Number(t, "din_af")
		if older == h.flats {
			older = 0
		}
		if !ok || h.flats != row.Number(t, "iso_af") || h.key != row.Number(t, "socket_key") || h.olderFlats != older {
			t.Errorf("%s: %+v, want %v", row["d"], h, row)
		}
	}
	// Source: ISO 4032 by trojansf.co.uk/standards/iso-4032.
	for d, flats := range map[float64]float64{27: 41, 30: 46, 33: 50, 36: 55, 39: 60, 42: 65, 45: 70, 48: 75, 52: 80, 56: 85, 60: 90, 64: 95} {
		if h, ok := headOf(Thread{Diameter: d}); !ok || h.flats != flats {
			t.Errorf("M%v: %v mm across flats, want %v", d, h.flats, flats)
		}
	}
	// Source: ISO 10642 by engineeringhardware.com, ISO 4026 by a public copy of DIN EN ISO 4026 (fastenitpublic).
	for d, keys := range map[float64][2]float64{3: {2, 1.5}, 4: {2.5, 2}, 5: {3, 2.5}, 6: {4, 3}, 8: {5, 4}, 10: {6, 5}, 12: {8, 6}, 16: {10, 8}, 20: {12, 10}, 24: {14, 12}} {
		if h, _ := headOf(Thread{Diameter: d}); h.countersunk != keys[0] || h.setScrew != keys[1] {
			t.Errorf("M%v: countersunk %v, set screw %v, want %v", d, h.countersunk, h.setScrew, keys)
		}
	}
}
