package source

import (
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
)

// What an author leaves out and what it follows from: conditions, people and tools from the section or the front
// matter, a caution's things from the act behind it, an inspection's thing from the act before it, the figure from
// the numbers in it. What is filled in stands in the model like what is written, so that every page shows it.

// noneWord says that something is left out on purpose, where it would be filled in otherwise.
const noneWord = "none"

// common is what steps get that do not state their own.
type common struct {
	needs, tools, who []procedure.Ref
	people            int
	chapter           string
	// cautions hold for all steps of the section.
	cautions []*procedure.Caution
	round    procedure.Round
}

// commonOf reads what the front matter gives all steps.
func (r *reader) commonOf(m *frontMatter, needs, tools, who []string, people *int) common {
	out := common{people: 1}
	list := func(line string, names []string) (refs []procedure.Ref) {
		for i, name := range names {
			at := m.spanOf(line + "[" + strconv.Itoa(i) + "]")
			if !isName(name) {
				r.report("bad-name", at, say.That("%name is not a name", say.Quote(name)), say.That("Use lower-case letters, digits and hyphens, a letter first."))
				continue
			}
			refs = append(refs, procedure.Ref{ID: name, Span: at})
		}
		return refs
	}
	out.needs, out.tools, out.who = list("needs", needs), list("tools", tools), list("who", who)
	r.wholeNumber(m, "people", people, 20, &out.people)
	return out
}

// sectionKind is what a section may give the steps below it.
var sectionKind = grammar.BlockKind{
	Name: "section", Means: "Groups the steps below it; its attributes count for those that do not state their own.",
	Attributes: []grammar.Attribute{
		{Name: "needs", Type: grammar.Names, Means: "conditions that must hold when a step starts"},
		{Name: "people", Type: grammar.Whole, Means: "how many people a step takes"},
		{Name: "who", Type: grammar.Names, Means: "trades and tickets of a step's people"},
		{Name: "tools", Type: grammar.Names, Means: "tools that a step needs"},
		{Name: "until", Type: grammar.Words, Means: "the steps are a round that is gone through again until this holds, such as `runout within`"},
		{Name: "most", Type: grammar.Whole, Means: "of a round: after how many the trainer is called"},
		{Name: "rounds", Type: grammar.Words, Means: "of a round: how many there are, by three points, `1/2/4`; once to `most` when not stated"},
	},
}

// section returns what the steps below a heading get: what it states, and for the rest what the whole file states.
func (r *reader) section(s *section, whole common) common {
	whole.chapter = oneLine(r.plainWords(s.heading))
	r.lostActs(s.heading)
	if s.braces == nil {
		return whole
	}
	b := block{kind: &sectionKind}
	b.span = r.spanOf(s.heading)
	r.bracesOpening(s.braces, &b.opening)
	r.checkOpening(&b)
	return common{chapter: whole.chapter, round: r.round(&b), needs: b.refsOr("needs", whole.needs), tools: b.refsOr("tools", whole.tools), who: b.refsOr("who", whole.who), people: r.people(&b, whole.people)}
}

// mostRounds is how many rounds a group of steps may have.
const mostRounds = 20

// round reads what makes a round of a section; its first step is not known yet.
func (r *reader) round(b *block) (out procedure.Round) {
	until, most, rounds := b.get("until"), b.get("most"), b.get("rounds")
	if until == nil {
		for _, v := range []*value{most, rounds} {
			if v != nil {
				r.report("round-form", v.nameSpan, say.That("this round has no end"), say.That(`Write what it ends by: until="runout within".`))
				break
			}
		}
		return out
	}
	out.Until = r.condition(until.text, until.span)
	if out.Until == "" {
		return procedure.Round{}
	}
	if most == nil {
		r.report("round-form", until.nameSpan, say.That("this round could go on for ever"), say.That("Write after how many rounds the trainer is called: most=4."))
		return procedure.Round{}
	}
	n, err := strconv.Atoi(most.text)
	if err != nil || n < 2 || n > mostRounds {
		r.report("round-form", most.span, say.That("%value is not a number of rounds from 2 to %most", say.Quote(most.text), say.Count(mostRounds)), say.That("Write a whole number."))
		return procedure.Round{}
	}
	out.Most = n
	out.Rounds = procedure.Estimate{Optimistic: 1, Likely: 1, Pessimistic: float64(n), Span: until.span}
	if rounds != nil {
		a, m, z, err := r.numbers.ParseEstimate(rounds.text)
		if err != nil || a < 1 || z > float64(n) || strings.Trim(rounds.text, "0123456789/") != "" {
			r.report("round-form", rounds.span, say.That("%value are no numbers of rounds from 1 to %most", say.Quote(rounds.text), say.Count(n)), say.That("Write fewest/most likely/most, such as 1/2/4."))
		} else {
			out.Rounds.Optimistic, out.Rounds.Likely, out.Rounds.Pessimistic = a, m, z
		}
	}
	return out
}

// refsOr returns the names in a list attribute; otherwise when it is not there, and none for the word none.
func (o *opening) refsOr(name string, otherwise []procedure.Ref) []procedure.Ref {
	if o.get(name) == nil {
		return otherwise
	}
	return notNone(o.refs(name))
}

// notNone returns the names of a list that is not the word none.
func notNone(refs []procedure.Ref) []procedure.Ref {
	if len(refs) == 1 && refs[0].ID == noneWord {
		return nil
	}
	return refs
}

// gaps are the blocks of a step in which something is left out.
type gaps struct {
	cautions []*procedure.Caution
	looks    []*procedure.Inspection
}

// note notes what a block leaves out that can be filled in.
func (g *gaps) note(b *block, x procedure.Block) {
	shown := x.Shows()
	if c := shown.Warning; c != nil {
		if b.get("about") == nil {
			g.cautions, c.FindAbout = append(g.cautions, c), true
		}
		c.About = notNone(c.About)
	}
	if looks := shown.Looks; looks != nil {
		if b.get("of") == nil {
			g.looks = append(g.looks, looks)
		} else if looks.Of.ID == noneWord {
			looks.Of = procedure.Ref{}
		}
	}
}

// fill fills in what the blocks of a step leave out.
func (g *gaps) fill(s *procedure.Step) {
	for _, c := range g.cautions {
		c.About = aboutOf(s, c)
	}
	for _, x := range g.looks {
		x.Of = lookedAt(s, x)
	}
}

// aboutOf returns the things of the first act behind a caution, on every variant that the caution is for.
func aboutOf(s *procedure.Step, c *procedure.Caution) (out []procedure.Ref) {
	at := slices.Index(s.Blocks, procedure.Block(c))
	for _, b := range s.Blocks[at+1:] {
		actions := b.Shows().Actions
		if len(actions) == 0 || !covers(b, c) {
			continue
		}
		for _, a := range actions {
			if a.Span == actions[0].Span {
				out = append(out, a.Object)
			}
		}
		return out
	}
	return nil
}

// lookedAt returns the thing of the last act before an inspection that looks at one.
func lookedAt(s *procedure.Step, x *procedure.Inspection) (of procedure.Ref) {
	at := slices.Index(s.Blocks, procedure.Block(x))
	for _, b := range s.Blocks[:at] {
		if !covers(b, x) {
			continue
		}
		for _, a := range b.Shows().Actions {
			if a.Verb == procedure.Inspect {
				of = a.Object
			}
		}
	}
	return of
}

// covers reports whether a block is there on every variant that another one is for.
func covers(b, other procedure.Block) bool {
	of, wanted := b.Base().Variants, other.Base().Variants
	if len(of) == 0 {
		return true
	}
	return len(wanted) > 0 && !slices.ContainsFunc(wanted, func(w procedure.Ref) bool {
		return !slices.ContainsFunc(of, func(v procedure.Ref) bool { return v.ID == w.ID })
	})
}

// findFigure fills in the figure of a step that states none: the only one that has all the numbers that the step acts on.
func (x *resolver) findFigure(s *procedure.Step, p *procedure.Procedure) {
	if !s.FindFigure {
		return
	}
	switch found := figuresWith(s, p); len(found) {
	case 0:
	case 1:
		s.Figure = procedure.Ref{ID: found[0], Span: s.Span}
		calledOut(s)
	default:
		x.log.Add(newDiagnostic("figure-unclear", s.Span, say.That("the figures %figures have all numbers of this step", say.Each[say.Name](say.And, found)),
			say.That("Write {figure=%figure} for the one to show, or {figure=none}.", say.Name(found[0]))))
	}
}

// figuresWith lists the figures with all the callout numbers that a step acts on.
func figuresWith(s *procedure.Step, p *procedure.Procedure) (found []string) {
	var numbers []string
	for _, a := range s.Actions() {
		if isCallout(a.Object.ID) && !slices.Contains(numbers, a.Object.ID) {
			numbers = append(numbers, a.Object.ID)
		}
	}
	if len(numbers) == 0 {
		return nil
	}
	figures := p.Figures
	if p.Machine != nil {
		figures = append(figures[:len(figures):len(figures)], p.Machine.Figures...)
	}
	for _, f := range figures {
		if !slices.ContainsFunc(numbers, func(no string) bool {
			return !slices.ContainsFunc(f.Balloons, func(b procedure.Balloon) bool { return b.Ref.ID == no })
		}) {
			found = append(found, f.ID)
		}
	}
	return found
}

// calledOut makes callouts of what a step's task lists turn, once its figure is known.
func calledOut(s *procedure.Step) {
	var blocks []procedure.Block
	for _, b := range s.Blocks {
		list := b.Shows()
		if list.Lift == nil || strings.HasPrefix(b.Place().Text(), ":::") { // a block of the older form stays one
			blocks = append(blocks, b)
			continue
		}
		for _, run := range runsOf(tasksOf(list.Actions), true) {
			blocks = append(blocks, blockOf(run, *b.Base(), s.Figure, *list.Lift))
		}
	}
	s.Blocks = blocks
}

// SectionKind describes what the heading of a section may state.
func SectionKind() *grammar.BlockKind { return &sectionKind }
