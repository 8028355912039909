package compile

import (
	"matchmark/compile/cache"
	"matchmark/procedure"
	quantity "matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// summaryOf takes down, as fields, what machine pages, lists and the search index show of a
// procedure, its refitting and its quizzes: all that is kept once its pages are made.
func summaryOf(p *procedure.Procedure, quizzes []*procedure.Quiz, worked func(*procedure.Procedure) ([]procedure.SheetOf, procedure.Drawing)) []byte {
	var f cache.Fields
	write := func(p *procedure.Procedure) {
		sheets, drawing := worked(p)
		writeDrawing(&f, drawing)
		writeSteps(&f, p, sheets)
	}
	write(p)
	f.Int(btoi(p.Refitting != nil))
	if p.Refitting != nil {
		write(p.Refitting)
	}
	f.Int(len(quizzes))
	for _, q := range quizzes {
		writeStrings(&f, []string{q.File.Name, q.ID, q.Title, q.Summary})
		f.Int(len(q.Questions))
	}
	return f.B
}

func writeDrawing(f *cache.Fields, d procedure.Drawing) {
	f.String(d.Path)
	f.Float(d.Width)
	f.Float(d.Height)
}

func readDrawing(r *cache.Reading) procedure.Drawing {
	return procedure.Drawing{Path: r.String(), Width: r.Float(), Height: r.Float()}
}

func writeSteps(f *cache.Fields, p *procedure.Procedure, sheets []procedure.SheetOf) {
	writeStrings(f, []string{p.ID, p.Title, p.Summary, p.Edition})
	f.Int(len(sheets))
	for _, s := range sheets {
		f.String(s.Kind)
		f.String(s.Page)
	}
	f.Int(len(p.Steps))
	for _, s := range p.Steps {
		f.String(s.ID)
		f.String(s.Title)
		f.Float(s.Time.Optimistic)
		f.Float(s.Time.Likely)
		f.Float(s.Time.Pessimistic)
		f.Int(s.People)
		f.Int(btoi(s.SafeStop))
		f.Int(len(s.Variants))
		for _, v := range s.Variants {
			f.String(v.ID)
		}
		f.Float(s.Skips)
		f.Float(s.Round.Rounds.Optimistic)
		f.Float(s.Round.Rounds.Likely)
		f.Float(s.Round.Rounds.Pessimistic)
		waits := waitsOf(s)
		f.Int(len(waits))
		for _, w := range waits {
			writeStrings(f, []string{w.Time.String(), string(w.If)})
			writeRefs(f, w.On)
			writeRefs(f, w.Variants)
		}
		writeRefs(f, touched(p, s))
	}
}

// waitsOf are what a step waits for at its end, on any variant.
func waitsOf(s *procedure.Step) (out []*procedure.Wait) {
	for _, b := range s.Blocks {
		if w := b.Shows().Wait; w != nil {
			out = append(out, w)
		}
	}
	return out
}

// touched are the things that a step acts on and a wait of the procedure is on.
func touched(p *procedure.Procedure, s *procedure.Step) (out []procedure.Ref) {
	for _, before := range p.Steps {
		for _, w := range waitsOf(before) {
			if len(w.On) > 0 && w.Holds(s) {
				out = append(out, w.On...)
			}
		}
	}
	return out
}

func writeRefs(f *cache.Fields, refs []procedure.Ref) {
	f.Int(len(refs))
	for _, r := range refs {
		f.String(r.ID)
	}
}

func readRefs(r *cache.Reading) (out []procedure.Ref) {
	for range r.Count() {
		out = append(out, procedure.Ref{ID: r.String()})
	}
	return out
}

// readWaits reads what a step waits for, and what it touches of what others wait for.
func readWaits(r *cache.Reading, s *procedure.Step) {
	for range r.Count() {
		r.Count() // of the strings
		time, err := quantity.Parse(r.String())
		if err != nil && r.Err == nil {
			r.Err = err
		}
		w := &procedure.Wait{Time: time}
		w.If = procedure.When(r.String())
		w.On, w.Variants = readRefs(r), readRefs(r)
		s.Blocks = append(s.Blocks, w)
	}
	list := &procedure.ActionList{}
	for _, thing := range readRefs(r) {
		list.Actions = append(list.Actions, &procedure.Action{Verb: procedure.Inspect, Object: thing})
	}
	if len(list.Actions) > 0 {
		s.Blocks = append(s.Blocks, list)
	}
}

// readSummary reads what summaryOf wrote: the procedure, on its machine, and its quizzes, as others see them.
func readSummary(b []byte, m *procedure.Machine) (*procedure.Procedure, []*procedure.Quiz, error) {
	r := cache.Read(b)
	p := readSteps(r, m)
	if r.Int() != 0 {
		p.Refitting = readSteps(r, m)
		p.Refitting.Removal = p
	}
	quizzes := make([]*procedure.Quiz, r.Count())
	for i := range quizzes {
		r.Count() // of the strings
		q := &procedure.Quiz{File: text.NewFile(r.String(), nil), ID: r.String(), Title: r.String(), Summary: r.String(), Procedure: p}
		q.Questions = make([]*procedure.Question, max(0, r.Int()))
		quizzes[i] = q
	}
	return p, quizzes, r.Err
}

func readSteps(r *cache.Reading, m *procedure.Machine) *procedure.Procedure {
	drawing := readDrawing(r)
	r.Count() // of the strings
	p := &procedure.Procedure{ID: r.String(), Title: r.String(), Summary: r.String(), Edition: r.String(), Machine: m, Drawing: drawing}
	if m != nil {
		p.MachineRef.ID = m.ID
	}
	for range r.Count() {
		p.Sheets = append(p.Sheets, procedure.SheetOf{Kind: r.String(), Page: r.String()})
	}
	steps := make([]procedure.Step, r.Count())
	for i := range steps {
		s := &steps[i]
		*s = procedure.Step{ID: r.String(), Title: r.String(), Number: i + 1}
		s.Time = procedure.Estimate{Optimistic: r.Float(), Likely: r.Float(), Pessimistic: r.Float()}
		s.People, s.SafeStop = r.Int(), r.Int() != 0
		for range r.Count() {
			s.Variants = append(s.Variants, procedure.Ref{ID: r.String()})
		}
		s.Skips = r.Float()
		s.Round.Rounds = procedure.Estimate{Optimistic: r.Float(), Likely: r.Float(), Pessimistic: r.Float()}
		readWaits(r, s)
		p.Steps = append(p.Steps, s)
	}
	return p
}

func writeStrings(f *cache.Fields, all []string) {
	f.Int(len(all))
	for _, s := range all {
		f.String(s)
	}
}

func readStrings(r *cache.Reading) (out []string) {
	for range r.Count() {
		out = append(out, r.String())
	}
	return out
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
