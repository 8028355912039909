package compile

import (
	"slices"

	"matchmark/procedure/cause"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// messages are those of some units.
type messages struct {
	// loud are all but advice; advice is by the file in which it lies.
	loud   []diagnostic.Diagnostic
	advice map[string][]diagnostic.Diagnostic
	count  int // of advice
	failed bool
}

func (m *messages) add(all []diagnostic.Diagnostic) {
	for _, d := range all {
		if d.Severity != diagnostic.Advice {
			m.loud = append(m.loud, d)
			m.failed = m.failed || d.Severity == diagnostic.Error
			continue
		}
		name := ""
		if d.Span.File != nil {
			name = d.Span.File.Name
		}
		if m.advice == nil {
			m.advice = map[string][]diagnostic.Diagnostic{}
		}
		m.advice[name] = append(m.advice[name], d)
		m.count++
	}
}

// joining are the messages on the folder, the settings and the names that files take.
// With errors among them there is no telling what belongs together.
func (s *snapshot) joining() *messages {
	m := &messages{}
	m.add(s.get(key{kind: listingKind}).value.(*listing).found)
	m.add(s.get(key{kind: settingsKind}).value.(*settings).found)
	m.add(s.index().found)
	return m
}

// messages are all messages of the library's checks.
func (s *snapshot) messages() []*messages {
	rest := s.joining()
	for _, name := range append(s.members(otherUnits), fixedName) {
		rest.add(s.get(key{checkKind, name}).value.(*checked).found)
	}
	return append([]*messages{rest}, s.get(key{messagesKind, allBranches}).value.([]*messages)...)
}

// makeMessages joins the messages of the groups on a branch, or those of all branches.
func makeMessages(x *reading, name string) *result {
	var out []*messages
	for _, of := range x.members(name) {
		if name == allBranches {
			out = append(out, x.get(of, messagesKind, whole).value.([]*messages)...)
		} else {
			out = append(out, &x.get(of, checkGroupKind, whole).value.(*checkGroup).messages)
		}
	}
	return &result{value: out}
}

// failed reports whether the checks find errors.
func (s *snapshot) failed() bool {
	return slices.ContainsFunc(s.messages(), func(m *messages) bool { return m.failed })
}

// report puts all messages into the log, with more that only the pages found. Advice is
// left out with brief where nothing could allow it; untold is how much that is.
func (s *snapshot) report(log *diagnostic.Log, more []diagnostic.Diagnostic) (untold int) {
	texts := map[string]*text.File{}
	add := func(all []diagnostic.Diagnostic) {
		for _, d := range all {
			log.Add(s.withText(d, texts))
		}
	}
	i := s.index()
	for _, m := range s.messages() {
		add(m.loud)
		untold += m.count
		for _, name := range m.adviceIn(i, s.brief) {
			add(m.advice[name])
			untold -= len(m.advice[name])
		}
	}
	add(more)
	if len(i.inputs) == 0 {
		source.Empty(log)
	}
	var allowing []*text.File
	for _, name := range i.allowing {
		allowing = append(allowing, s.text(name, texts))
	}
	log.Allow(allowing)
	log.Link(cause.Link)
	return untold
}

// adviceIn lists the files of which the advice is reported: all, or those in which something may allow it.
func (m *messages) adviceIn(i *index, brief bool) (out []string) {
	if !brief || len(m.advice) < len(i.allowing) {
		for name := range m.advice {
			if in := i.inputs[name]; !brief || name != "" && (in == nil || in.allows) {
				out = append(out, name)
			}
		}
		slices.Sort(out)
		return out
	}
	for _, name := range append([]string{source.SettingsFile}, i.allowing...) {
		if m.advice[name] != nil {
			out = append(out, name)
		}
	}
	return out
}

// withoutText is a file by its name alone, for messages that are kept.
func (b *Builder) withoutText(name string) *text.File {
	b.linking.Lock()
	defer b.linking.Unlock()
	f := b.nameOnly[name]
	if f == nil {
		f = text.NewFile(name, nil)
		b.nameOnly[name] = f
	}
	return f
}

// withoutTexts takes the bytes of the files out of messages that are kept.
func (b *Builder) withoutTexts(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	out := slices.Clone(all)
	for i := range out {
		out[i] = out[i].Places(func(span text.Span) text.Span {
			if span.File != nil {
				span.File = b.withoutText(span.File.Name)
			}
			return span
		})
	}
	return out
}

// withText gives a message its files' bytes back.
func (s *snapshot) withText(d diagnostic.Diagnostic, texts map[string]*text.File) diagnostic.Diagnostic {
	return d.Places(func(span text.Span) text.Span {
		if span.File != nil {
			span.File = s.text(span.File.Name, texts)
		}
		return span
	})
}

// text returns a file with its bytes, read once.
func (s *snapshot) text(name string, texts map[string]*text.File) *text.File {
	f := texts[name]
	if f == nil {
		content, _ := source.Load(s.files, name) // what cannot be read has a message of its own
		f = source.Text(name, content)
		texts[name] = f
	}
	return f
}

func hasErrors(all []diagnostic.Diagnostic) bool {
	return slices.ContainsFunc(all, func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Error })
}
