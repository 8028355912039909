package picture

// plane holds samples of eight bits in rows, several channels side by side.
type plane struct {
	width, height int // samples per channel
	channels      int
	stride        int // bytes from one row to the next
	pix           []byte
}

func newPlane(width, height, channels int) plane {
	return plane{width, height, channels, width * channels, make([]byte, width*height*channels)}
}

// Weights and the samples between the two passes are whole numbers, so that a
// picture comes out the same on any machine: floating point does not promise
// that, since some processors multiply and add in one rounding.
const (
	weightBits = 14 // weights of one sample sum to 1<<weightBits
	keptBits   = 5  // fraction kept between the passes
	unit       = 1 << 16
)

// scale returns a plane scaled by a Catmull-Rom filter, widened when it scales
// down so that nothing is skipped. First it scales along rows, then along columns.
func (p plane) scale(width, height int) plane {
	if width == p.width && height == p.height {
		return p
	}
	to := newPlane(width, height, p.channels)
	between := p.scaleRows(filter(p.width, width))
	sums := make([]int32, to.stride)
	for y, f := range filter(p.height, height) {
		clear(sums)
		for k, weight := range f.weights {
			row := between[(f.first+k)*to.stride:][:to.stride]
			for x, sample := range row {
				sums[x] += weight * int32(sample)
			}
		}
		row := to.pix[y*to.stride:][:to.stride]
		for x, sum := range sums {
			row[x] = byte(min(max((sum+1<<(weightBits+keptBits-1))>>(weightBits+keptBits), 0), 255))
		}
	}
	return to
}

// scaleRows scales along rows only; samples keep keptBits of fraction.
func (p plane) scaleRows(filters []taps) []int16 {
	to := make([]int16, 0, len(filters)*p.channels*p.height)
	for y := range p.height {
		row := p.pix[y*p.stride:][:p.width*p.channels]
		for _, f := range filters {
			for channel := range p.channels {
				at, sum := f.first*p.channels+channel, int32(1<<(weightBits-keptBits-1))
				for _, weight := range f.weights {
					sum += weight * int32(row[at])
					at += p.channels
				}
				to = append(to, int16(sum>>(weightBits-keptBits)))
			}
		}
	}
	return to
}

// taps are the samples that make one sample of the scaled picture.
type taps struct {
	first   int // index of the first sample
	weights []int32
}

// filter returns the taps of each of "to" samples, made from "from" samples.
// Samples beyond the edge do not exist; the others share their weight.
func filter(from, to int) []taps {
	filters := make([]taps, to)
	wide := max(from, to)
	for i := range filters {
		// Twice the distance of centres, in units of 1/to of a sample, is
		// |(2j+1)·to − (2i+1)·from|; the filter reaches two samples far.
		centre := (2*i + 1) * from
		first := max((centre-4*wide)/(2*to), 0)
		last := min((centre+4*wide)/(2*to), from-1)
		weights := make([]int32, 0, last-first+1)
		sum := int64(0)
		for j := first; j <= last; j++ {
			w := catmullRom(int64(abs((2*j+1)*to-centre)) * unit / int64(2*wide))
			weights = append(weights, int32(w))
			sum += w
		}
		filters[i] = taps{first, normal(weights, sum)}
	}
	return filters
}

// normal scales weights to the sum 1<<weightBits; what rounding leaves goes to the largest.
func normal(weights []int32, sum int64) []int32 {
	left, largest := int32(1<<weightBits), 0
	for k, w := range weights {
		weights[k] = int32((int64(w)<<(weightBits+1) + sum) / (2 * sum))
		left -= weights[k]
		if weights[k] > weights[largest] {
			largest = k
		}
	}
	weights[largest] += left
	return weights
}

// catmullRom returns the filter's weight at a distance, both in 1/unit.
//
// Source: Mitchell and Netravali, "Reconstruction Filters in Computer Graphics",
// 1988, the cubic with B = 0 and C = 1/2, from memory.
func catmullRom(t int64) int64 {
	square := t * t / unit
	cube := square * t / unit
	switch {
	case t < unit:
		return (3*cube-5*square)/2 + unit
	case t < 2*unit:
		return (-cube+5*square)/2 - 4*t + 2*unit
	}
	return 0
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
