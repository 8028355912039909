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

// gate lets in as many as there is room for.
type gate struct {
	mu    sync.Mutex
	freed sync.Cond
	room  int
	inUse int
}

func newGate(room int) *gate {
	g := &gate{room: room}
	g.freed.L = &g.mu
	return g
}

// enter waits until there is room. Who needs more than there is gets in alone.
func (g *gate) enter(need int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for g.inUse > 0 && g.inUse+need > g.room {
		g.freed.Wait()
	}
	g.inUse += need
}

// leave gives the room back.
func (g *gate) leave(need int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.inUse -= need
	g.freed.Broadcast()
}
