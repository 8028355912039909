package compile

import (
	"context"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/cause"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// Opened is a file of a library with the files that its names lead to and those that name what it holds, joined as
// their checks join them.
type Opened struct {
	*procedure.Library
	// Shared are the parts of the files that are read with others: machines, shared steps, the glossary, by file name.
	Shared map[string]*source.Part
	// Facts are those of the procedure that the file is part of; nil for another file, and where it cannot be read.
	Facts *analysis.Procedure
	// Additions and Words are what its refitting is derived with.
	Additions refit.Additions
	Words     refit.Words
}

// Open joins a file as the last check of the library found it. It reports nothing: checks do.
func (b *Builder) Open(file string) *Opened {
	x := &reading{snapshot: b.now, key: key{pagesKind, file}}
	o := &Opened{Library: x.library().Library, Shared: map[string]*source.Part{}}
	// Whoever checks the file meets the fault again, and reports it.
	diagnostic.GuardWork(say.That("making this part of the site"), text.Span{}, func(diagnostic.Diagnostic) {}, func() { x.open(file, o) })
	return o
}

func (x *reading) open(file string, o *Opened) {
	var log diagnostic.Log
	in := x.index().inputs[file]
	if in == nil {
		return
	}
	switch r := x.related(file); r.unit {
	case noUnit:
		x.openProcedure(x.index().procedures[in.heading.Of], o)
	case procedureUnit:
		x.openProcedure(file, o)
	case machineUnit:
		g := x.gather(r.procedures, true, &log)
		x.gatherShared(g, file)
		o.join(x, g)
	case stepsUnit:
		g := x.gather(x.takersOf(r.id), true, &log)
		x.gatherShared(g, file)
		o.join(x, g)
	case courseUnit:
		o.Library = x.course(file, r, &log)
	default:
		g := x.gather(nil, false, &log)
		x.gatherOwn(g, file, &log)
		o.join(x, g)
	}
	o.Glossary = x.glossary()
}

// openProcedure joins a procedure with its machine, shared steps, refit and quizzes.
func (x *reading) openProcedure(file string, o *Opened) {
	var log diagnostic.Log
	g, m := x.procedure(file, &log)
	o.join(x, g)
	if m != nil {
		o.Library, o.Facts, o.Additions, o.Words = m.lib, m.facts, m.add, m.words
	}
}

func (o *Opened) join(x *reading, g *gathered) {
	o.Library = x.resolve(g.lib, &diagnostic.Log{})
	for name := range g.seen {
		if part := x.last(key{sharedKind, name}); part != nil {
			o.Shared[name] = part.value.(*sharedModel).part
		}
	}
}

// takersOf are the procedures that take in shared steps, as far as checks have found them.
func (x *reading) takersOf(id string) (out []string) {
	for _, group := range x.members(allGroups) {
		if g := x.last(key{checkGroupKind, group}); g != nil {
			out = append(out, g.value.(*checkGroup).takers[id]...)
		}
	}
	out = slices.DeleteFunc(out, func(name string) bool { return x.index().unit(name) != procedureUnit })
	slices.Sort(out)
	return out
}

// Names are the ids of the library's files by kind, such as machine or procedure, each in the order of the files.
func (b *Builder) Names() source.IDs { return b.now.get(key{kind: idsKind}).value.(source.IDs) }

// Files are the names of the library's Markdown files, in order.
func (b *Builder) Files() []string { return b.now.get(key{kind: listingKind}).value.(*listing).names }

// Text is a file with the bytes that the last check saw.
func (b *Builder) Text(file string) *text.File { return b.now.text(file, map[string]*text.File{}) }

// CheckFiles checks some files of the library as Look found it: the messages are those on these files and on those that
// are checked with them. What only the whole library shows may be missing, such as that nothing uses a name.
func (b *Builder) CheckFiles(ctx context.Context, files []string, log *diagnostic.Log) error {
	if err := b.settled(ctx, func(s *snapshot) []string { return s.unitsOf(files) }); err != nil {
		return err
	}
	texts := map[string]*text.File{}
	found := slices.Clone(b.now.joining().loud)
	for _, name := range b.now.unitsOf(files) {
		found = append(found, b.now.get(key{checkKind, name}).value.(*checked).found...)
	}
	for _, d := range found {
		log.Add(b.now.withText(d, texts))
	}
	var allowing []*text.File
	for _, name := range files {
		if in := b.now.index().inputs[name]; in != nil && in.allows {
			allowing = append(allowing, b.now.text(name, texts))
		}
	}
	log.Allow(allowing)
	log.Link(cause.Link)
	return nil
}

// CheckAll checks the library as Look found it. What was checked before and still holds is not checked again.
func (b *Builder) CheckAll(ctx context.Context, log *diagnostic.Log) error {
	if err := b.settled(ctx, func(s *snapshot) []string { return slices.Collect(s.allUnits()) }); err != nil {
		return err
	}
	b.now.report(log, nil)
	return nil
}

// Look takes notice of what has changed, without checking anything.
func (b *Builder) Look(over Overlay, changed []string) error {
	if b.now == nil {
		b.over = over
		return b.read()
	}
	if len(changed) == 0 && len(over.differing(b.over)) == 0 && len(b.over.differing(over)) == 0 {
		return nil
	}
	return b.notice(changed, over)
}

// unitsOf are the units that some files belong to, each once.
func (s *snapshot) unitsOf(files []string) (out []string) {
	i := s.index()
	for _, name := range files {
		in := i.inputs[name]
		if in == nil {
			continue
		}
		unit := name
		if i.unit(name) == noUnit {
			unit = i.procedures[in.heading.Of]
		}
		if !slices.Contains(out, unit) {
			out = append(out, unit)
		}
	}
	return out
}

// Derived are the facts of the refitting that is derived from the file's procedure, nil when there is none.
func (o *Opened) Derived() *analysis.Procedure {
	if o.Facts == nil || o.Facts.Machine == nil {
		return nil
	}
	return o.Facts.Derive(o.Additions, o.Words)
}

// Courses are the files of the library's courses.
func (b *Builder) Courses() []string { return b.now.members(courseFiles) }
