package check

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/claims"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// What running text says of registered things is held against their rows and against the acts of the step: a learner does
// what the words say, and a checklist shows what the rows say.
var (
	wordsDiffer = diagnostic.Rule{
		Code: "words-differ", Severity: diagnostic.Warning, Title: "Words and row give two values",
		Wrong: "A torque, mass, quantity, temperature, thread, size, bag or count in the words of a step is not that of the rows that the step works on.",
		Why:   "The checklist shows the row, the step shows the words, and two learners do two things.",
		Do:    "Correct the one that is wrong; better, let the page print the row's value: `17.torque`.",
	}
	wordsAgainst = diagnostic.Rule{
		Code: "words-against-act", Severity: diagnostic.Warning, Title: "Words and act contradict each other",
		Wrong: "The words of a step tell the opposite of what its acts do, such as leave the cover on where the act removes it.",
		Why:   "One of the two is done, and nobody knows which.",
		Do:    "Correct the words or the act.",
	}
	wordsWithoutAct = diagnostic.Rule{
		Code: "words-without-act", Severity: diagnostic.Advice, Title: "Told and not done by any act",
		Wrong: "The words of a step tell the learner to take off, undo or loosen something, and no act of the step does it.",
		Why:   "It is on no checklist, the order check does not see it, and it does not come back in the refitting.",
		Do:    "Add the act, or correct the words.",
	}
	wordsOrder = diagnostic.Rule{
		Code: "words-order", Severity: diagnostic.Advice, Title: "Words and acts give two orders",
		Wrong: "The words of a step name two things in another order than its acts.",
		Why:   "The order of acts is what is checked, and the words are what is read.",
		Do:    "Put the words or the acts into the right order.",
	}
	wordsStages = diagnostic.Rule{
		Code: "words-stages", Severity: diagnostic.Warning, Title: "Words give other stages than the row",
		Wrong: "The words of a step give torques for a fastener that fall from one to the next, or fewer than the stages of its row.",
		Why:   "A wrench that is set lower than before only clicks. And a cover that gets its full torque at once tips on its seal.",
		Do:    "Give all stages of the row in rising order, or none; better, let the page print them.",
	}
	wordsPeople = diagnostic.Rule{
		Code: "words-people", Severity: diagnostic.Advice, Title: "Words and step differ in people",
		Wrong: "The words speak of another number of people than the step, or its procedure, is planned with.",
		Why:   "The plan lends the third pair of hands to another team.",
		Do:    "State people= as the words have it, or correct the words.",
	}
	wordsToolless = diagnostic.Rule{
		Code: "words-without-tool", Severity: diagnostic.Advice, Title: "Taken by the words and brought by no step",
		Wrong: "The words of a step put a registered tool somewhere or work with it, and neither this step nor an earlier one lists it.",
		Why:   "It is on no list of tools, and stays in the locker. What should have held the spring is then a screwdriver.",
		Do:    "List the tool at the step, or correct the words.",
	}
)

// claimRules documents the rules on what running text says of registered things.
func claimRules() []diagnostic.Rule {
	return []diagnostic.Rule{wordsDiffer, wordsAgainst, wordsWithoutAct, wordsOrder, wordsStages, wordsPeople, wordsToolless}
}

// judgeClaims holds the words of a procedure against its rows and acts.
func judgeClaims(f *analysis.Procedure, language string, log *diagnostic.Log) {
	if f.Machine == nil {
		return
	}
	diagnostic.GuardWork(say.That("looking at the words"), f.Span, log.Add, func() {
		names := claims.NamesOf(f.Machine, language)
		most, listed, trades := 0, map[string]bool{}, map[string]bool{}
		for _, s := range f.Told() {
			most = max(most, s.People)
			for _, r := range s.Who {
				trades[r.ID] = true
			}
			for _, r := range s.Tools {
				listed[r.ID] = true
			}
			c := &claimed{step: claims.NewStep(s, f.Machine, names), names: names, told: claims.Reads(language), listed: listed, log: log}
			for x := range claims.Sentences(s, names) {
				c.sentence(x)
			}
			c.stages()
		}
		if !claims.Reads(language) {
			return
		}
		for x := range claims.SentencesOf(f.About, names) {
			if n := x.People(); n > 0 && n != most && most > 0 && (n < most || n > len(trades)) { // each trade may be another person's
				log.Add(diagnostic.Diagnostic{Code: wordsPeople.Code, Severity: wordsPeople.Severity, Span: x.Span,
					Wrong:  say.That("the words say %said %said(person|people), and the steps are for up to %most %most(person|people)", say.Count(n), say.Count(most)),
					Advice: say.That("Correct the words, or people= of the steps.")})
			}
		}
	})
}

// claimed is a step whose words are gone through.
type claimed struct {
	step  *claims.Step
	names *claims.Names
	told  bool // what the words tell can be read, in their language
	// listed are the tools that this step and those before it list.
	listed map[string]bool
	log    *diagnostic.Log
	// before is the last thing told that acts of the step are done to, and when.
	before *claims.Told
	first  int
}

func (c *claimed) sentence(x *claims.Sentence) {
	for _, d := range c.step.Values(x) {
		c.differs(d)
	}
	for _, d := range c.step.Designations(x) {
		c.differs(d)
	}
	for _, d := range c.step.Bags(x) {
		c.differs(d)
	}
	if !c.told {
		return
	}
	for _, d := range c.step.Counts(x) {
		c.differs(d)
	}
	if n := x.People(); n > max(c.step.People, 1) && x.Role == claims.Telling && !strings.HasSuffix(x.Text, "?") {
		c.log.Add(diagnostic.Diagnostic{Code: wordsPeople.Code, Severity: wordsPeople.Severity, Span: x.Span,
			Wrong:  say.That("the words say %said people, and the step is for %people", say.Count(n), say.Count(max(c.step.People, 1))),
			Advice: say.That("State people=%said, or correct the words.", say.Count(n))})
	}
	for _, d := range c.step.Strokes(x) {
		c.differs(d)
	}
	if e, ok := c.step.Elsewhere(x); ok && x.Role == claims.Telling {
		c.log.Add(diagnostic.Diagnostic{Code: wordsDiffer.Code, Severity: wordsDiffer.Severity, Span: x.Span,
			Wrong:  say.That("the words say %words, and the row of %part says %place", say.Quote(e.Words), say.Quote(e.Part.Row.Name), say.Quote(e.Place)),
			Advice: say.That("Correct the one that is wrong, or let the page print the row's value."), See: rowsOf([]*procedure.Thing{e.Part})})
	}
	for _, t := range c.step.Fetched(x) {
		if c.listed[t.Row.ID] {
			continue
		}
		c.listed[t.Row.ID] = true // told once
		c.log.Add(diagnostic.Diagnostic{Code: wordsToolless.Code, Severity: wordsToolless.Severity, Span: x.Span,
			Wrong:  say.That("the words say %words, and no step so far brings the %tool", say.Quote(x.Text), say.Name(t.Row.ID)),
			Advice: say.That("List %tool in step %step, or correct the words.", say.Name(t.Row.ID), say.Name(c.step.ID)), See: rowsOf([]*procedure.Thing{t})})
	}
	if x.Role != claims.Telling {
		return
	}
	if f := c.step.Round(x); f != nil {
		c.log.Add(diagnostic.Diagnostic{Code: wordsDiffer.Code, Severity: wordsDiffer.Severity, Span: x.Span,
			Wrong:  say.That("the words say %words, and the row of fastener %number asks for crosswise", say.Quote(x.Text), say.Name(f.ID)),
			Advice: say.That("Correct the one that is wrong, or let the page print the row's value."), See: []diagnostic.Related{{Span: f.Span, Says: say.That("registered here")}}})
	}
	if old := c.step.UsesOld(x); old != nil {
		c.log.Add(diagnostic.Diagnostic{Code: wordsAgainst.Code, Severity: wordsAgainst.Severity, Span: x.Span,
			Wrong:  say.That("the words say %words, and a new one lies ready: %name", say.Quote(x.Text), say.Quote(old.Row.Name)),
			Advice: say.That("Correct the words or the act."), See: rowsOf([]*procedure.Thing{old})})
	}
	if t, ok := c.step.Told(x); ok {
		if first := c.step.TightFirst(x, t); first != nil {
			c.log.Add(diagnostic.Diagnostic{Code: wordsOrder.Code, Severity: wordsOrder.Severity, Span: x.Span,
				Wrong:  say.That("the words tighten %words first, and the acts fastener %number", say.Quote(t.Words), say.Name(first.Object.ID)),
				Advice: say.That("Put the words or the acts into the right order."),
				See:    []diagnostic.Related{{Span: first.Span, Says: say.That("the act")}}})
		}
		c.tells(x, t)
	}
}

// stages holds the torques of the step's words against the stages of the rows.
func (c *claimed) stages() {
	tell := func(p claims.Pass, f *procedure.Fastener, wrong say.Text) {
		c.log.Add(diagnostic.Diagnostic{Code: wordsStages.Code, Severity: wordsStages.Severity, Span: p.Span, Wrong: wrong,
			Advice: say.That("Give all stages in rising order, or none: the page prints those of the row."),
			See:    []diagnostic.Related{{Span: f.Span, Says: say.That("registered here")}}})
	}
	for _, told := range c.step.Stages() {
		for i := 1; i < len(told.Torques); i++ {
			if p := told.Torques[i]; p.Torque.Compare(told.Torques[i-1].Torque) < 0 {
				tell(p, told.Fastener, say.That("the words tighten fastener %number to %later after %earlier", say.Name(told.Fastener.ID), say.Word(p.Says), say.Word(told.Torques[i-1].Says)))
				break
			}
		}
		if asked := claims.Asked(told.Fastener); len(told.Torques) < asked && !c.step.SaysStages() {
			tell(told.Torques[0], told.Fastener, say.That("the words give %said %said(torque|torques) for fastener %number, and its row asks for %asked stages", say.Count(len(told.Torques)), say.Name(told.Fastener.ID), say.Count(asked)))
		}
	}
}

func (c *claimed) differs(d claims.Differing) {
	out := diagnostic.Diagnostic{Code: wordsDiffer.Code, Severity: wordsDiffer.Severity, Span: d.Span, Advice: say.That("Correct the one that is wrong, or let the page print the row's value.")}
	if len(d.Rows) > 0 {
		r := d.Rows[0]
		out.Wrong = say.That("the words say %said, and the row of %name %value", say.Quote(d.Says), say.Quote(r.Row.Name), say.Quote(r.Value))
	} else {
		out.Wrong = say.That("the words say %said, and no row does", say.Quote(d.Says))
	}
	for _, r := range d.Rows {
		out.See = append(out.See, diagnostic.Related{Span: r.Row.Span, Says: say.That("here: %value", say.Quote(r.Value))})
	}
	c.log.Add(out)
}

func (c *claimed) tells(x *claims.Sentence, t claims.Told) {
	if a := c.step.Against(t); a != nil {
		severity := wordsAgainst.Severity
		if t.Deed == claims.Taking { // the act may be the newer one of the two, in a smaller job
			severity = diagnostic.Advice
		}
		c.log.Add(diagnostic.Diagnostic{Code: wordsAgainst.Code, Severity: severity, Span: x.Span,
			Wrong:  say.That("the words say %words, and the act is: %verb %thing", say.Quote(x.Text), say.Word(a.Verb), say.Name(a.Object.ID)),
			Advice: say.That("Correct the words or the act."),
			See:    []diagnostic.Related{{Span: a.Object.Span, Says: say.That("the act")}}})
		return
	}
	if standing := c.step.Standing(t); standing != nil {
		c.log.Add(diagnostic.Diagnostic{Code: wordsAgainst.Code, Severity: wordsAgainst.Severity, Span: x.Span,
			Wrong:  say.That("the words say %words, and the step establishes %condition", say.Quote(x.Text), say.Quote(standing.Row.Name)),
			Advice: say.That("Correct the words or the act."),
			See:    []diagnostic.Related{{Span: standing.Row.Span, Says: say.That("registered here")}}})
		return
	}
	switch t.Deed {
	case claims.Undoing, claims.Taking, claims.Loosening:
	default:
		return
	}
	if c.step.Carried(t) {
		c.order(x, t)
		return
	}
	if !c.worthTelling(t) {
		return
	}
	c.log.Add(diagnostic.Diagnostic{Code: wordsWithoutAct.Code, Severity: wordsWithoutAct.Severity, Span: x.Span,
		Wrong:  say.That("the words say %words, and no act of the step does it", say.Quote(x.Text)),
		Advice: say.That("Add the act, or correct the words."), See: rowsOf(t.Things)})
}

// worthTelling reports whether a deed is one on a fastener, a part or a connection, or on something that the machine should have a row for.
func (c *claimed) worthTelling(t claims.Told) bool {
	if len(t.Things) == 0 {
		return t.Deed == claims.Taking && !c.names.Known(t.Head) && !claims.Everyday(t.Head)
	}
	for _, x := range t.Things {
		switch x.Kind {
		case procedure.FastenerThing, procedure.PartThing, procedure.ConnectionThing:
		default:
			return false
		}
	}
	return true
}

func rowsOf(things []*procedure.Thing) (out []diagnostic.Related) {
	for _, t := range things {
		out = append(out, diagnostic.Related{Span: t.Row.Span, Says: say.That("registered here")})
	}
	return out
}

// order holds the order in which the words name things against that of the acts.
func (c *claimed) order(x *claims.Sentence, t claims.Told) {
	at := c.step.Place(t)
	if at < 0 {
		return
	}
	if c.before != nil && at < c.first {
		c.log.Add(diagnostic.Diagnostic{Code: wordsOrder.Code, Severity: wordsOrder.Severity, Span: x.Span,
			Wrong:  say.That("the words name %first before %second, and the acts the other way round", say.Quote(c.before.Words), say.Quote(t.Words)),
			Advice: say.That("Put the words or the acts into the right order."),
			See:    []diagnostic.Related{{Span: c.step.Actions()[at].Span, Says: say.That("the act")}}})
		return
	}
	c.before, c.first = &t, at
}
