package source

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// inclusion is an include block: the steps of another file at this place.
type inclusion struct {
	ref procedure.Ref
	// values are those for the parameters of the steps.
	values []given
	at     int // index among the file's own steps
	// given is what its section gives the steps which stand in none of their own.
	given common
	// begun is true when steps of the section stand before it.
	begun bool
}

// stepsFile is what a procedure or shared steps file holds, before inclusion.
type stepsFile struct {
	id         string
	idSpan     text.Span
	about      procedure.Prose
	steps      []*procedure.Step
	figures    []*procedure.Figure
	inclusions []inclusion
	parameters []Parameter
	// back is true for a file of the way back.
	back bool
	// blocks is true when the file has blocks, be it ones that could not be used.
	blocks bool
}

// procedure reads a procedure file. The machine and included steps are resolved by the library's reader.
func (r *reader) procedure(m *frontMatter, doc ast.Node) (*procedure.Procedure, *stepsFile) {
	var f procedureFields
	r.decode(m, &f)
	s := r.steps(doc, grammar.InProcedure, r.commonOf(m, f.Needs, f.Tools, f.Who, f.People))
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
func (r *reader) sharedSteps(m *frontMatter, doc ast.Node) *stepsFile {
	var f stepsFields
	r.decode(m, &f)
	s := r.steps(doc, grammar.InShared, r.commonOf(m, f.Needs, f.Tools, f.Who, f.People))
	if !isName(f.ID) {
		return nil
	}
	s.id, s.idSpan, s.parameters = f.ID, m.spanOf("id"), r.parameters
	r.noParameterIn(s.figures)
	return s
}

// wayBack reads what an author adds to the refitting of a procedure.
func (r *reader) wayBack(m *frontMatter, doc ast.Node) *procedure.RefitFile {
	var f refitFields
	if !r.decode(m, &f) {
		return nil
	}
	s := r.steps(doc, grammar.InRefit, r.commonOf(m, f.Needs, f.Tools, f.Who, f.People))
	w := &procedure.RefitFile{
		ProcedureRef: procedure.Ref{ID: f.Procedure, Span: m.spanOf("procedure")}, Title: f.Title,
		Steps: s.steps, Figures: s.figures, File: r.file,
	}
	for _, step := range w.Steps {
		for _, b := range step.Blocks {
			if c := b.Shows().Warning; c != nil && c.OutOnly {
				r.report("idle-attribute", c.Span, say.That(`"out-only" does nothing in the refitting`), say.That("Take it out, or take the caution out."))
			}
			if goes, ok := b.(procedure.Returning); ok && b.Shows().Must != nil && goes.ForRefitting(func(string) bool { return true }) == nil {
				r.report("idle-attribute", b.Place(), say.That(`"out-only" does nothing in the refitting`), say.That("Take it out, or take the must out."))
			}
		}
	}
	for i, id := range f.Out {
		w.Out = append(w.Out, procedure.Ref{ID: id, Span: m.spanOf("out[" + strconv.Itoa(i) + "]")})
	}
	return w
}

// steps reads the steps of a file; whole is what all of them get that do not state their own.
func (r *reader) steps(doc ast.Node, in grammar.Place, whole common) *stepsFile {
	given, begun := whole, true
	r.group(doc)
	out := &stepsFile{blocks: hasFence(doc), back: in == grammar.InRefit}
	var about []ast.Node
	r.eachBlock(doc, in, func(n ast.Node) {
		switch n := n.(type) {
		case *section:
			r.idleSection(given, begun)
			given, begun = r.section(n, whole), false
			return
		case *braces:
			r.strayBraces(n)
			return
		}
		if len(out.steps) > 0 || len(out.inclusions) > 0 {
			r.report("text-between-steps", r.spanOf(n),
				say.That("text between steps is on nobody's screen"), say.That("Move it into a step, or in front of the first one."))
			return
		}
		about = append(about, n)
	}, func(b *block) {
		switch b.kind.Name {
		case "step":
			if b.node.heading == nil {
				r.noteOld(b.span)
			}
			step := r.step(b, out, given)
			if given.round.Until != "" && given.round.First == "" {
				given.round.First = step.ID
				step.Round.First = step.ID
			}
			step.Stand(given.cautions, !begun)
			begun = begun || step.If == "" && len(step.Variants) == 0
			out.steps = append(out.steps, step)
		case "caution":
			if c := r.standing(b); given.chapter != "" && !begun {
				given.cautions = append(given.cautions, c)
			} else {
				r.report("misplaced-block", b.kindSpan, say.That("this caution stands in no step"), say.That("Write it into a step, or right below the heading of a section, in front of its steps: there it holds for all of them."))
			}
		case "figure":
			if f := r.figure(b); f.ID != "" {
				out.figures = append(out.figures, f)
			}
		case "include":
			if b.argument != "" {
				out.inclusions = append(out.inclusions, inclusion{procedure.Ref{ID: b.argument, Span: b.argumentSpan}, b.givenBy(), len(out.steps), given, begun})
				begun = true
				if given.round.Until != "" {
					r.report("round-form", b.span, say.That("steps are taken in inside a round"), say.That("Take them in before the section of the round, or write their steps here."))
				}
			}
			if b.node.ChildCount() > 0 {
				r.report("empty-expected", b.span, say.That("an include block holds nothing"), say.That("Move its content out."))
			}
		}
	})
	r.idleSection(given, begun)
	out.about = r.prose(about)
	return out
}

// standing reads a caution that holds for a section.
func (r *reader) standing(b *block) *procedure.Caution {
	r.gaps = gaps{}
	c := r.stepBlock(b, procedure.Common{Span: b.span}).Shows().Warning
	c.Standing = true
	return c
}

// idleSection reports what a section without steps says of its steps: cautions, and a round.
func (r *reader) idleSection(given common, begun bool) {
	if given.round.Until != "" && given.round.First == "" && !begun {
		r.report("round-form", given.round.Rounds.Span, say.That("this round has no steps"), say.That("Write a step below it: ## Title {#name}, or take it out."))
	}
	if len(given.cautions) > 0 && !begun {
		r.report("misplaced-block", given.cautions[0].Span, say.That("this caution holds for a section that has no steps"), say.That("Write a step below it: ## Title {#name}, or take it out."))
	}
}

// uses reads what a step uses up: "grease 15 g, rags 2 pcs".
func (r *reader) uses(b *block, s *procedure.Step) {
	v := b.get("uses")
	if v == nil {
		return
	}
	from := 0
	for part := range strings.SplitSeq(v.text, ", ") { // a comma without a space may be a decimal one
		lead := len(part) - len(strings.TrimLeft(part, " \t"))
		name, amount, _ := strings.Cut(strings.TrimSpace(part), " ")
		at := v.span.Sub(from+lead, from+lead+len(strings.TrimSpace(part)))
		from += len(part) + len(", ")
		switch {
		case !isName(name) || strings.TrimSpace(amount) == "":
			r.report("attribute-value", at, say.That("%words is no consumable with its amount", say.Quote(strings.TrimSpace(part))), say.That("Write the name and how much of it: grease 15 g."))
			continue
		case !s.Amount(name).IsZero():
			r.report("attribute-value", at, say.That("%name stands here twice", say.Name(name)), say.That("Write one amount for all of the step."))
			continue
		}
		q := r.quantity(strings.TrimSpace(amount), at, measure.Mass, measure.Volume, measure.Length, measure.Count)
		if q.IsZero() {
			continue // reported
		}
		if q.Sign() < 0 {
			r.report("attribute-value", at, say.That("less than nothing is used here"), say.That("Write an amount above zero."))
			continue
		}
		s.Consumed, s.Amounts = append(s.Consumed, procedure.Ref{ID: name, Span: at.Sub(0, len(name))}), append(s.Amounts, q)
	}
}

func (r *reader) step(b *block, file *stepsFile, given common) *procedure.Step {
	s := &procedure.Step{
		ID: b.argument, Title: b.title, Span: b.span, People: r.people(b, given.people), Who: b.refsOr("who", given.who),
		Listed: b.refsOr("tools", given.tools), FindTools: !b.none("tools"), Needs: b.refsOr("needs", given.needs), After: b.refs("after"), Variants: b.refs("variants"),
		Figure: b.ref("figure"), SafeStop: b.flag("safe-stop"),
	}
	s.Unsaid = procedure.Unsaid{
		People: b.get("people") == nil && given.people == 1, Who: b.get("who") == nil && given.who == nil,
		Tools: b.get("tools") == nil && given.tools == nil, Needs: b.get("needs") == nil && given.needs == nil,
	}
	s.Differs = b.flag("differs")
	if s.Differs && !file.back {
		r.report("idle-attribute", b.get("differs").nameSpan, say.That(`"differs" does nothing here`), say.That("Take it out: only a step of a refit file has a derived step to differ from."))
	}
	s.Tools = s.Listed // others are filled in when the machine is known
	r.uses(b, s)
	if s.Figure.ID == noneWord {
		s.Figure = procedure.Ref{}
	}
	if v := b.get("if"); v != nil {
		s.If = r.condition(v.text, v.span)
	}
	s.Chapter, s.Round = given.chapter, given.round
	if v := b.get("time"); v != nil {
		s.Time = r.estimate(v.text, v.span)
	}
	r.gaps = gaps{}
	r.stepBlocks(b, grammar.InStep, procedure.Common{}, s, file)
	if b.node.heading != nil {
		r.gaps.fill(s)
		s.FindFigure = b.get("figure") == nil && len(s.FigureNames()) == 0
	}
	if trades := s.Trades(); len(trades) > s.People && b.get("people") != nil {
		r.report("attribute-value", b.get("people").span, say.That("%people %people(person takes|people take) this step, and %trades trades are named", say.Count(s.People), say.Count(len(trades))),
			say.That("Each trade takes a person of its own: write people=%people, or fewer trades.", say.Count(len(trades))))
	} else {
		s.People = s.Crew()
	}
	if len(s.Blocks) == 0 && !hasFence(b.node) && !file.back { // on the way back, the derived step says the rest
		r.report("empty-step", b.span, say.That("this step says nothing"), say.That("Write what to do, or take the step out."))
	}
	for i, x := range s.Blocks {
		if x.Shows().Wait != nil && slices.ContainsFunc(s.Blocks[i+1:], func(b procedure.Block) bool { return b.Shows().Hold == nil }) {
			r.report("find-form", x.Place(), say.That("a wait stands before other blocks of its step"), say.That("Move the wait to the end of the step, or split the step."))
		}
		if x.Shows().Hold != nil && i < len(s.Blocks)-1 {
			r.reportSee("hold-not-last", x.Place(), say.That("a hold point stands before other blocks of its step"),
				say.That("Move the hold point to the end of the step, or split the step."), s.Blocks[i+1].Place(), say.That("this comes after it"))
		}
	}
	return s
}

// people reads how many people a step takes; otherwise when nothing is stated.
func (r *reader) people(b *block, otherwise int) int {
	v := b.get("people")
	if v == nil {
		return otherwise
	}
	n, err := strconv.Atoi(v.text)
	if err != nil || n < 1 || n > 20 {
		r.report("attribute-value", v.span, say.That("%value is not a number of people from 1 to 20", say.Quote(v.text)), say.That("Write a whole number."))
		return 1
	}
	return n
}

// stepBlocks reads what stands inside a step, or inside a variant block of one.
// for_ is what all of its blocks have: the variants that they are for, and the condition.
func (r *reader) stepBlocks(b *block, in grammar.Place, for_ procedure.Common, s *procedure.Step, file *stepsFile) {
	var pending []ast.Node
	at := func(span text.Span) procedure.Common {
		c := for_
		c.Span = span
		return c
	}
	flush := func() {
		if len(pending) == 0 {
			return
		}
		p := r.prose(pending)
		pending = pending[:0]
		if !p.Empty() {
			s.Blocks = append(s.Blocks, &procedure.Instruction{Common: at(p.Span), Prose: p})
		}
	}
	if file.back && r.light {
		r.layOut(b.node)
	}
	r.eachBlock(b.node, in, func(n ast.Node) {
		switch n := n.(type) {
		case *ast.List:
			if r.light && r.isTasks(n) {
				flush()
				s.Blocks = append(s.Blocks, r.acts(n, for_, s.Figure)...)
				return
			}
		case *ast.Blockquote:
			if r.light && isKeyPoint(n) {
				flush()
				r.lostCaution(n.FirstChild())
				s.Blocks = append(s.Blocks, r.keyPoint(n, for_))
				return
			}
			if r.light && n.FirstChild() != nil && !r.silent(n.FirstChild()) {
				r.report("plain-quotation", r.spanOf(n), say.That("this quotation has no bold words at its start, so it is no key point"), say.That("Write the point in bold: > **Point**."))
			}
		case *braces:
			r.strayBraces(n)
			return
		}
		pending = append(pending, n)
	}, func(inner *block) {
		flush()
		common := at(inner.span)
		switch inner.kind.Name {
		case "variant":
			common.Variants = splitRefs(inner.argument, inner.argumentSpan)
			r.stepBlocks(inner, grammar.InVariant, common, s, file)
		case "only":
			if v := inner.get("if"); v != nil {
				common.If = common.If.And(r.condition(v.text, v.span))
			}
			r.stepBlocks(inner, grammar.InVariant, common, s, file)
		case "readings":
			if x := r.readingsTable(inner, common); x != nil {
				s.Blocks = append(s.Blocks, x)
			}
		case "decide", "wait", "must":
			r.report("find-form", inner.span, say.That("%kind is a task, not a block", say.Quote(inner.kind.Name)), say.That("Write it as - [ ] %kind.", say.Word(inner.kind.Name)))
		case "figure":
			if f := r.figure(inner); f.ID != "" {
				file.figures = append(file.figures, f)
				s.Blocks = append(s.Blocks, &procedure.Illustration{Common: common, Figure: procedure.Ref{ID: f.ID, Span: f.Span}})
			}
		default:
			s.Blocks = append(s.Blocks, r.stepBlock(inner, common))
		}
	})
	flush()
}

// stepBlock reads a block of a step: each of its declared fields from where the grammar writes it.
func (r *reader) stepBlock(b *block, common procedure.Common) procedure.Block {
	kind := procedure.KindOf(b.kind.Name)
	if b.kind.Name == "actions" || b.kind.Name == "key-point" || b.kind.Name == "fasteners" && (b.get("figure") != nil || !r.allTasks(b)) {
		r.noteOld(b.span)
	}
	x := kind.New()
	if looks := x.Shows().Looks; looks != nil {
		looks.Chance = r.percent(b)
	}
	procedure.EachField(x, func(f *procedure.Field, value any) { r.field(b, kind, f, value) })
	*x.Base() = common
	r.gaps.note(b, x)
	return x
}

// field reads one field of a block: from the attribute of its name, from the word behind the kind, from the title, or from the content.
func (r *reader) field(b *block, kind *procedure.Kind, f *procedure.Field, value any) {
	switch v := value.(type) {
	case *[]procedure.Ref:
		*v = b.refs(f.Word)
	case *procedure.Ref:
		if *v = b.ref(f.Word); v.ID == "" && b.argument != "" && f.Word == b.kind.Argument.Name {
			*v = procedure.Ref{ID: b.argument, Span: b.argumentSpan}
		}
	case *bool:
		*v = b.flag(f.Word)
	case *measure.Quantity:
		if a := b.get(f.Word); a != nil {
			*v = r.quantity(a.text, a.span, b.kind.Attribute(f.Word).Dimension)
		}
	case *procedure.Prose:
		*v = r.nonEmpty(b, kind.Lacks, f)
	case *[]procedure.Prose:
		*v = r.confirmations(b)
	case *[]*procedure.Action:
		*v = r.actions(b)
		r.placed(b, *v)
	case *[]procedure.InspectionItem:
		*v = r.inspected(b)
	case *int: // a chance, which is read apart
	default:
		words := reflect.ValueOf(value).Elem()
		if words.Kind() != reflect.String {
			panic(fmt.Sprintf("a block's field of the type %T cannot be read", value)) // a new type of field needs a case
		}
		if s := b.wordsOf(f); s != "" {
			words.SetString(s)
		}
	}
}

// wordsOf returns the words that an opening line has for a field.
func (b *block) wordsOf(f *procedure.Field) string {
	switch {
	case f.Word == "title":
		return b.title
	case f.Word == strings.ReplaceAll(b.kind.Argument.Name, " ", "-"):
		return b.argument
	}
	return b.words(f.Word)
}

// nonEmpty returns the block's prose and reports when there is none.
func (r *reader) nonEmpty(b *block, what say.Text, f *procedure.Field) procedure.Prose {
	p := r.body(b)
	if p.Empty() {
		code := diagnostic.Code("empty-block")
		if f.Word == "reason" {
			code = "missing-reason"
		}
		r.report(code, b.span, say.That("this %kind is empty", say.Word(b.kind.Name)), say.That("Write %what into the block.", what))
	}
	return p
}

func (r *reader) confirmations(b *block) []procedure.Prose {
	var out []procedure.Prose
	for _, item := range r.items(b) {
		if p := r.inlineProse(fromOn(item.FirstChild())); !p.Empty() {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		r.report("empty-block", b.span, say.That("this hold point asks for no confirmation"), say.That("List what must be confirmed before the next step."))
	}
	return out
}
