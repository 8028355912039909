package compile

import (
	"errors"
	"maps"
	"slices"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// report puts the messages into the log. It returns ErrDiagnostics when there are errors.
func (s *Session) report(log *diagnostic.Log) error {
	add := func(all []diagnostic.Diagnostic) {
		for _, d := range all {
			if s.told(d) {
				log.Add(s.withText(d))
			}
		}
	}
	add(s.scanned)
	add(s.joined)
	if len(s.inputs) == 0 {
		source.Empty(log)
	}
	if s.telling == nil {
		s.telling = map[unitName]bool{}
		for name, u := range s.units {
			if s.tells(u) {
				s.telling[name] = true
			}
		}
	}
	for _, u := range s.unitsOf(maps.Keys(s.telling), s.tells, allKinds...) {
		add(u.found)
	}
	var allowing []*text.File
	for _, name := range slices.Sorted(maps.Keys(s.index.allowing)) {
		allowing = append(allowing, s.text(name))
	}
	log.Allow(allowing)
	switch {
	case log.HasErrors():
		return ErrDiagnostics
	case s.broken.Load():
		return &InternalError{errors.New("pages were left out, and no message says why")}
	}
	return nil
}

// tells reports whether a unit has messages that are reported.
func (s *Session) tells(u *unit) bool { return slices.ContainsFunc(u.found, s.told) }

// told reports whether a message is reported. Advice is left out with brief where nothing could allow it.
func (s *Session) told(d diagnostic.Diagnostic) bool {
	return !s.brief || d.Severity != diagnostic.Advice || s.mayBeAllowed(d)
}

// untold counts the messages that are not reported.
func (s *Session) untold(all []diagnostic.Diagnostic) (n int) {
	for _, d := range all {
		if !s.told(d) {
			n++
		}
	}
	return n
}

// mayBeAllowed reports whether a message lies in a file that may allow it.
func (s *Session) mayBeAllowed(d diagnostic.Diagnostic) bool {
	if d.Span.File == nil {
		return false
	}
	in := s.inputs[d.Span.File.Name]
	return in == nil || in.allows
}

// bare is a file by its name alone, for messages that are kept.
func (s *Session) bare(name string) *text.File {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.bares[name]
	if f == nil {
		f = text.NewFile(name, nil)
		s.bares[name] = f
	}
	return f
}

// bareAll takes the bytes of the files out of messages that are kept.
func (s *Session) bareAll(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	out := slices.Clone(all)
	for i := range out {
		d := &out[i]
		d.Span = s.bareSpan(d.Span)
		d.See = slices.Clone(d.See)
		for j := range d.See {
			d.See[j].Span = s.bareSpan(d.See[j].Span)
		}
	}
	return out
}

func (s *Session) bareSpan(span text.Span) text.Span {
	if span.File != nil {
		span.File = s.bare(span.File.Name)
	}
	return span
}

// withText gives a message its files' bytes back. Advice stays without where
// nothing is allowed: it is counted and not shown.
func (s *Session) withText(d diagnostic.Diagnostic) diagnostic.Diagnostic {
	if d.Severity == diagnostic.Advice && !s.mayBeAllowed(d) {
		return d
	}
	fill := func(span text.Span) text.Span {
		if span.File != nil {
			span.File = s.text(span.File.Name)
		}
		return span
	}
	d.Span = fill(d.Span)
	d.See = slices.Clone(d.See)
	for i := range d.See {
		d.See[i].Span = fill(d.See[i].Span)
	}
	return d
}

// text returns a file with its bytes, read once in an update.
func (s *Session) text(name string) *text.File {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.texts[name]
	if f == nil {
		content, _ := source.Load(s.files, name) // what cannot be read has a message of its own
		f = text.NewFile(name, content)
		s.texts[name] = f
	}
	return f
}

func hasErrors(all []diagnostic.Diagnostic) bool {
	return slices.ContainsFunc(all, func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Error })
}
