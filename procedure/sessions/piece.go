package sessions

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/say"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state"
)

// piece is one step, or one item without steps.
type piece struct {
	item *Item
	step *procedure.Step
	// index is the step's place in its job.
	index           int
	mean, deviation float64
	stop            Stop
	// job is the one that the step is of: for a proof it may be the one that the item's job brings back.
	job *procedure.Job
	// proofs are what is proved again, with a time of its own, where work stopped right before the piece.
	proofs []piece
}

// BreachesIn returns the places where the items of one session leave a job at a step that is no safe stop. The
// error says which item makes no sense.
func BreachesIn(items []Item) ([]Breach, error) {
	_, breaches, err := pieces(items)
	for i := range breaches {
		b := &breaches[i]
		_, t := state.RunAfterRemoval(b.Item.Job)
		b.Hangs = Hanging(t.After(b.Step.Number - 1))
	}
	return breaches, err
}

// pieces takes the items apart.
func pieces(items []Item) ([]piece, []Breach, error) {
	var out []piece
	var breaches []Breach
	for i := range items {
		it := &items[i]
		if it.Job == nil {
			out = append(out, piece{item: it, mean: schedule.Expected(it.Time), deviation: schedule.Deviation(it.Time), stop: AfterOther})
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
		clock := schedule.Clock(it.Job)
		for k := from; k <= to; k++ {
			s := it.Job.Steps[k]
			p := piece{item: it, job: it.Job, step: s, index: k, mean: clock.Rows[k].Expected * factor, deviation: clock.Rows[k].Deviation * factor, stop: stopAfter(it.Job, s)}
			if share := added(it, k, clock.Rows[k].Expected); it.Added != nil {
				p.mean, p.deviation = p.mean*share, p.deviation*share
			} else if k > from {
				p.mean += clock.Rows[k].Start.Expected - clock.Rows[k-1].End.Expected // nobody can go on before a wait is over
			}
			out = append(out, p)
		}
		prove(it, out[len(out)-max(to-from+1, 0):], factor)
		carriesOn := i+1 < len(items) && items[i+1].follows(it.Job, to)
		if from <= to && out[len(out)-1].stop == NotSafe && !carriesOn {
			breaches = append(breaches, Breach{Item: it, Step: it.Job.Steps[to]})
		}
	}
	return out, breaches, nil
}

// added is which part of a step's time it adds to those before it.
func added(it *Item, k int, expected float64) float64 {
	if it.Added == nil || expected == 0 {
		return 1
	}
	return it.Added[k] / expected
}

func newPiece(it *Item, s *procedure.Step, index int, time procedure.Estimate, stop Stop) piece {
	return piece{item: it, job: it.Job, step: s, index: index, mean: schedule.Expected(time), deviation: schedule.Deviation(time), stop: stop}
}

// prove gives each piece of a run the proofs that work needs after a stop right before it.
func prove(it *Item, run []piece, factor float64) {
	if len(run) == 0 || it.Job.Machine == nil {
		return
	}
	out, trace := state.RunAfterRemoval(it.Job)
	for i := range run {
		for _, p := range state.ProofsAfterStop(out, trace, run[i].index) {
			proof := newPiece(it, p.Step, run[i].index, schedule.Scaled(p.Step.Time, factor), NotSafe)
			proof.job = p.Job
			run[i].proofs = append(run[i].proofs, proof)
		}
	}
}

// laid returns what is done when work starts with the first of the pieces and stops for a break before each
// of those named: the pieces, each proof in its place.
func laid(pieces []piece, breaks []int) []piece {
	var out []piece
	for i, p := range pieces {
		if i == 0 || slices.Contains(breaks, i) {
			out = append(out, p.proofs...)
		}
		out = append(out, p)
	}
	return out
}

// provedBy reports whether the step is one that is done again before the piece.
func (p *piece) provedBy(s *procedure.Step) bool {
	return s != nil && slices.ContainsFunc(p.proofs, func(x piece) bool { return x.step == s })
}

// proving is the expected time of the proofs before a piece.
func (p *piece) proving() float64 {
	sum := 0.0
	for _, x := range p.proofs {
		sum += x.mean
	}
	return sum
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
		return 0, 0, say.Error(say.That("%job: the step %from comes after the step %to", say.Name(it.Title), say.Name(it.From), say.Name(it.To)))
	}
	return from, to, nil
}

func (it *Item) place(id string) (int, error) {
	s := it.Job.Step(id)
	if s == nil {
		return 0, say.Error(say.That("%job: there is no step %step", say.Name(it.Title), say.Name(id)))
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

// sum is the expected time and the variance of some pieces together, any two of
// which have the rules' correlation.
func (r Rules) sum(pieces []piece) (mean, variance float64) {
	deviations := make([]float64, len(pieces))
	for i, p := range pieces {
		mean += p.mean
		deviations[i] = p.deviation
	}
	d := schedule.SumDeviation(deviations, r.CommonPace)
	return mean, d * d
}
