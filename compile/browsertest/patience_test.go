//go:build browser

package browsertest

import (
	"os"
	"strconv"
	"testing"
	"time"
)

// How long a test waits at most for what it waits for. It goes on as soon as that is there, so a long limit
// costs time only where something is broken, and a short one makes a busy machine look broken.
const (
	forPage    = time.Minute      // something in the page itself
	forNetwork = 3 * time.Minute  // something that comes over the network: tablets ask every few seconds
	forTest    = 20 * time.Minute // all that is done in one tab
)

// patience stretches a limit by the factor in MATCHMARK_PATIENCE, for a machine that needs longer still.
func patience(t *testing.T, most time.Duration) time.Duration {
	t.Helper()
	stated := os.Getenv("MATCHMARK_PATIENCE")
	if stated == "" {
		return most
	}
	factor, err := strconv.ParseFloat(stated, 64)
	if err != nil || factor <= 0 {
		t.Fatalf("MATCHMARK_PATIENCE is %q, want a factor such as 2", stated)
	}
	return time.Duration(factor * float64(most))
}

// inTestAll leaves a test to "make test-all", which runs all of them: what takes long, or looks at more of what "make test" looks at.
func inTestAll(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("make test-all runs it")
	}
}

// until tries again and again until something is there, and reports whether it came in time. It asks ever less often:
// what is asked for all the time is late for it, on two cores.
func until(t *testing.T, most time.Duration, there func() bool) bool {
	t.Helper()
	pause := 10 * time.Millisecond
	for end := time.Now().Add(patience(t, most)); !there(); time.Sleep(pause) {
		if time.Now().After(end) {
			return false
		}
		pause = min(2*pause, 160*time.Millisecond)
	}
	return true
}
