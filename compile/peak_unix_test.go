//go:build unix

package compile

import (
	"os"
	"runtime"
	"syscall"
)

// peakKB is the most memory that a process had, in KB.
func peakKB(p *os.ProcessState) int64 {
	usage, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" { // which counts bytes
		return usage.Maxrss / 1024
	}
	return usage.Maxrss
}
