package revise

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/record"
)

func TestTimesOutOfAJobRecord(t *testing.T) {
	const a, b, t0 = "a0000000000000000000000000", "b0000000000000000000000000", 1_770_000_000_000
	yes := record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 1, Tablet: a}}
	r := &record.Record{
		Format: record.Format, Version: record.Version, Job: "j0000000000000000000000000", Machine: record.Entry[string]{Stamp: record.Stamp{Tablet: a}},
		Procedure: "hub-out", Variant: "belt", Content: "0000000000000000",
		Passed: map[string]record.Entry[bool]{"out/hub-off": yes, "back/hub-off-back": yes, "out/not-timed": yes},
		Work: map[string]record.Interval{
			"out/hub-off@" + a + "@1770000000000":       {From: t0, To: t0 + 360_000},           // six minutes,
			"out/hub-off@" + b + "@1770000180000":       {From: t0 + 180_000, To: t0 + 540_000}, // three of them shared
			"out/hub-off@" + a + "@1770009000000":       {From: t0 + 9_000_000, To: t0 + 9_030_000},
			"back/hub-off-back@" + a + "@1770010000000": {From: t0 + 10_000_000, To: t0 + 10_060_000},
			"out/only-looked-at@" + a + "@177000":       {From: 177_000, To: 178_000},
		},
	}
	data, err := r.Write()
	assert.NilError(t, err)
	if !IsJobRecord(data) || IsJobRecord([]byte(`{"times": []}`)) || IsJobRecord([]byte(`[`)) {
		t.Error("a job record is not told from a file of times")
	}
	got, err := Read("job.JSON", data)
	const job = "j0000000000000000000000000"
	want := []Record{
		{Step: "hub-off-back", Procedure: "hub-out-back", Variant: "belt", Team: job, ID: job + " back/hub-off-back", Minutes: 1, Line: 1},
		{Step: "hub-off", Procedure: "hub-out", Variant: "belt", Team: job, ID: job + " out/hub-off", Minutes: 9.5, Line: 1},
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("%+v (%v), want %+v", got, err, want)
	}
	_, err = Read("job.json", []byte(strings.Replace(string(data), `"job":"j`, `"job":"J`, 1)))
	var faults diagnostic.Faults
	if !errors.As(err, &faults) || len(faults) != 1 || faults[0].Advice.Empty() || !strings.Contains(faults[0].Says().String(), "job") {
		t.Errorf("%v", err)
	}
}
