package site

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/record"
)

// Assets that hold page.BenchScripts and page.AidScripts.
const (
	benchScript = "bench.js"
	aidsScript  = "aids.js"
)

// foundScript stands before the first of them on pages that go by what is found; others do without.
const foundScript = "found.js"

// benchState is what the step view's scripts need to write a job down: which job
// it is, the things that something can be found wrong with, and the steps of the
// refitting that may have to wait for a repair.
type benchState struct {
	// Procedure is the procedure that takes out, on the page of the refitting too.
	Procedure string       `json:"procedure"`
	Way       record.Phase `json:"way"`
	Variant   string       `json:"variant"`
	Edition   string       `json:"edition"`
	Content   string       `json:"content"`
	// Old names the progress that pages without a record kept.
	Old    string      `json:"old"`
	Things []benchItem `json:"things"`
	Back   []backStep  `json:"back"`
}

// benchItem is a thing of the machine's registers: its id, its name, and a part's letter or a
// fastener's callout number, which anything else lacks.
type benchItem []string

// backStep is a step of the refitting: its id, its title, and the things that go back in it for the first time.
type backStep []string

// benchOf fills the state for a job.
func (e *emitter) benchOf(j *procedure.Job) benchState {
	s := benchState{
		Procedure: j.Procedure.ID, Way: record.Removal, Edition: j.Procedure.Edition, Content: record.Content(j.Procedure), Old: oldKey(j),
		Things: benchItems(j), Back: []backStep{},
	}
	if j.Variant != nil {
		s.Variant = j.Variant.ID
	}
	back := j
	if removal := j.Procedure.Removal; removal != nil {
		s.Procedure, s.Way, s.Edition = removal.ID, record.Refitting, removal.Edition
	} else if back = e.wayBack(j); back == nil {
		return s
	}
	fitted := map[string]bool{}
	for _, step := range back.Steps {
		row := backStep{step.ID, step.Title}
		for _, a := range step.Actions() {
			if goesBack(a.Verb) && !fitted[a.Object.ID] {
				fitted[a.Object.ID] = true
				row = append(row, a.Object.ID)
			}
		}
		s.Back = append(s.Back, row)
	}
	return s
}

// wayBack is the job that brings back what a job takes out, for the same variant; nil when there is none.
func (e *emitter) wayBack(j *procedure.Job) *procedure.Job {
	if back := e.facts.Refitting(); back != nil {
		if job := back.Job(j.Variant); job != nil {
			return job.Job
		}
	}
	return nil
}

// goesBack reports whether a thing must be sound before something is done to it in the refitting.
func goesBack(v procedure.Verb) bool {
	switch v {
	case procedure.Fit, procedure.Connect, procedure.Fill, procedure.Tighten, procedure.Lift, procedure.SetDown, procedure.Hang:
		return true
	}
	return false
}

// benchItems lists the job's things, register by register. A condition is no thing that could be damaged.
func benchItems(j *procedure.Job) []benchItem {
	items := []benchItem{}
	if j.Machine == nil {
		return items
	}
	for _, t := range j.Machine.Things() {
		if t.Condition != nil || !procedure.AppliesTo(t.Row.Variants, j.Variant) {
			continue
		}
		item := benchItem{t.Row.ID, t.Row.Name}
		switch {
		case t.Fastener != nil:
			item = append(item, t.Row.ID)
		case t.Part != nil && t.Part.Letter != "":
			item = append(item, t.Part.Letter)
		}
		items = append(items, item)
	}
	return items
}

// oldKey names the progress that pages of this job kept before there were job records.
func oldKey(j *procedure.Job) string {
	variant := ""
	if j.Variant != nil {
		variant = j.Variant.ID
	}
	return strings.Join([]string{"matchmark.job", j.Procedure.ID, variant, j.Procedure.Edition}, "/")
}
