package revise

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"matchmark/procedure"
)

// AuthorWeight is how many records the author's own estimate counts for.
const AuthorWeight = 5

// Work that was done twice takes so many times the usual.
const (
	leastTwice = 1.6
	mostTwice  = 2.6
)

// The limits of the outlier rule.
const (
	fewRecords  = 5   // with less, records are judged against the author's times
	farFromFew  = 3   // times the pessimistic, or less than one third of the optimistic
	farFromMany = 3.5 // robust standard deviations on the logarithmic scale
	leastSpread = 0.1 // a robust standard deviation below 10 % is taken as 10 %
	madFactor   = 1.4826
)

// limits returns between which times a record counts; what lies outside is an outlier.
//
// With five records or more, times are compared on a logarithmic scale, since
// twice as long and half as long are equally far off. A time is left out when it
// lies more than 3.5 robust standard deviations from the median; the robust
// standard deviation is 1.4826 times the median absolute deviation, and 10 % at
// least, so that times rounded to whole minutes are not taken for faults. With
// fewer records there is nothing to compare with but the author's estimate: a time
// is left out when it is more than three times the pessimistic or less than a third
// of the optimistic time.
//
// Source: Iglewicz and Hoaglin, "How to Detect and Handle Outliers", 1993 (the
// modified z-score and its limit of 3.5; from memory). The rule for few records is
// common practice, no source.
func limits(times []float64, author procedure.Estimate) (low, high float64) {
	if len(times) < fewRecords {
		if author.Likely <= 0 {
			return 0, math.Inf(1)
		}
		return author.Optimistic / farFromFew, author.Pessimistic * farFromFew
	}
	logs := make([]float64, len(times))
	for i, t := range times {
		logs[i] = math.Log(t)
	}
	middle := median(logs)
	for i := range logs {
		logs[i] = math.Abs(logs[i] - middle)
	}
	spread := farFromMany * max(madFactor*median(logs), leastSpread)
	return math.Exp(middle - spread), math.Exp(middle + spread)
}

// median returns the middle of a list, or the mean of the two in the middle.
func median(list []float64) float64 {
	s := slices.Sorted(slices.Values(list))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}

// revised works out the new estimate from the times that count.
//
// The most likely time is the weighted geometric mean of the author's and the
// records' median, the author's counting as five records. So one record that took
// twice as long moves it by an eighth, five by two fifths, and with fifty the
// author's estimate hardly counts any more.
//
// The spread is kept apart for fast and slow times, as a part of the most likely
// time: what the standard deviation would be if the other side looked the same. The
// author's are (m - a) / 3m and (b - m) / 3m, because three standard deviations
// lead to a and to b. The records' are the root mean squares of what lies below
// and above their median. The squares are averaged with the same weights, the
// records counting for one less than there are: a single one shows no spread. The
// new times are then a = m (1 - 3 low) and b = m (1 + 3 high), a not below a
// tenth of m unless the author's is.
//
// A step without an estimate takes its records' median, and two thirds to one and
// a half times that as if the author had said so.
//
// Source: three standard deviations between m and each end: classical PERT
// (Malcolm, Roseboom, Clark and Fazar, 1959). The weights are this project's own.
//
// Each time counts by its weight, which is less than one for several times of one team.
// Work that had to be done twice is a term of its own: its share, in which the author counts
// for five records without any, times what it takes on top goes into b, so that the expected time is right.
func revised(author procedure.Estimate, s sample) procedure.Estimate {
	if len(s.times) == 0 {
		return author
	}
	middle, n := s.middle(), s.size()
	m, low, high, least := middle, (1-1/1.5)/3, (1.5-1)/3.0, 0.1
	if author.Likely > 0 {
		m = math.Exp((AuthorWeight*math.Log(author.Likely) + n*math.Log(middle)) / (AuthorWeight + n))
		low = (1 - author.Optimistic/author.Likely) / 3
		high = (author.Pessimistic/author.Likely - 1) / 3
		least = min(least, author.Optimistic/author.Likely)
	}
	below, above := s.semideviations()
	weigh := func(author, records float64) float64 {
		return math.Sqrt((AuthorWeight*author*author + (n-1)*records*records) / (AuthorWeight + n - 1))
	}
	n = max(n, 1)
	low, high = weigh(low, below), weigh(high, above)
	again := 6 * s.reworkShare(AuthorWeight) * s.reworkExtra() * m / middle
	return procedure.Estimate{Optimistic: m * max(1-3*low, least), Likely: m, Pessimistic: m*(1+3*high) + again, Span: author.Span}
}

// sample is the times of a step that count.
type sample struct {
	// times went well, rework are those of work that was done twice; each with its weight.
	times, weights     []float64
	rework, reworkLike []float64
}

// timed is a time that counts.
type timed struct {
	minutes float64
	team    string
	twice   bool
}

// sampleOf sorts times, so that sums of them do not depend on the order in which they came.
func sampleOf(list []timed, correlation float64) sample {
	slices.SortFunc(list, func(a, b timed) int {
		return cmp.Or(cmp.Compare(a.minutes, b.minutes), cmp.Compare(a.team, b.team))
	})
	var s sample
	var teams, again []string
	for _, t := range list {
		if t.twice {
			s.rework, again = append(s.rework, t.minutes), append(again, t.team)
		} else {
			s.times, teams = append(s.times, t.minutes), append(teams, t.team)
		}
	}
	s.weights, s.reworkLike = weights(teams, correlation), weights(again, correlation)
	return s
}

// size is how many independent times there are as good as.
func (s sample) size() float64 { return sum(s.weights) }

func (s sample) middle() float64 { return weightedMedian(s.times, s.weights) }

func sum(list []float64) float64 {
	out := 0.0
	for _, x := range list {
		out += x
	}
	return out
}

// semideviations are the root mean squares of the relative differences below and
// above the middle, each as if the other side were its mirror image.
func (s sample) semideviations() (below, above float64) {
	middle := s.middle()
	for i, t := range s.times {
		d := t/middle - 1
		if d < 0 {
			below += s.weights[i] * d * d
		} else {
			above += s.weights[i] * d * d
		}
	}
	half := s.size() / 2
	return math.Sqrt(below / half), math.Sqrt(above / half)
}

// reworkShare is which part of the work is done twice, when so many more records have no rework.
func (s sample) reworkShare(without float64) float64 {
	return sum(s.reworkLike) / (sum(s.reworkLike) + s.size() + without)
}

// reworkExtra is what work that is done twice takes on top, in minutes; 0 without any.
func (s sample) reworkExtra() float64 {
	if len(s.rework) == 0 {
		return 0
	}
	return weightedMedian(s.rework, s.reworkLike) - s.middle()
}

// interval is where the mean time, rework included, lies with 95 % confidence. Below two independent times there is none: low is 0.
//
// Source: Student's interval of a mean, with the independent times that there are as good as.
func (s sample) interval() (middle, low, high float64) {
	n := s.size() + sum(s.reworkLike)
	all, weights := append(slices.Clone(s.times), s.rework...), append(slices.Clone(s.weights), s.reworkLike...)
	for i, t := range all {
		middle += weights[i] * t / n
	}
	if n < 2 {
		return middle, 0, 0
	}
	squares := 0.0
	for i, t := range all {
		squares += weights[i] * (t - middle) * (t - middle)
	}
	variance := max(squares/(n-1), 1.0/12) // of whole minutes: two times that are the same say no more than that
	half := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975) * math.Sqrt(variance/n)
	return middle, max(middle-half, 0), middle + half
}

// rounded gives an estimate the digits that it deserves: tenths of a minute below
// two minutes, halves below ten, whole minutes above. No time becomes 0 unless it was.
func rounded(e procedure.Estimate) procedure.Estimate {
	round := func(x float64) float64 {
		switch {
		case x < 2:
			return math.Round(x*10) / 10
		case x < 10:
			return math.Round(x*2) / 2
		}
		return math.Round(x)
	}
	e.Likely = max(round(e.Likely), 0.1)
	if e.Optimistic > 0 {
		e.Optimistic = max(round(e.Optimistic), 0.1)
	}
	e.Pessimistic = max(round(e.Pessimistic), e.Likely)
	return e
}
