//go:build unix

package compile

import (
	"os"
	"runtime"
	"syscall"
	"time"
)

// busyTime is the processors' time that this process has had.
func busyTime() time.Duration {
	var usage syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &usage) != nil {
		return 0
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

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
