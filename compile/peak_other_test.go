//go:build !unix

package compile

import "os"

// peakKB is not known on this system.
func peakKB(*os.ProcessState) int64 { return 0 }
