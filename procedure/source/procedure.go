package source

import (
	"strconv"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// inclusion is an include block: the steps of another file at this place.
type inclusion struct {
	ref procedure.Ref
	at  int // index among the file's own steps
}

// stepsFile is what a procedure or shared steps file holds, before inclusion.
type stepsFile struct {
	id         string
	idSpan     text.Span
	about      procedure.Prose
	steps      []*procedure.Step
	figures    []*procedure.Figure
	inclusions []inclusion
	// blocks is true when the file has blocks, be it ones that could not be used.
	blocks bool
}

// procedure reads a procedure file. The machine and included steps are resolved by the library's reader.
func (r *reader) procedure(m *matter, doc ast.Node) (*procedure.Procedure, *stepsFile) {
	var f procedureFields
	r.decode(m, &f)
	s := r.steps(doc, InProcedure)
	if !isName(f.ID) {
		return nil, nil
	}
	return &procedure.Procedure{
		ID: f.ID, Title: f.Title, Summary: f.Summary, Edition: f.Edition, Aims: f.Aims,
		MachineRef: procedure.Ref{ID: f.Machine, Span: m.spanOf("machine")},
		Span:       m.spanOf("id"), About: s.about, File: r.file,
	}, s
}

// sharedSteps reads a shared steps file.
func (r *reader) sharedSteps(m *matter, doc ast.Node) *stepsFile {
	var f stepsFields
	r.decode(m, &f)
	s := r.steps(doc, InSteps)
	if !isName(f.ID) {
		return nil
	}
	s.id, s.idSpan = f.ID, m.spanOf("id")
	return s
}

// wayBack reads what an author adds to the refitting of a procedure.
func (r *reader) wayBack(m *matter, doc ast.Node) *procedure.WayBack {
	var f refitFields
	if !r.decode(m, &f) {
		return nil
	}
	s := r.steps(doc, InRefit)
	w := &procedure.WayBack{
		ProcedureRef: procedure.Ref{ID: f.Procedure, Span: m.spanOf("procedure")},
		Steps:        s.steps, Figures: s.figures, File: r.file,
	}
	for i, id := range f.Out {
		w.Out = append(w.Out, procedure.Ref{ID: id, Span: m.spanOf("out[" + strconv.Itoa(i) + "]")})
	}
	return w
}

func (r *reader) steps(doc ast.Node, in Place) *stepsFile {
	out := &stepsFile{blocks: hasFence(doc)}
	var about []ast.Node
	r.eachBlock(doc, in, func(n ast.Node) {
		if len(out.steps) > 0 || len(out.inclusions) > 0 {
			r.report("text-between-steps", r.spanOf(n),
				"text between steps is on nobody's screen", "Move it into a step, or in front of the first one.")
			return
		}
		about = append(about, n)
	}, func(b *block) {
		switch b.kind.Name {
		case "step":
			out.steps = append(out.steps, r.step(b, out))
		case "figure":
			if f := r.figure(b); f.ID != "" {
				out.figures = append(out.figures, f)
			}
		case "include":
			if b.argument != "" {
				out.inclusions = append(out.inclusions, inclusion{procedure.Ref{ID: b.argument, Span: b.argumentSpan}, len(out.steps)})
			}
			if b.node.ChildCount() > 0 {
				r.report("empty-expected", b.span, "an include block holds nothing", "Move its content out.")
			}
		}
	})
	out.about = r.prose(about)
	return out
}

func (r *reader) step(b *block, file *stepsFile) *procedure.Step {
	s := &procedure.Step{
		ID: b.argument, Title: b.title, Span: b.span, People: r.people(b),
		Tools: b.refs("tools"), Needs: b.refs("needs"), After: b.refs("after"), Variants: b.refs("variants"),
		Figure: b.ref("figure"), SafeStop: b.flag("safe-stop"),
	}
	if v := b.get("time"); v != nil {
		s.Time = r.estimate(v.text, v.span)
	}
	r.stepBlocks(b, InStep, nil, s, file)
	if len(s.Blocks) == 0 && !hasFence(b.node) {
		r.report("empty-step", b.span, "this step says nothing", "Write what to do, or take the step out.")
	}
	for i, x := range s.Blocks {
		if h, ok := x.(*procedure.Hold); ok && i < len(s.Blocks)-1 {
			r.reportSee("hold-not-last", h.Span, "a hold point stands before other blocks of its step",
				"Move the hold point to the end of the step, or split the step.", s.Blocks[i+1].Place(), "this comes after it")
		}
	}
	return s
}

func (r *reader) people(b *block) int {
	v := b.get("people")
	if v == nil {
		return 1
	}
	n, err := strconv.Atoi(v.text)
	if err != nil || n < 1 || n > 20 {
		r.report("attribute-value", v.span, quote(v.text)+" is not a number of people from 1 to 20", "Write a whole number.")
		return 1
	}
	return n
}

// stepBlocks reads what stands inside a step, or inside a variant block of one.
func (r *reader) stepBlocks(b *block, in Place, variants []procedure.Ref, s *procedure.Step, file *stepsFile) {
	var pending []ast.Node
	flush := func() {
		if len(pending) == 0 {
			return
		}
		p := r.prose(pending)
		pending = pending[:0]
		if !p.Empty() {
			s.Blocks = append(s.Blocks, &procedure.Instruction{Common: procedure.Common{Span: p.Span, Variants: variants}, Prose: p})
		}
	}
	r.eachBlock(b.node, in, func(n ast.Node) { pending = append(pending, n) }, func(inner *block) {
		flush()
		common := procedure.Common{Span: inner.span, Variants: variants}
		switch inner.kind.Name {
		case "variant":
			r.stepBlocks(inner, InVariant, splitRefs(inner.argument, inner.argumentSpan), s, file)
		case "figure":
			if f := r.figure(inner); f.ID != "" {
				file.figures = append(file.figures, f)
				s.Blocks = append(s.Blocks, &procedure.Illustration{Common: common, Figure: procedure.Ref{ID: f.ID, Span: f.Span}})
			}
		default:
			if x := r.stepBlock(inner, common); x != nil {
				s.Blocks = append(s.Blocks, x)
			}
		}
	})
	flush()
}

func (r *reader) stepBlock(b *block, common procedure.Common) procedure.Block {
	switch b.kind.Name {
	case "caution":
		signal := procedure.CautionWord
		if b.argument != "" {
			signal = procedure.Signal(b.argument)
		}
		return &procedure.Caution{
			Common: common, Signal: signal, About: b.refs("about"), OutOnly: b.flag("out-only"),
			Prose: r.nonEmpty(b, "the hazard, what happens, and how to avoid it"),
		}
	case "tip":
		return &procedure.Tip{Common: common, Prose: r.nonEmpty(b, "the tip")}
	case "key-point":
		return &procedure.KeyPoint{Common: common, Point: b.title, Reason: r.nonEmpty(b, "the reason")}
	case "fasteners":
		return &procedure.Callout{Common: common, Figure: b.ref("figure"), Actions: r.actions(b)}
	case "actions":
		return &procedure.ActionList{Common: common, Lift: r.handLift(b), Actions: r.actions(b)}
	case "inspect":
		x := r.inspection(b)
		x.Common = common
		return x
	case "hold":
		return r.hold(b, common)
	}
	return nil
}

// nonEmpty returns the block's prose and reports when there is none.
func (r *reader) nonEmpty(b *block, what string) procedure.Prose {
	p := r.body(b)
	if p.Empty() {
		code := diagnostic.Code("empty-block")
		if b.kind.Name == "key-point" {
			code = "missing-reason"
		}
		r.report(code, b.span, "this "+b.kind.Name+" is empty", "Write "+what+" into the block.")
	}
	return p
}

func (r *reader) hold(b *block, common procedure.Common) procedure.Block {
	h := &procedure.Hold{Common: common, Title: b.title, Signature: b.words("signature"), SafeStop: b.flag("safe-stop")}
	for _, item := range r.items(b) {
		if p := r.inlineProse(fromOn(item.FirstChild())); !p.Empty() {
			h.Confirmations = append(h.Confirmations, p)
		}
	}
	if len(h.Confirmations) == 0 {
		r.report("empty-block", b.span, "this hold point asks for no confirmation", "List what must be confirmed before the next step.")
	}
	return h
}
