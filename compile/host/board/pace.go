package board

import (
	"math"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/schedule"
)

// ends are the minutes after which the steps of a job are done as planned.
func ends(j *procedure.Job) map[string]float64 {
	out := map[string]float64{}
	if j != nil {
		for _, row := range schedule.Clock(j).Rows {
			out[row.Step.ID] = row.End.Expected
		}
	}
	return out
}

// late is by how many whole minutes the work on a way has taken longer than planned until the end of a step; 0 while it has not, or
// when the library does not have the step. Only time that was worked counts, so a break or a night makes nobody late.
func (p *Plan) late(r *record.Record, way record.Phase, step string) int {
	if p == nil {
		return 0
	}
	end, known := p.ends[way][step]
	if !known {
		return 0
	}
	var worked time.Duration
	for key, t := range r.Times() {
		if at, _, ok := record.SplitKey(key); ok && at == way {
			worked += t.Worked
		}
	}
	return max(0, int(math.Floor(worked.Minutes()-end)))
}

// lines are the ways as the board draws them.
func (p *Plan) lines() map[record.Phase]Way {
	out := map[record.Phase]Way{}
	for _, way := range record.Phases {
		if j := p.Ways[way]; j != nil {
			out[way] = Way{Of: len(j.Steps), Gates: []int{}}
		}
	}
	for _, h := range p.Holds {
		if line, there := out[h.Way]; there && h.Signature != "" {
			line.Gates = append(line.Gates, h.Number)
			out[h.Way] = line
		}
	}
	return out
}
