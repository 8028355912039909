package main

import (
	"os"
	"runtime/debug"
)

// tradeMemoryForTime lets the heap grow to five times what is in use before it is
// collected. A compile lives for a second or two and allocates all the time: with
// Go's own target of 100 the collector took the second processor for itself
// (1,000 procedures on two processors: 498 ms for their Markdown, and 261 ms with
// 400). Near mostMemory it collects sooner. Whoever sets GOGC or GOMEMLIMIT knows better.
func tradeMemoryForTime() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(mostMemory)
	}
}

// mostMemory is what a compile takes without need, in bytes. What it cannot do
// without, which grows with the library, it takes above that too.
const mostMemory = 768 << 20
