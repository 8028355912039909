package compile

import (
	"slices"
	"sync"

	"matchmark/compile/cache"
	"matchmark/compile/library"
	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// shared is a machine or a steps file, which many procedures read: it is read once in an update.
type shared struct {
	read   func() *source.Part
	look   func()
	log    diagnostic.Log
	failed bool
}

// part reads a file of the library; what it reads must be what the index was made from.
func (s *Session) part(name string, log *diagnostic.Log) *source.Part {
	content, err := source.Load(s.files, name)
	var sum cache.Sum
	if err == nil {
		sum = cache.SumOf(content)
	}
	if sum != s.inputs[name].sum {
		s.moved.Store(true)
	}
	return s.reader.Read(text.NewFile(name, content), err, log)
}

// sharedPart reads a machine or a steps file, and looks at its figures.
func (s *Session) sharedPart(name string) (*shared, *source.Part) {
	s.mu.Lock()
	x := s.shared[name]
	if x == nil {
		x = &shared{}
		x.read = sync.OnceValue(func() *source.Part {
			part := s.part(name, &x.log)
			if m := part.Machine(); m != nil {
				lib := s.lib()
				lib.Machines = []*procedure.Machine{m}
				check.Part(lib, &x.log)
			}
			x.failed = x.log.HasErrors()
			return part
		})
		x.look = sync.OnceFunc(func() {
			library.CheckFigures(x.read().Figures(), s.pictures.look, &x.log)
			x.failed = x.log.HasErrors()
		})
		s.shared[name] = x
	}
	s.mu.Unlock()
	return x, x.read()
}

// gathered is what is read together with some procedures.
type gathered struct {
	lib   *source.Library
	deps  []dep
	seen  map[string]bool
	own   []*procedure.Figure // of files that nobody else reads
	other []*procedure.Figure // of machines and shared steps
	// failed is true when a file that others read too has errors.
	failed bool
}

// gather reads procedures with all that belongs to them: machines, shared steps, refits, quizzes.
func (s *Session) gather(names []string, log *diagnostic.Log) *gathered {
	g := &gathered{lib: s.settingsOf(), seen: map[string]bool{}}
	for _, name := range names {
		s.gatherShared(g, s.index.machines[s.inputs[name].heading.Of])
		s.gatherOwn(g, name, log)
		for _, also := range s.companions(name) {
			s.gatherOwn(g, also, log)
		}
	}
	return g
}

func (s *Session) gatherShared(g *gathered, name string) *source.Part {
	if name == "" || g.seen[name] {
		return nil
	}
	g.seen[name] = true
	x, part := s.sharedPart(name)
	x.look()
	g.lib.Add(part)
	g.other = append(g.other, part.Figures()...)
	g.failed = g.failed || x.failed
	return part
}

func (s *Session) gatherOwn(g *gathered, name string, log *diagnostic.Log) {
	if g.seen[name] {
		return
	}
	g.seen[name] = true
	part := s.part(name, log)
	g.lib.Add(part)
	g.own = append(g.own, part.Figures()...)
	s.gatherIncluded(g, part.Includes())
}

// gatherIncluded reads the steps files that are taken in, and those that these take in.
func (s *Session) gatherIncluded(g *gathered, ids []string) {
	for _, id := range ids {
		d := dep{stepsDep, id, s.sumOf(stepsDep, id)}
		if slices.Contains(g.deps, d) {
			continue
		}
		g.deps = append(g.deps, d)
		if part := s.gatherShared(g, s.index.steps[id]); part != nil {
			s.gatherIncluded(g, part.Includes())
		}
	}
}
