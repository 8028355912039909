// Package parallel spreads work on many inputs over the processors. A fault of
// matchmark's own that shows as a panic then names its input and comes back to
// the caller, where it can be told to the author; a panic that stays on another
// goroutine would end the program with a dump that helps no author.
package parallel

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Fault is a panic with the input that was at work.
type Fault struct {
	// Input is what was worked on, such as a file of the library.
	Input string
	// Cause is what the panic said.
	Cause any
	// Stack is where it happened, for a report.
	Stack []byte
}

// Error says what happened and on which input.
func (f *Fault) Error() string { return fmt.Sprintf("%s: %v", f.Input, f.Cause) }

// Each calls work for each input, on as many goroutines as there are processors,
// and returns when all are done. work gets the input's index. When it panics, no
// further input is begun and Each panics with a *Fault; of several, with that of
// the first input.
func Each(inputs []string, work func(i int)) {
	var next atomic.Int64
	faults := make([]*Fault, len(inputs))
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(inputs)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(inputs); i = int(next.Add(1)) - 1 {
				if faults[i] = try(inputs[i], func() { work(i) }); faults[i] != nil {
					next.Store(int64(len(inputs)))
				}
			}
		})
	}
	wait.Wait()
	for _, f := range faults {
		if f != nil {
			panic(f)
		}
	}
}

// Start begins work on a goroutine of its own. wait returns when it is done; when
// work panicked, wait panics with a *Fault that names input.
func Start(input string, work func()) (wait func()) {
	done := make(chan *Fault, 1)
	go func() { done <- try(input, work) }()
	return func() {
		if fault := <-done; fault != nil {
			panic(fault)
		}
	}
}

// try returns the panic of a piece of work, nil when there is none.
func try(input string, work func()) (fault *Fault) {
	defer func() {
		if cause := recover(); cause != nil {
			fault = &Fault{Input: input, Cause: cause, Stack: debug.Stack()}
		}
	}()
	work()
	return nil
}
