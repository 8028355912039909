package planning

import (
	"testing"

	"matchmark/procedure/analysis"
)

// BenchmarkTimes works out the times of a job of 30 steps, most of which can go side by side, with rosters for up to four.
func BenchmarkTimes(b *testing.B) {
	lib := library()
	p := lib.Procedures[0]
	for len(p.Steps) < 30 {
		s := *p.Steps[1+len(p.Steps)%2]
		s.ID += string(rune('a' + len(p.Steps)))
		s.Time = estimate(4, float64(5+len(p.Steps)%7), 16)
		s.Blocks = nil
		p.Steps = append(p.Steps, &s)
	}
	for b.Loop() {
		newWork(analysis.New(p).Jobs[0], usualCrew)
	}
}
