package workorder_test

import (
	"bytes"
	"errors"
	"os"
	"path"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/compile/workorder"
	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/record"
	"matchmark/procedure/source"
)

// demo is the demo library with its refittings, in a language, and the record that lies with it.
func demo(t *testing.T, language string) (*procedure.Library, *record.Record) {
	t.Helper()
	var log diagnostic.Log
	read, err := source.Read(content.Library(), &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	lib.Language = language
	if lib, err = compile.DeriveRefittings(lib); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile("../../content/records/mixer-no-4.json")
	assert.NilError(t, err)
	r, err := record.Read(data)
	assert.NilError(t, err)
	return lib, r
}

// pages makes both pages of a record.
func pages(t *testing.T, lib *procedure.Library, r *record.Record, o workorder.Options, others ...string) (order, checklist *pagetest.Element, source string) {
	t.Helper()
	e, err := workorder.New(lib, pagetest.Theme(t), r, o, others...)
	assert.NilError(t, err)
	var parsed []*pagetest.Element
	for _, make := range []func() ([]byte, error){e.Page, e.Checklist} {
		page, err := make()
		assert.NilError(t, err)
		again, err := make()
		if err != nil || !bytes.Equal(page, again) {
			t.Errorf("a page comes out differently the second time (%v)", err)
		}
		p := pagetest.Parse(t, page)
		parsed, source = append(parsed, p), source+string(page)
	}
	return parsed[0], parsed[1], source
}

func TestTheDemosWorkOrder(t *testing.T) {
	lib, r := demo(t, "en")
	order, checklist, _ := pages(t, lib, r, workorder.Options{Zone: time.FixedZone("", 2*3600)})
	pagetest.Expect(t, order, map[string][]string{
		"h1":             {"Take the drive gearbox out of the spiral mixer"},
		".stop":          {"Stop work. No work until a supervisor has inspected finding 1."},
		".order-summary": {"5 repairs open · 1 repaired · 1 to monitor"},
		".finding h3": {"Finding 1: L Left foot: damaged", "Finding 2: 19 Rear bolt: bad earlier repair", "Finding 3: Speed sensor plug: contaminated",
			"Finding 4: T Oil header tank: leaking", "Finding 5: V-belts, a matched set of two: worn", "Finding 6: Two hood screws: missing", "Finding 7: Gear oil VG 220, food grade H1: leaking"},
		// The signed record is of the demo before it was written anew: a signature covers the text that it was given for.
		".order-notices": {"The job followed another version of this procedure: edition 1, or the same edition with other wording. This sheet follows the present version. 2 hold points were opened by names typed on a tablet. No class host has confirmed them."},
		"#ui_lost":       nil,
	})
	all := order.Text()
	for _, want := range []string{
		"2026-10-12 09:40 to 2026-10-12 14:25 (UTC+02:00, as all times here)", // the record begins at 07:40 UTC
		"Repaired: Ben Oyelaran on tablet 2", "Pins cleaned, seal from stock",
		"What waits for it: step 20 of the refitting, Put the belts on",
		"OUT OF LIMITS", "slower than the longest estimate", "worked on 2 times, 35 min between",
		"Signed by T. Holm at the class host, key ", "Signature, as typed on the tablet: T. Holm",
		"12 Hub tab washer 1 piece", // single-use: goes in new whatever was found
	} {
		if !strings.Contains(all, want) {
			t.Errorf("the work order does not say %q", want)
		}
	}
	pagetest.Expect(t, checklist, map[string][]string{
		".repairs .what": {
			"Stop work for finding 1: L Left foot, damaged: New foot. Do not weld it.",
			"Repair of finding 2: 19 Rear bolt, bad earlier repair: Clean the seat, new bolt.",
			"Repair of finding 4: T Oil header tank, leaking: Clean, weld again, press with air under water.",
			"Repair of finding 5: V-belts, a matched set of two, worn: Renew the pair. Look at both pulleys with the new belts in hand.",
			"Repair of finding 6: Two hood screws, missing: Two new ones.",
		},
	})
	// Each repair stands right before the step that waits for it.
	sheet := checklist.Text()
	for repair, step := range map[string]string{"Repair of finding 4": "Put the oil header tank back", "Repair of finding 5": "Put the belts on", "Repair of finding 6": "Put the rear hood on"} {
		i, j := strings.Index(sheet, repair), strings.LastIndex(sheet, step)
		if i < 0 || j < i || j-i > 250 {
			t.Errorf("%s stands at %d, and %s at %d", repair, i, step, j)
		}
	}
}

// TestNothingHasNoPlace: the record of the demo is one of the demo as it is. When the
// demo changes, its record may be of an older text, but all of it must still have its place.
func TestNothingHasNoPlace(t *testing.T) {
	lib, r := demo(t, "en")
	e, err := workorder.New(lib, pagetest.Theme(t), r, workorder.Options{})
	assert.NilError(t, err)
	if lost := e.Order().Lost; len(lost) > 0 {
		t.Errorf("%+v", lost)
	}
}

func TestOtherLanguages(t *testing.T) {
	lib, r := demo(t, "de")
	r.Content = "0000000000000000"
	order, checklist, _ := pages(t, lib, r, workorder.Options{})
	all := order.Text() + checklist.Text()
	for _, want := range []string{"Arbeitsauftrag", "Arbeit anhalten.", "V-belts, a matched set of two Riemen", "links · 3,4 kg", "1 Stück · M16 × 120 mm", "0,6 mm", "nach einer anderen Fassung", "Arbeit anhalten wegen Befund 1", "gültig"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not there", want)
		}
	}
	if strings.Contains(all, "[workorder") || strings.Contains(all, "[sheet") {
		t.Error("a key of the words table shows on a page")
	}
}

// TestNothingOfARecordRunsInAPage puts markup into everything that a person can type.
func TestNothingOfARecordRunsInAPage(t *testing.T) {
	const evil = `"><script>alert(1)</script>&'`
	lib, r := demo(t, "en")
	stamp := record.Stamp{At: 1_770_000_000_000, Tablet: "a0000000000000000000000000", By: evil}
	r.Machine = record.Entry[string]{Value: evil, Stamp: stamp}
	r.Edition, r.Content = evil, "0000000000000000"
	r.Tablets["a0000000000000000000000000"] = record.Tablet{Learner: evil, Phase: record.Removal, Step: "listen", Stamp: stamp}
	for key, f := range r.Findings {
		f.Thing, f.Other, f.Name, f.Words, f.Repair, f.By = "", evil, evil, evil+"\n"+evil, evil, evil
		r.Findings[key] = f
		r.Repairs[key] = record.Repair{Done: key[0] == 'e', Note: evil, Stamp: stamp}
	}
	for key, m := range r.Measured {
		m.Look, m.Thing, m.Unit, m.Low, m.High = evil, evil, evil, evil, evil
		r.Measured[key] = m
	}
	for key, c := range r.Confirmed {
		c.Text, c.By = evil, evil
		r.Confirmed[key] = c
	}
	for key, s := range r.Signed {
		s.Who = evil
		r.Signed[key] = s
	}
	// What has no place is told as well.
	r.Confirmed["out/nowhere--sign"] = record.Confirmation{Given: true, Text: evil, Stamp: stamp}
	r.Signed["out/nowhere--sign"] = record.Signature{Who: evil}
	order, checklist, source := pages(t, lib, r, workorder.Options{})
	if strings.Contains(source, "<script>") {
		t.Error("a script of the record stands in a page")
	}
	for _, p := range []*pagetest.Element{order, checklist} {
		if n := len(p.All("script")); n != 2 { // the theme's own
			t.Errorf("%d scripts in a page", n)
		}
		if !strings.Contains(p.Text(), evil) {
			t.Error("what was typed is not shown")
		}
	}
	if !strings.Contains(order.Text(), "does not match this hold point") {
		t.Error("a signature in another name is not told as broken")
	}
}

func TestWhatHasNoPlaceIsListed(t *testing.T) {
	lib, r := demo(t, "en")
	stamp := record.Stamp{At: 1_770_000_000_000, Tablet: "a0000000000000000000000000"}
	yes := record.Entry[bool]{Value: true, Stamp: stamp}
	r.Content = "0000000000000000"
	r.Ticks["out/nowhere--remove-1"], r.Ticks["out/nowhere--remove-2"], r.Passed["back/nowhere"] = yes, yes, yes
	r.Confirmed["out/nowhere--confirm"] = record.Confirmation{Given: true, Stamp: stamp}
	r.Signed["out/nowhere--sign"] = record.Signature{Who: "T. Holm"}
	r.Measured["out/nowhere--inspect-x"] = record.Measurement{Look: "Play", Thing: "X", Value: "2", Unit: "mm", Stamp: stamp}
	r.Work["out/nowhere@a0000000000000000000000000@1770000000000"] = record.Interval{From: 1_770_000_000_000, To: 1_770_000_600_000}
	r.Repairs["h0000000000000000000000000"] = record.Repair{Done: true, Stamp: stamp}
	r.Findings["f0000000000000000000000000"] = record.Finding{
		Phase: record.Removal, Step: "nowhere", Thing: "vanished", Name: "Flywheel", Kind: record.Worn, Severity: record.BeforeRefit, Before: "nowhere", Stamp: stamp,
		Photos: []string{strings.Repeat("0", 64)},
	}
	order, _, _ := pages(t, lib, r, workorder.Options{Photo: func(string) string { return "" }})
	pagetest.Expect(t, order, map[string][]string{
		".lost dt": {"Confirmation", "Finding 2", "Finding 2", "Finding 2", "Measured value", "Steps done · Refitting", "Repair", "Signature", "Ticks · Removal", "Time worked · Removal"},
		".order-notices li": {"The job followed another version of this procedure: edition 1, or the same edition with other wording. This sheet follows the present version.",
			"2 hold points were opened by names typed on a tablet. No class host has confirmed them.", "11 entries of the record have no place in the present text; they stand at the end."},
	})
	all := order.Text()
	for _, want := range []string{
		"there is no row “nowhere--remove-1”; there is no row “nowhere--remove-2”", "there is no item “vanished”",
		"The step “nowhere”, which was to wait, no longer exists; so the whole refitting waits.", "Flywheel: worn", "“nowhere”, a step that is no longer there",
		"1 photo did not arrive with the record.", "X: Play", // the value is shown nevertheless
	} {
		if !strings.Contains(all, want) {
			t.Errorf("the work order does not say %q", want)
		}
	}
}

func TestUnplaced(t *testing.T) {
	lib, r := demo(t, "en")
	var unplaced *workorder.Unplaced
	r.Variant = "gears"
	if _, err := workorder.New(lib, pagetest.Theme(t), r, workorder.Options{}); !errors.As(err, &unplaced) || unplaced.Variant != "gears" {
		t.Errorf("%v", err)
	}
	r.Procedure = "elsewhere"
	if _, err := workorder.New(lib, pagetest.Theme(t), r, workorder.Options{}); !errors.As(err, &unplaced) || unplaced.Procedure != "elsewhere" {
		t.Errorf("%v", err)
	}
}

func TestFolder(t *testing.T) {
	lib, r := demo(t, "en")
	var name string
	for key := range r.Photos {
		if name == "" || key < name {
			name = key
		}
	}
	photos := map[string][]byte{name: []byte("picture"), strings.Repeat("f", 64): []byte("of no finding")}
	var out output.Memory
	order, err := workorder.Folder(content.Library(), lib, r, photos, nil, &out)
	if err != nil || order.Open() != 5 {
		t.Fatalf("%v", err)
	}
	files := out.Files()
	var kept []string
	for at := range files {
		if path.Dir(at) == "photos" {
			kept = append(kept, at)
		}
	}
	if len(kept) != 1 || kept[0] != "photos/"+name+".jpg" {
		t.Errorf("photos: %q", kept)
	}
	// All that the pages name is in the folder.
	for _, page := range []string{"index.html", "checklist.html"} {
		p := pagetest.Parse(t, files[page])
		for selector, attribute := range map[string]string{"link": "href", "script": "src", "img": "src", "a": "href"} {
			for _, e := range p.All(selector) {
				to := e.Attributes[attribute]
				if to != "" && !strings.HasPrefix(to, "#") && files[to] == nil {
					t.Errorf("%s names %q, which is not there", page, to)
				}
			}
		}
	}
	if !strings.Contains(string(files["index.html"]), "1 photo did not arrive with the record.") {
		t.Error("the photo that is away is not told")
	}
}
