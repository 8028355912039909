package itemanalysis

import "slices"

// GroupShare is the part of the class that makes up the upper and the lower
// group. With 27 % the difference between two groups is most certain when scores are normal.
//
// Source: T. L. Kelley, The selection of upper and lower groups for the validation of test items, Journal of Educational Psychology 30 (1939), pp. 17-24 (from memory).
const GroupShare = 0.27

// groups returns how much each learner counts in the upper and in the lower
// group, from 0 to 1; each group adds up to size, 27 % of the class, which need
// not be whole.
//
// The tie rule: learners of one score are taken together. Those at the cut all
// count with the same part, so that the group has its size. The result depends
// neither on the order of learners nor on chance.
func groups(totals []float64) (upper, lower []float64, size float64) {
	size = GroupShare * float64(len(totals))
	scores := slices.Compact(slices.Sorted(slices.Values(totals)))
	lower = fill(totals, scores, size)
	slices.Reverse(scores)
	return fill(totals, scores, size), lower, size
}

// fill fills a group with learners, score by score.
func fill(totals, scores []float64, size float64) []float64 {
	weights := make([]float64, len(totals))
	for _, score := range scores {
		tied := 0
		for _, t := range totals {
			if t == score {
				tied++
			}
		}
		part := min(1, size/float64(tied))
		for i, t := range totals {
			if t == score {
				weights[i] = part
			}
		}
		if size -= part * float64(tied); size <= 1e-9 {
			break
		}
	}
	return weights
}

// share returns which part of a group a thing is true of.
func share(weights []float64, size float64, is func(learner int) bool) float64 {
	total := 0.0
	for i, w := range weights {
		if w > 0 && is(i) {
			total += w
		}
	}
	return total / size
}
