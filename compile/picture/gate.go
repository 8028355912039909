package picture

import "sync"

// memoryLimit is about what pictures that are decoded at the same time may take.
const memoryLimit = 512 << 20

// memory returns about what preparing a picture takes, in bytes: the decoder's
// samples and coefficients, and the planes.
func (s *opened) memory() int {
	if s.Format == SVG {
		return 0
	}
	return 12 * int(s.Width) * int(s.Height)
}

// semaphore lets in as many as there is room for.
type semaphore struct {
	mu    sync.Mutex
	freed sync.Cond
	room  int
	inUse int
}

func newSemaphore(room int) *semaphore {
	g := &semaphore{room: room}
	g.freed.L = &g.mu
	return g
}

// acquire waits until there is room. Who needs more than there is gets in alone.
func (g *semaphore) acquire(need int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for g.inUse > 0 && g.inUse+need > g.room {
		g.freed.Wait()
	}
	g.inUse += need
}

// release gives the room back.
func (g *semaphore) release(need int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.inUse -= need
	g.freed.Broadcast()
}
