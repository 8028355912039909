package record

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/color"
	"image/jpeg"
	"testing"

	"gotest.tools/v3/assert"
)

// Names of a job, tablets and a finding.
const (
	jobName  = "j0000000000000000000000001"
	tabletA  = "a0000000000000000000000000"
	tabletB  = "b0000000000000000000000000"
	findingX = "x0000000000000000000000000"
	begun    = int64(1_770_000_000_000) // 2026-02-02T02:40:00Z
)

// picture is a small JPEG: a plain colour, so that two of them differ.
func picture(t testing.TB, shade uint8) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 4, 3))
	for i := range img.Pix {
		img.Pix[i] = color.Gray{Y: shade}.Y
	}
	var out bytes.Buffer
	assert.NilError(t, jpeg.Encode(&out, img, nil))
	return out.Bytes()
}

// sample is a record with an entry of each kind.
func sample(t testing.TB) *Record {
	t.Helper()
	data := picture(t, 90)
	name, photo, err := NewPhoto(data)
	assert.NilError(t, err)
	photo.Data = base64.StdEncoding.EncodeToString(data)
	at := func(after int64, tablet string) Stamp { return Stamp{At: begun + after, Tablet: tablet, By: "Ada"} }
	return &Record{
		Format: Format, Version: Version, Job: jobName,
		Machine:   Entry[string]{"No. 4", at(0, tabletA)},
		Procedure: "mixer-gearbox-out", Variant: "belt", Edition: "3", Content: "0123456789abcdef",
		Tablets: map[string]Tablet{tabletA: {Learner: "Ada", Phase: Removal, Step: "hub-off", Waits: "hub-off--sign", Stamp: at(9, tabletA)}},
		Passed:  map[string]Entry[bool]{"out/isolate": {true, at(5, tabletA)}},
		Ticks:   map[string]Entry[bool]{"out/hub-off--remove-3": {false, at(6, tabletA)}},
		Work:    map[string]Interval{"out/isolate@" + tabletA + "@1770000000000": {begun, begun + 60_000}},
		Confirmed: map[string]Confirmation{
			"out/lift--confirm": {Given: true, Stamp: at(7, tabletA)},
			"out/lift--sign":    {Given: true, Text: "T. Berg", Stamp: at(8, tabletA)},
		},
		Signed: map[string]Signature{"out/lift--sign": {
			Form: SealedForm, Who: "T. Berg", Name: "T. Berg", Salt: sealSalt, At: begun + 10, Machine: "No. 4", Edition: "3", Step: "lift", Lines: "The floor\nis clear", Content: "0123456789abcdef", Key: string(bytes.Repeat([]byte("ab"), 32)), Seal: string(bytes.Repeat([]byte("cd"), 64)),
		}},
		Measured: map[string]Measurement{"out/belts--inspect-belts": {
			Look: "Belt width", Thing: "Belts", Value: "11.4", Unit: "mm", Low: "12 mm", High: "13 mm", Stamp: at(11, tabletB),
		}},
		Findings: map[string]Finding{
			findingX: {Phase: Removal, Step: "hub-off", Thing: "hub", Name: "Hub", Kind: Damaged, Severity: BeforeRefit, Words: "Groove worn\nin two places",
				Repair: "Renew", Before: "hub-off-back", Photos: []string{name}, Found: begun + 12, FoundBy: "Ada", Stamp: at(12, tabletA)},
			"m-out/belts--inspect-belts": {Phase: Removal, Step: "belts", Thing: "belts", Name: "Belts", Kind: Worn, Severity: BeforeRefit,
				Measured: "out/belts--inspect-belts", Found: begun + 11, Stamp: at(11, tabletB)},
		},
		Repairs: map[string]Repair{findingX: {Done: true, Note: "New hub fitted", Stamp: at(20, tabletB)}},
		Photos:  map[string]Photo{name: photo},
	}
}

func written(t testing.TB, r *Record) []byte {
	t.Helper()
	out, err := r.Write()
	assert.NilError(t, err)
	return out
}
