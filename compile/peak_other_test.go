//go:build !unix

package compile

import (
	"os"
	"time"
)

// busyTime is not known on this system.
func busyTime() time.Duration { return 0 }

// peakKB is not known on this system.
func peakKB(*os.ProcessState) int64 { return 0 }
