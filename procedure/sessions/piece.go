package sessions

import (
	"fmt"

	"matchmark/procedure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state"
)

// piece is one step, or one item without steps.
type piece struct {
	item *Item
	step *procedure.Step
	// index is the step's place in its job.
	index          int
	mean, variance float64
	stop           Stop
}

// pieces takes the items apart.
func pieces(items []Item) ([]piece, []Breach, error) {
	var out []piece
	var breaches []Breach
	for i := range items {
		it := &items[i]
		if it.Job == nil {
			out = append(out, newPiece(it, nil, 0, it.Time, AfterOther))
			continue
		}
		from, to, err := it.run()
		if err != nil {
			return nil, nil, err
		}
		factor := it.Factor
		if factor == 0 {
			factor = 1
		}
		for k := from; k <= to; k++ {
			s := it.Job.Steps[k]
			out = append(out, newPiece(it, s, k, schedule.Scaled(s.Time, factor), stopAfter(it.Job, s)))
		}
		carriesOn := i+1 < len(items) && items[i+1].follows(it.Job, to)
		if from <= to && out[len(out)-1].stop == NotSafe && !carriesOn {
			breaches = append(breaches, Breach{Item: it, Step: it.Job.Steps[to]})
		}
	}
	return out, breaches, nil
}

func newPiece(it *Item, s *procedure.Step, index int, time procedure.Estimate, stop Stop) piece {
	d := schedule.Deviation(time)
	return piece{item: it, step: s, index: index, mean: schedule.Expected(time), variance: d * d, stop: stop}
}

// run returns the places of the item's first and last step in its job. A job
// without steps gives an empty run.
func (it *Item) run() (from, to int, err error) {
	from, to = 0, len(it.Job.Steps)-1
	if it.From != "" {
		if from, err = it.place(it.From); err != nil {
			return 0, 0, err
		}
	}
	if it.To != "" {
		if to, err = it.place(it.To); err != nil {
			return 0, 0, err
		}
	}
	if it.To != "" && from > to {
		return 0, 0, fmt.Errorf("%s: the step %s comes after the step %s", it.Title, it.From, it.To)
	}
	return from, to, nil
}

func (it *Item) place(id string) (int, error) {
	s := it.Job.Step(id)
	if s == nil {
		return 0, fmt.Errorf("%s: there is no step %s", it.Title, id)
	}
	return s.Number - 1, nil
}

// follows reports whether the item goes on with a job right after a step.
func (it *Item) follows(job *procedure.Job, step int) bool {
	if it.Job == nil || it.Job.Procedure != job.Procedure || it.Job.Variant != job.Variant {
		return false
	}
	from, _, err := it.run()
	return err == nil && from == step+1
}

// stopAfter says whether it is safe to stop after a step.
func stopAfter(job *procedure.Job, s *procedure.Step) Stop {
	switch hold := state.Hold(s); {
	case s.SafeStop:
		return StepStop
	case hold != nil && hold.SafeStop:
		return HoldStop
	case s.Number == len(job.Steps):
		return EndOfJob
	}
	return NotSafe
}

// sum is the expected time and the variance of some pieces together.
func sum(pieces []piece) (mean, variance float64) {
	for _, p := range pieces {
		mean += p.mean
		variance += p.variance
	}
	return mean, variance
}
