package benchtest

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// small is a library to make changes in.
func small() library {
	return library{
		"machine.md": "::: register parts\n| id | mass |\n|---|---|\n| lid | 4 kg |\n| pump | 62 kg |\n\n- lid: face up; stand flat\n:::\n",
		"job.md":     "---\nid: job\n---\n## Lid {#lid-off}\n{time=3}\n\n::: caution {about=1}\nSharp.\n:::\n\n- [ ] remove 1: crosswise\n- [ ] remove lid {reach=\"30 cm\"}\n\n## Pump {#pump-off}\n{time=4}\n\nLift it.\n",
	}
}

func TestChanges(t *testing.T) {
	for _, c := range []struct {
		name     string
		e        Edit
		from, to string // what the change replaces in the file that it is made in
		file     string
	}{
		{"a cell of the table", Edit{Row: "pump.mass = 6 kg"}, "| pump | 62 kg |", "| pump | 6 kg |", "machine.md"},
		{"a cell below the table", Edit{Row: "lid.stand = on edge"}, "stand flat", "stand on edge", "machine.md"},
		{"a cell below the table emptied", Edit{Row: "lid.stand ="}, "; stand flat", "", "machine.md"},
		{"a cell that no row has", Edit{Row: "pump.note = new"}, "| pump | 62 kg |\n", "| pump | 62 kg |\n\n- pump: note new\n", "machine.md"},
		{"an act with its reason", Edit{Step: "lid-off", Act: "remove 1", To: "loosen 1\nremove 1"}, "- [ ] remove 1: crosswise\n", "- [ ] loosen 1\n- [ ] remove 1\n", "job.md"},
		{"an act behind another", Edit{Step: "lid-off", Put: "mark lid", After: "remove 1"}, "crosswise\n", "crosswise\n- [ ] mark lid\n", "job.md"},
		{"an act before another", Edit{Step: "lid-off", Put: "mark lid", Before: "remove 1"}, "- [ ] remove 1", "- [ ] mark lid\n- [ ] remove 1", "job.md"},
		{"an act at the end", Edit{Step: "lid-off", Put: "clean lid"}, "cm\"}\n", "cm\"}\n- [ ] clean lid\n", "job.md"},
		{"an act in a step without any", Edit{Step: "pump-off", Put: "remove pump"}, "Lift it.\n", "Lift it.\n\n- [ ] remove pump\n\n", "job.md"},
		{"an act gone", Edit{Step: "lid-off", Without: "remove lid"}, "- [ ] remove lid {reach=\"30 cm\"}\n", "", "job.md"},
		{"a block gone", Edit{Step: "lid-off", Without: "caution"}, "::: caution {about=1}\nSharp.\n:::\n", "", "job.md"},
		{"a step gone", Edit{Step: "pump-off", Without: "step"}, "## Pump {#pump-off}\n{time=4}\n\nLift it.\n", "", "job.md"},
		{"words of a step", Edit{Step: "pump-off", Text: "{time=4}", With: "{time=40}"}, "{time=4}", "{time=40}", "job.md"},
		{"words of a file", Edit{File: "job", Text: "id: job", With: "id: jab"}, "id: job", "id: jab", "job.md"},
	} {
		l, want := small(), small()
		want[c.file] = strings.Replace(want[c.file], c.from, c.to, 1)
		if _, err := l.apply(c.e); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if diff := cmp.Diff(want, l); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// A change that does not find its place says so: a fault that was never planted would count as missed, or as caught.
func TestChangesWithoutAPlace(t *testing.T) {
	for _, e := range []Edit{
		{},
		{Row: "lid"},
		{Row: "hood.mass = 3 kg"},
		{Step: "hood-off", Put: "remove 1"},
		{Step: "lid-off"},
		{Step: "lid-off", Act: "remove 2"},
		{Step: "lid-off", Act: "remove"},
		{Step: "lid-off", Without: "hold"},
		{Step: "lid-off", Put: "mark lid", After: "mark 1"},
		{File: "job", Text: "- [ ] remove", With: "- [ ] fit"},
		{File: "quiz", Text: "a", With: "b"},
	} {
		if _, err := small().apply(e); err == nil {
			t.Errorf("%+v: no error", e)
		}
	}
}

func TestChangedLines(t *testing.T) {
	was, is := small(), small()
	is["job.md"] = strings.Replace(is["job.md"], "Sharp.", "Sharp.\nWear gloves.", 1)
	is["quiz.md"] = "---\nkind: quiz"
	got := places{}
	got.changed(was, is)
	want := places{"job.md": {9: true}, "quiz.md": {1: true, 2: true}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
