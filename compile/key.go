package compile

import (
	"crypto/subtle"

	"matchmark/compile/cache"
	"matchmark/procedure/source"
)

// keyOf is the sum of what is known to go into a unit before it is read: the
// program, the settings, its files by name and content, and of other units what
// it shows of them.
func (s *Session) keyOf(name unitName) cache.Sum {
	var f cache.Fields
	f.Int(int(name.kind))
	f.Sum(s.build)
	if name.kind == fixedUnit { // one for all libraries in a language
		f.String(s.settings.Title)
		f.String(s.settings.Language)
		return cache.SumOf(f.B)
	}
	f.Sum(s.settingsSum)
	s.writeFile(&f, name.file)
	switch name.kind {
	case procedureUnit:
		s.writeProcedure(&f, name.file)
	case machineUnit:
		for _, p := range s.proceduresOn(name.file) {
			f.String(p.file)
			f.Sum(p.entrySum)
			f.Sum(p.usesSum)
		}
	case stepsUnit:
		for _, p := range s.takersOf(name.file) {
			f.String(p.file)
			f.Sum(p.usesSum)
		}
	case courseUnit:
		for _, p := range s.proceduresOf(name.file) {
			f.String(p.file)
			f.Sum(p.whole())
		}
		for _, quiz := range s.quizzesOf(name.file) {
			s.writeFile(&f, quiz)
		}
	case overallUnit:
		s.writeOverall(&f)
	}
	return cache.SumOf(f.B)
}

func (s *Session) writeFile(f *cache.Fields, name string) {
	f.String(name)
	if in := s.inputs[name]; in != nil {
		f.Sum(in.sum)
	}
}

func (s *Session) writeProcedure(f *cache.Fields, name string) {
	h := s.inputs[name].heading
	s.writeFile(f, s.index.machines[h.Of])
	for _, also := range s.companions(name) {
		s.writeFile(f, also)
	}
	f.Int(s.index.people[h.ID])
	f.Int(s.index.back[h.ID])
}

// companions are the refit files and the quizzes that are read with a procedure.
func (s *Session) companions(name string) []string {
	h := s.inputs[name].heading
	if s.index.procedures[h.ID] != name {
		return nil // another one has the id
	}
	refits, quizzes := s.index.refitsOf[h.ID], s.index.quizzesOn[h.ID]
	return append(refits[:len(refits):len(refits)], quizzes...)
}

// proceduresOn lists the units of the procedures on a machine's file, in order.
func (s *Session) proceduresOn(machine string) []*unit {
	id := s.inputs[machine].heading.ID
	if s.index.machines[id] != machine {
		return nil
	}
	var out []*unit
	for _, name := range s.index.proceduresOn[id] {
		if u := s.units[unitName{procedureUnit, name}]; u != nil {
			out = append(out, u)
		}
	}
	return out
}

// takersOf lists the units of the procedures that take in a steps file, in order.
func (s *Session) takersOf(steps string) []*unit {
	id := s.inputs[steps].heading.ID
	var out []*unit
	for _, name := range s.index.names {
		u := s.units[unitName{procedureUnit, name}]
		if u == nil {
			continue
		}
		for _, d := range u.deps {
			if d.kind == stepsDep && d.name == id {
				out = append(out, u)
				break
			}
		}
	}
	return out
}

// proceduresOf lists the units of the procedures and quizzes of a course, each once, in the course's order.
func (s *Session) proceduresOf(course string) []*unit {
	var out []*unit
	for _, file := range s.index.proceduresIn(s.inputs, course) {
		if u := s.units[unitName{procedureUnit, file}]; u != nil {
			out = append(out, u)
		}
	}
	return out
}

// quizzesOf lists the files of the quizzes of a course, in its order.
func (s *Session) quizzesOf(course string) (out []string) {
	for _, item := range s.inputs[course].course {
		if file := s.index.quizzes[item.quiz]; file != "" {
			out = append(out, file)
		}
	}
	return out
}

// writeOverall writes what the pages on the whole show.
func (s *Session) writeOverall(f *cache.Fields) {
	for _, names := range [][]string{s.index.machineFiles, s.index.courses} {
		f.Int(len(names))
		for _, name := range names {
			s.writeFile(f, name)
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.cards == nil {
		s.cards = &cache.Sum{}
		for name, u := range s.units {
			if name.kind == procedureUnit {
				s.addCard(u)
			}
		}
	}
	f.Sum(*s.cards)
}

// addCard adds a procedure's card to the sum of all cards, in any order, or takes it out of it:
// so one that changes costs no more in a large library.
func (s *Session) addCard(u *unit) {
	var f cache.Fields
	f.String(u.file)
	f.Sum(u.entrySum)
	f.String(s.index.machines[s.inputs[u.file].heading.Of])
	one := cache.SumOf(f.B)
	subtle.XORBytes(s.cards[:], s.cards[:], one[:])
}

// settingsOf is what a unit sees of the settings: a library that holds nothing else.
func (s *Session) settingsOf() *source.Library { return &source.Library{Library: s.lib()} }
