package quiz

import "matchmark/procedure"

// Place is one question of a try: which question of the quiz it is, and the
// order in which its choices stand. Both count from 0 in the author's order.
type Place struct {
	Question int
	// Choices is empty for a question without choices.
	Choices []int
}

// Arrange returns the order in which a try, counted from 1, shows the quiz.
// The first try has the order of the paper form; a later try has another one,
// so that nobody learns places in place of answers.
//
// With seed 0 questions and choices stay as the author wrote them. The lines of
// an order question are always mixed, and never left in the right order.
// The quiz page's script works out the same arrangement from the same seed.
func Arrange(q *procedure.Quiz, try int) []Place {
	g := newGenerator(Start(q.Seed), try)
	places := make([]Place, len(q.Questions))
	for i := range places {
		places[i].Question = i
	}
	if q.Seed != 0 {
		shuffle(places, g)
	}
	for i := range places {
		question := q.Questions[places[i].Question]
		choices := make([]int, len(question.Choices))
		for c := range choices {
			choices[c] = c
		}
		if q.Seed != 0 || question.Kind == procedure.OrderAnswer {
			shuffle(choices, g)
		}
		if question.Kind == procedure.OrderAnswer {
			leaveRightOrder(choices)
		}
		places[i].Choices = choices
	}
	return places
}

// leaveRightOrder moves the first line to the end when all stand in the right order.
func leaveRightOrder(choices []int) {
	for i, c := range choices {
		if i != c {
			return
		}
	}
	if len(choices) > 1 {
		copy(choices, choices[1:])
		choices[len(choices)-1] = 0
	}
}

// shuffle is Durstenfeld's in-place shuffle: each order is as likely as the
// generator is even.
//
// Source: R. Durstenfeld, Algorithm 235: Random permutation, Communications of the ACM 7 (1964), p. 420.
func shuffle[T any](items []T, g *generator) {
	for i := len(items) - 1; i > 0; i-- {
		j := g.below(i + 1)
		items[i], items[j] = items[j], items[i]
	}
}

// Start folds a quiz's seed into the 32 bits that the generator starts from.
// It is 0 only for seed 0, which means that nothing is shuffled.
func Start(seed int64) uint32 {
	folded := uint32(seed) ^ uint32(uint64(seed)>>32)
	if folded == 0 && seed != 0 {
		return fallback
	}
	return folded
}

// fallback replaces a state of zero, which the generator would never leave.
// It is the seed of the paper's own example.
const fallback = 2463534242

// generator is the 32-bit xorshift generator with the shifts 13, 17 and 5. It
// is small enough to be written again in the quiz page's script, bit for bit.
//
// Source: G. Marsaglia, Xorshift RNGs, Journal of Statistical Software 8 (2003), no. 14.
type generator struct{ state uint32 }

// newGenerator gives each seed and try a start of its own. Seeds that people
// choose are small and close together; mixing keeps their orders apart.
func newGenerator(start uint32, try int) *generator {
	state := mix(start + uint32(try)*0x9e3779b9)
	if state == 0 {
		state = fallback
	}
	return &generator{state}
}

// mix spreads each bit of x over the whole word.
//
// Source: A. Appleby, MurmurHash3 (public domain), 32-bit finalizer.
func mix(x uint32) uint32 {
	x ^= x >> 16
	x *= 0x85ebca6b
	x ^= x >> 13
	x *= 0xc2b2ae35
	return x ^ x>>16
}

func (g *generator) next() uint32 {
	g.state ^= g.state << 13
	g.state ^= g.state >> 17
	g.state ^= g.state << 5
	return g.state
}

// below returns a number from 0 to n-1. It scales the word instead of taking a
// remainder; the unevenness is below n in 2^32, far too little to see in a quiz.
func (g *generator) below(n int) int {
	return int(uint64(g.next()) * uint64(n) >> 32)
}
