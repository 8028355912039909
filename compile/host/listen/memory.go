package listen

import (
	"os"
	"regexp"
	"runtime/debug"
	"strconv"
	"strings"
)

// DefaultMemory is how many bytes a host takes when nothing else is said. A class works in that.
const DefaultMemory = 512 << 20

// LeastMemory is the least that a host works in.
const LeastMemory = 192 << 20

// MemoryHere is how many bytes a host should take on this computer: DefaultMemory, or half of
// what there is where that is less and the system says how much it is.
// Source: Linux, proc(5), /proc/meminfo, and "Control Group v2", memory.max (from memory).
func MemoryHere() int64 {
	out := int64(DefaultMemory)
	if info, err := os.ReadFile("/proc/meminfo"); err == nil {
		if m := memTotal.FindSubmatch(info); m != nil {
			if n, err := strconv.ParseInt(string(m[1]), 10, 64); err == nil {
				out = min(out, n<<10/2)
			}
		}
	}
	if limit, err := os.ReadFile("/sys/fs/cgroup/memory.max"); err == nil {
		if n, err := strconv.ParseInt(strings.TrimSpace(string(limit)), 10, 64); err == nil { // or the word max
			out = min(out, n/2)
		}
	}
	return max(out, LeastMemory)
}

var memTotal = regexp.MustCompile(`(?m)^MemTotal:\s+([0-9]+) kB$`)

// LimitMemory has the collector keep the process within so many bytes. It begins to work hard at half of them: on
// a busy computer it comes late, and what the database takes for its pages it does not see.
func LimitMemory(bytes int64) {
	debug.SetGCPercent(50)
	debug.SetMemoryLimit(bytes / 2)
}
