package revise

import (
	"maps"
	"slices"

	"matchmark/procedure/record"
	"matchmark/procedure/refit"
)

// IsJobRecord reports whether a file says of itself that it is the record of a job.
func IsJobRecord(data []byte) bool {
	return record.FormatOf(data) == record.Format
}

// ReadJob reads the times out of the record of a job, as tablets save it: of each
// step that is done, the time that the spells of all tablets cover together. Pauses
// are not in it, so that no time is an interrupted one. The error is diagnostic.Faults.
func ReadJob(data []byte) ([]Record, error) {
	r, err := record.Read(data)
	if err != nil {
		return nil, err
	}
	times := r.Times()
	var out []Record
	for _, key := range slices.Sorted(maps.Keys(times)) {
		way, step, _ := record.SplitKey(key)
		if !r.Passed[key].Value {
			continue // a look at a step is not the work on it
		}
		p := r.Procedure
		if way == record.Refitting {
			p += refit.Suffix
		}
		out = append(out, Record{Step: step, Procedure: p, Variant: r.Variant, Team: r.Job, ID: r.Job + " " + key, Minutes: times[key].Worked.Minutes(), Line: 1})
	}
	return out, nil
}
