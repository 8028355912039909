package itemanalysis

// Rate says how often verdicts are wrong, in percent of simulated quizzes of 15 questions with four choices each.
type Rate struct {
	// Learners is the size of the class.
	Learners int
	// Doubted is in how many sound quizzes at most a key is doubted, or a question called unclear, whatever the quiz is like.
	Doubted int
	// Found is how many wrong keys are found, and FoundWeak how many where questions tell strong from weak half as well.
	Found, FoundWeak int
}

// Rates are the error rates by the size of the class, from 800 simulated classes of each of four kinds and
// each size. A test simulates them anew.
var Rates = []Rate{
	{10, 8, 16, 9},
	{12, 8, 27, 16},
	{15, 6, 32, 20},
	{20, 6, 43, 26},
	{30, 3, 61, 36},
	{50, 3, 79, 50},
}

// RateOf returns the error rates for a class: those of the next smaller one that was simulated. False for classes
// in which nothing is judged.
func RateOf(learners int) (Rate, bool) {
	found := false
	var out Rate
	for _, r := range Rates {
		if r.Learners <= learners {
			out, found = r, true
		}
	}
	return out, found
}
