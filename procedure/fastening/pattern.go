package fastening

import (
	"math"
	"slices"

	"matchmark/procedure"
)

// Sequence returns the order in which n pieces are tightened by a pattern of procedure.Patterns, as places counted from 1:
// clockwise round a circle for crosswise and in turn, along a row for from the middle outwards. It is nil for no pattern.
//
// Crosswise takes a piece and the one opposite, then the pair that halves the angle, and so on; an odd number has no
// opposite and goes round in the longest even stride. Makers print several sequences that do this; theirs come first.
//
// Source: flange makers' guides for the rule, a US Army technical manual for the row, by public copies.
func Sequence(pattern string, n int) []int {
	switch pattern {
	case procedure.Crosswise:
		return crosswise(n)
	case procedure.Outwards:
		return outwards(n)
	case procedure.InTurn, procedure.Numbered:
		out := make([]int, n)
		for i := range out {
			out[i] = i + 1
		}
		return out
	}
	return nil
}

func crosswise(n int) []int {
	var out []int
	if n%2 == 1 {
		for i := range n {
			out = append(out, i*((n-1)/2)%n+1)
		}
		return out
	}
	pairs := n / 2
	apart := func(a, b int) int { d := (a - b + pairs) % pairs; return min(d, pairs-d) }
	var taken []int
	for len(taken) < pairs {
		best, far, last := 0, -1, -1
		for p := range pairs {
			if slices.Contains(taken, p) {
				continue
			}
			nearest, fromLast := pairs, 0
			for _, q := range taken {
				nearest = min(nearest, apart(p, q))
			}
			if len(taken) > 0 {
				fromLast = apart(p, taken[len(taken)-1])
			}
			if nearest > far || nearest == far && fromLast > last {
				best, far, last = p, nearest, fromLast
			}
		}
		taken = append(taken, best)
		out = append(out, best+1, best+1+pairs)
	}
	return out
}

func outwards(n int) []int {
	var out []int
	for i := range n {
		step := (i + 1) / 2
		if i%2 == 0 {
			step = -step
		}
		out = append(out, (n+1)/2+step)
	}
	return out
}

// Order returns the number, from 1, that each place gets in the order in which a pattern tightens the pieces there; nil for
// no pattern. Round the middle of the places, clockwise as one looks at the figure, the uppermost is the first; from
// the middle outwards goes by the distance from it, of places equally far to the one furthest from the last.
func Order(pattern string, places []procedure.Point) []int {
	n := len(places)
	var middle procedure.Point
	for _, p := range places {
		middle.X += p.X / float64(n)
		middle.Y += p.Y / float64(n)
	}
	from := func(p procedure.Point) float64 { return math.Hypot(p.X-middle.X, p.Y-middle.Y) }
	ring := make([]int, n) // the places as the pattern counts them
	for i := range ring {
		ring[i] = i
	}
	out := make([]int, n)
	switch pattern {
	case procedure.Numbered:
		return Sequence(pattern, n)
	case procedure.Crosswise, procedure.InTurn:
		angle := func(p procedure.Point) float64 { // clockwise from the top, since y points down
			return math.Mod(math.Atan2(p.X-middle.X, middle.Y-p.Y)+2*math.Pi, 2*math.Pi)
		}
		slices.SortStableFunc(ring, func(a, b int) int { return compare(angle(places[a]), angle(places[b])) })
		for number, place := range Sequence(pattern, n) {
			out[ring[place-1]] = number + 1
		}
		return out
	case procedure.Outwards:
		last := middle
		for number := range n {
			best := 0
			for i := 1; i < len(ring); i++ {
				p, q := places[ring[i]], places[ring[best]]
				nearer := compare(from(p), from(q))
				if nearer < 0 || nearer == 0 && math.Hypot(p.X-last.X, p.Y-last.Y) > math.Hypot(q.X-last.X, q.Y-last.Y)+equally {
					best = i
				}
			}
			last = places[ring[best]]
			out[ring[best]] = number + 1
			ring = slices.Delete(ring, best, best+1)
		}
		return out
	}
	return nil
}

// equally is how far apart two figures may be, in units of the picture or in radians, that are meant as equal.
const equally = 1e-6

func compare(a, b float64) int {
	switch {
	case a < b-equally:
		return -1
	case a > b+equally:
		return 1
	}
	return 0
}
