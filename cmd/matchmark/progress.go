package main

import (
	"fmt"
	"io"
	"sync"
	"time"

	"matchmark/compile"
	"matchmark/procedure/say"
)

const (
	// quiet is how long work may take before it shows how far it is.
	quiet = time.Second
	// refresh is how often that is shown.
	refresh = 200 * time.Millisecond
)

// progress shows on one line of a terminal how far a compile is.
type progress struct {
	w    io.Writer
	in   func(say.Text) string // the language that is spoken
	done chan struct{}
	once sync.Once
	wait sync.WaitGroup

	mu sync.Mutex
	at compile.Progress
}

// startProgress begins to show progress; on anything but a terminal it shows nothing.
func (c *console) startProgress() *progress {
	p := &progress{w: below(c.err), in: c.in, done: make(chan struct{}), at: compile.Progress{Stage: "read"}}
	if c.live {
		p.wait.Go(p.show)
	}
	return p
}

// set takes in how far the compile is.
func (p *progress) set(at compile.Progress) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.at = at
}

// stop takes the line away. It may be called twice.
func (p *progress) stop() {
	p.once.Do(func() { close(p.done) })
	p.wait.Wait()
}

func (p *progress) show() {
	next := time.NewTimer(quiet)
	defer next.Stop()
	shown := false
	for {
		select {
		case <-p.done:
			if shown {
				fmt.Fprint(p.w, "\r\x1b[K")
			}
			return
		case <-next.C:
			p.mu.Lock()
			at := p.at
			p.mu.Unlock()
			fmt.Fprintf(p.w, "\r\x1b[K%s", p.in(sentence(at)))
			shown = true
			next.Reset(refresh)
		}
	}
}

// sentence says how far a compile is. It fits on a narrow terminal.
func sentence(at compile.Progress) say.Text {
	does := say.That("Working")
	switch at.Stage {
	case "read":
		does = say.That("Reading the library")
	case "pictures":
		does = say.That("Preparing pictures")
	case "pages":
		does = say.That("Writing pages")
	}
	switch {
	case at.Total > 0:
		return say.That("%does: %done of %total", does, say.Count(at.Done), say.Count(at.Total))
	case at.Done > 0:
		return say.That("%does: %done", does, say.Count(at.Done))
	}
	return say.That("%does ...", does)
}
