package compile

import (
	"slices"

	"matchmark/compile/library"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/check"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
)

// sharedModel is a machine, a steps file or the glossary, which many procedures read, with what is wrong in it.
type sharedModel struct {
	part *source.Part
	log  diagnostic.Log
	// errors are those in the file, and in that of the machine that it is like.
	errors []diagnostic.Diagnostic
}

func makeShared(x *reading, name string) *result {
	m := &sharedModel{}
	m.part = x.part(name, &m.log)
	figures := m.part.Figures()
	if machine := m.part.Machine(); machine != nil {
		x.takeOver(m, name)
		lib := x.library().Library
		lib.Machines = []*procedure.Machine{machine}
		check.Part(lib, &m.log)
	}
	library.CheckFigures(figures, x.look, &m.log)
	m.errors = append(m.errors, errorsIn(&m.log)...)
	return &result{value: m}
}

// takeOver gives a machine what it has of the one that it is like. Such a one is like no other, so that none waits for itself.
func (x *reading) takeOver(m *sharedModel, file string) {
	machine := m.part.Machine()
	if machine.LikeRef.ID == "" {
		return
	}
	var base *procedure.Machine
	var ids source.IDs
	switch other := x.related(file).machine; other {
	case "":
		ids = x.get("", idsKind, whole).value.(source.IDs)
	case file:
		base = machine
	default:
		if of := x.get(other, headingKind, whole).value.(*input).heading.Of; of != "" {
			base = &procedure.Machine{ID: machine.LikeRef.ID, LikeRef: procedure.Ref{ID: of}}
			break
		}
		like := x.shared(other)
		m.errors = slices.Clip(like.errors)
		if base = like.part.Machine(); base == nil {
			return // what hides it was reported
		}
	}
	source.TakeOver(machine, base, ids, &m.log)
}

// figuresOf are a machine's own figures, and those of the one that it is like.
func figuresOf(m *procedure.Machine) (own, taken []*procedure.Figure) {
	for _, f := range m.Figures {
		if m.Taken(f.Span) {
			taken = append(taken, f)
		} else {
			own = append(own, f)
		}
	}
	return own, taken
}

func (x *reading) shared(name string) *sharedModel {
	return x.get(name, sharedKind, whole).value.(*sharedModel)
}

// glossary is the library's glossary; nil for none.
func (x *reading) glossary() *procedure.Glossary {
	files := x.members(glossaryFiles)
	if len(files) == 0 {
		return nil
	}
	return x.shared(files[0]).part.Glossary()
}

// gathered is what is read together with some procedures.
type gathered struct {
	lib   *source.Library
	seen  map[string]bool
	steps []string            // the steps files that are taken in, by id
	own   []*procedure.Figure // of files that nobody else reads
	other []*procedure.Figure // of machines and shared steps
	// errors are those in files that others read too.
	errors []diagnostic.Diagnostic
}

// errorsWith are the errors in all files that were read, those of its own files in the log.
func (g *gathered) errorsWith(log *diagnostic.Log) []diagnostic.Diagnostic {
	if len(g.errors) == 0 && !log.HasErrors() {
		return nil
	}
	return append(errorsIn(log), g.errors...)
}

func errorsIn(log *diagnostic.Log) []diagnostic.Diagnostic {
	return slices.DeleteFunc(log.Sorted(), func(d diagnostic.Diagnostic) bool { return d.Severity != diagnostic.Error })
}

// gather reads procedures with their machines and shared steps, and with their refits and quizzes if these are wanted.
func (x *reading) gather(procedures []string, companions bool, log *diagnostic.Log) *gathered {
	g := &gathered{lib: x.library(), seen: map[string]bool{}}
	for _, name := range procedures {
		r := x.related(name)
		x.gatherShared(g, r.machine)
		x.gatherOwn(g, name, log)
		if companions {
			for _, also := range r.companions {
				x.gatherOwn(g, also, log)
			}
		}
	}
	return g
}

func (x *reading) gatherShared(g *gathered, name string) *source.Part {
	if name == "" || g.seen[name] {
		return nil
	}
	g.seen[name] = true
	m := x.shared(name)
	g.lib.Add(m.part)
	g.other = append(g.other, m.part.Figures()...)
	g.errors = append(g.errors, m.errors...)
	return m.part
}

func (x *reading) gatherOwn(g *gathered, name string, log *diagnostic.Log) {
	if g.seen[name] {
		return
	}
	g.seen[name] = true
	part := x.part(name, log)
	g.lib.Add(part)
	g.own = append(g.own, part.Figures()...)
	x.gatherIncluded(g, part.Includes())
}

// gatherIncluded reads the steps files that are taken in, and those that these take in.
func (x *reading) gatherIncluded(g *gathered, ids []string) {
	for _, id := range ids {
		if slices.Contains(g.steps, id) {
			continue
		}
		g.steps = append(g.steps, id)
		file := x.get(id, stepsFileKind, whole).value.(string)
		if part := x.gatherShared(g, file); part != nil {
			x.gatherIncluded(g, part.Includes())
		}
	}
}

// resolve joins what was gathered. Which names there are besides matters to messages on
// names that are not there, and to nothing else.
func (x *reading) resolve(lib *source.Library, log *diagnostic.Log) *procedure.Library {
	ids := x.snapshot.get(key{kind: idsKind})
	out := lib.ResolvePart(ids.value.(source.IDs), log)
	if log.HasErrors() {
		x.note(ids, whole)
	}
	return out
}

// procedureModel is a procedure with all that its pages are made from.
type procedureModel struct {
	*gathered
	lib *procedure.Library
	*procedure.Procedure
	facts *analysis.Procedure
	add   refit.Additions
	words refit.Words
}

// procedure reads a procedure; nil when what hides it was reported.
func (x *reading) procedure(name string, log *diagnostic.Log) (*gathered, *procedureModel) {
	g := x.gather([]string{name}, true, log)
	lib := x.resolve(g.lib, log)
	if len(lib.Procedures) == 0 {
		return g, nil
	}
	p := lib.Procedures[0]
	lib.Glossary = x.glossary()
	add, words := refit.AdditionsOf(p), x.refitWords(lib)
	return g, &procedureModel{g, lib, p, analysis.Deriving(p, add, words), add, words}
}

// refitWords are the fixed words of a derived refitting, for those who write it. In a language
// that the theme does not have, which is reported elsewhere, nobody gets to see them.
func (x *reading) refitWords(lib *procedure.Library) refit.Words {
	if x.theme != nil {
		if words, err := x.theme.Words(lib.Language); err == nil {
			return words.T
		}
	}
	return func(key string, _ ...any) string { return key }
}
