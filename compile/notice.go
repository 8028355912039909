package compile

import (
	"io/fs"
	"maps"
	"slices"
	"strings"

	"matchmark/procedure/source"
)

// notice reads what has changed and marks the units that depend on it. all is true
// when so much may have changed that every unit is looked at.
func (s *Session) notice(changed []string) (all bool, err error) {
	read := false
	for _, name := range changed {
		info, err := fs.Stat(s.files, name)
		folder := err == nil && info.IsDir()
		switch {
		case name == source.SettingsFile:
			read = true
		case folder, s.inputs[name] == nil && s.wasFolder(name):
			s.pictures.forgetIn(name)
			read = true
		case source.IsFile(name):
			if s.noticeFile(name, err != nil) {
				all = true
			}
		case s.pictures.forget(name):
			s.picturesStand = false
			s.noticePicture(name)
		case s.pictures.forgetIn(name): // a folder of pictures that is gone
			read = true
		}
	}
	if read {
		return true, s.read(func() {})
	}
	return all, nil
}

// wasFolder reports whether files of the library lay below a name.
func (s *Session) wasFolder(name string) bool {
	for file := range s.inputs {
		if strings.HasPrefix(file, name+"/") {
			return true
		}
	}
	return false
}

// noticeFile reads a Markdown file. all is true when it says that it is something
// else than before, so that the files must be joined anew.
func (s *Session) noticeFile(name string, gone bool) (all bool) {
	before := s.inputs[name]
	if gone {
		if before != nil {
			s.inputs = maps.Clone(s.inputs)
			delete(s.inputs, name)
		}
		return before != nil
	}
	now := s.readInput(name)
	if before != nil && before.sum == now.sum {
		return false
	}
	s.inputs[name] = now
	if before != nil && before.allows != now.allows {
		s.index.allow(name, now.allows)
		s.telling = nil
	}
	if before == nil || !before.heading.Same(now.heading) || now.heading.Kind == "course" {
		return true
	}
	h := now.heading
	switch h.Kind {
	case "quiz", "refit":
		if of := s.index.procedures[h.Of]; of != "" {
			s.dirty[unitName{procedureUnit, of}] = true
			return false
		}
	case "machine":
		for _, p := range s.proceduresOn(name) {
			s.dirty[p.unitName] = true
		}
		s.dirty[unitName{machineUnit, name}] = true
		s.dirty[unitName{overallUnit, ""}] = true
		return false
	case "steps":
		for _, p := range s.takersOf(name) {
			s.dirty[p.unitName] = true
		}
		s.dirty[unitName{stepsUnit, name}] = true
		return false
	}
	for _, kind := range []unitKind{procedureUnit, strayUnit} {
		if at := (unitName{kind, name}); s.units[at] != nil {
			s.dirty[at] = true
			return false
		}
	}
	return true
}

func (s *Session) noticePicture(name string) {
	for at, u := range s.units {
		if slices.ContainsFunc(u.deps, func(d dep) bool { return d.kind == pictureDep && d.name == name }) {
			s.dirty[at] = true
		}
	}
}

// follow marks the units that are made from what a procedure's unit shows, when that has changed.
func (s *Session) follow(before, now *unit) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if before.whole() == now.whole() && before.made == now.made {
		return
	}
	in := s.inputs[now.file]
	if machine := s.index.machines[in.heading.Of]; machine != "" {
		s.dirty[unitName{machineUnit, machine}] = true
	}
	for _, d := range slices.Concat(before.deps, now.deps) {
		if d.kind == stepsDep && s.index.steps[d.name] != "" {
			s.dirty[unitName{stepsUnit, s.index.steps[d.name]}] = true
		}
	}
	for _, course := range s.index.coursesWith[now.file] {
		s.dirty[unitName{courseUnit, course}] = true
	}
	if before.entrySum != now.entrySum {
		if s.recarded != nil {
			s.recarded[now.file] = true
		}
		if s.cards != nil {
			s.addCard(before)
			s.addCard(now)
		}
		s.dirty[unitName{overallUnit, ""}] = true
	}
}
