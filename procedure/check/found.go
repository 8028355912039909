package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Rules on what is found out at the bench and what is made of it: values, questions, inspections with names; conditions, sums,
// values that are shown, rounds.

// use is a place that takes what was found.
type use struct {
	name string
	span text.Span
	// decides is set for a condition, value for a place that needs a number.
	decides, value bool
	variants       []procedure.Ref
	// when are the conditions of the place.
	when []procedure.When
	// round is set for the end of a round, whose steps are the first and the last.
	round       bool
	first, last int
}

// at is a place in the order of the work: step by step, and in each what stands there.
type at struct{ step, block int }

func (a at) before(b at) bool { return a.step < b.step || a.step == b.step && a.block < b.block }

// findings are what a procedure finds out and uses, in the order of the work: the way out, then the author's steps of the way back.
type findings struct {
	found []foundAt
	uses  []usedAt
}

type foundAt struct {
	procedure.Finder
	at
	back     bool
	variants []procedure.Ref
	// when are the conditions under which it is found.
	when []procedure.When
}

type usedAt struct {
	use
	at
}

func findingsOf(p *procedure.Procedure) (out findings) {
	for i, s := range p.WrittenSteps() {
		whole := conditionOf(p, s)
		add := func(block int, u use) {
			if u.when == nil {
				u.when = []procedure.When{whole}
			}
			if block >= 0 && block < len(s.Blocks) {
				u.when = append(u.when, s.Blocks[block].Base().If)
			}
			out.uses = append(out.uses, usedAt{u, at{i, block}})
		}
		for _, n := range s.If.Names() {
			add(-1, use{name: n, span: s.Span, decides: true, variants: s.Variants})
		}
		for k, b := range s.Blocks {
			variants := both(s.Variants, b.Base().Variants)
			for _, n := range b.Base().If.Names() {
				add(k, use{name: n, span: b.Base().Span, decides: true, variants: variants})
			}
			for _, t := range procedure.Texts(b) {
				for _, r := range t.Values() {
					add(k, use{name: r.ID, span: r.Span, value: true, variants: variants})
				}
			}
			if x := b.Shows().Readings; x != nil {
				for row := range x.Rows {
					for _, a := range x.Rows[row].Addends() {
						add(k, use{name: a.Name, span: x.Rows[row].Span, value: true, variants: variants})
					}
				}
			}
			for _, f := range procedure.Finders([]*procedure.Step{{Blocks: []procedure.Block{b}}}) {
				f.Step = s
				out.found = append(out.found, foundAt{Finder: f, at: at{i, k}, back: i >= len(p.Steps), variants: variants, when: []procedure.When{whole, b.Base().If}})
			}
		}
		if s.Round.First != "" && (i+1 == len(p.WrittenSteps()) || p.WrittenSteps()[i+1].Round.First != s.Round.First) {
			first := slices.IndexFunc(p.WrittenSteps(), func(x *procedure.Step) bool { return x.Round.First == s.Round.First })
			alike := whole // a round all of whose steps have one condition is done under that
			for _, x := range p.WrittenSteps()[first : i+1] {
				if x.If != whole {
					alike = ""
				}
			}
			for _, n := range s.Round.Until.Names() {
				add(len(s.Blocks), use{name: n, span: s.Round.Rounds.Span, decides: true, round: true, first: first, last: i, when: []procedure.When{alike}})
			}
		}
	}
	return out
}

// conditionOf is what must have been found for a step to be done. One of the way back that takes the place of a derived one has that one's.
func conditionOf(p *procedure.Procedure, s *procedure.Step) procedure.When {
	if s.If != "" {
		return s.If
	}
	if i := slices.IndexFunc(p.Steps, func(x *procedure.Step) bool { return x.ID+"-back" == s.ID }); i >= 0 {
		return p.Steps[i].If
	}
	return ""
}

// both are the variants that a step and a block of it have in common; none for all.
func both(step, block []procedure.Ref) []procedure.Ref {
	if len(block) == 0 {
		return step
	}
	return block
}

// named lists what is found under a name; a value of a table has its own.
func (f *findings) named(name string) (out []foundAt) {
	for _, x := range f.found {
		if x.Name == name {
			out = append(out, x)
		} else if x.Readings != nil && x.Reading == nil {
			for i := range x.Readings.Rows {
				if x.Readings.Rows[i].Name == name {
					cell := x
					cell.Reading = &x.Readings.Rows[i]
					out = append(out, cell)
				}
			}
		}
	}
	return out
}

func (f *findings) names() []string {
	var out []string
	for _, x := range f.found {
		out = append(out, x.Name)
	}
	return out
}

// everyProcedure makes a rule's run of what it asks of each procedure's findings.
func everyProcedure(ask func(p *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic))) func(*procedure.Library, func(diagnostic.Diagnostic)) {
	return func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			f := findingsOf(p)
			ask(p, &f, report)
		}
	}
}

var undefinedFindings = rule{
	Rule: diagnostic.Rule{
		Code: "undefined-finding", Severity: diagnostic.Error, Title: "Nothing finds that out",
		Wrong: "A condition, a sum or the end of a round names what no step reads, decides or inspects.",
		Why:   "The tablet could not tell which way to go.",
		Do:    "Correct the name, or write the reading, the decision or the inspection with its name.",
	},
	run: everyProcedure(func(_ *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		for _, u := range f.uses {
			if len(f.named(u.name)) > 0 {
				continue
			}
			d := diagnostic.Diagnostic{Span: u.span, Wrong: say.That("no step finds out %name", say.Quote(u.name))}
			d.Advice, _ = diagnostic.Suggest(u.span, u.name, f.names(), say.That("Write a task such as - [ ] decide %name: Is it so?", say.Name(u.name)))
			report(d)
		}
	}),
}

var foundLate = rule{
	Rule: diagnostic.Rule{
		Code: "found-late", Severity: diagnostic.Error, Title: "Used before it is found",
		Wrong: "A condition, a sum or a text takes a value or an answer that comes later, on another variant only, or under a condition of its own only.",
		Why:   "At that moment nobody knows it yet.",
		Do:    "Move the reading in front, or correct the name.",
	},
	run: everyProcedure(func(_ *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		for _, u := range f.uses {
			found := f.named(u.name)
			if len(found) == 0 {
				continue
			}
			early := slices.DeleteFunc(slices.Clone(found), func(x foundAt) bool {
				// A sum may stand behind its values in one block; a condition and a text need an earlier one.
				return !x.at.before(u.at) && !(x.at == u.at && u.value && x.Reading != nil && x.Reading.Span.Start < u.span.Start)
			})
			switch {
			case len(early) == 0:
				report(diagnostic.Diagnostic{Span: u.span, Wrong: say.That("%name is used here and found later", say.Quote(u.name)), Advice: say.That("Move the reading or the decision in front of this."),
					See: []diagnostic.Related{{Span: found[0].Place(), Says: say.That("found here")}}})
			case !covered(u.variants, early):
				report(diagnostic.Diagnostic{Span: u.span, Wrong: say.That("%name is not found on every variant that this is for", say.Quote(u.name)), Advice: say.That("Find it on these variants too, or say here for which variants this is."),
					See: []diagnostic.Related{{Span: early[0].Place(), Says: say.That("found here")}}})
			case (u.value || u.round) && !sure(u.when, early):
				// What decides may be left open: a question that nobody asked counts as no.
				report(diagnostic.Diagnostic{Span: u.span, Wrong: say.That("%name is found only if %condition, and used here without that", say.Quote(u.name), say.Quote(string(conditionIn(early[0].when)))),
					Advice: say.That("Use it under the same condition, or find it in any case."),
					See:    []diagnostic.Related{{Span: early[0].Place(), Says: say.That("found here")}}})
			}
		}
	}),
}

// sure reports whether, wherever some conditions hold, one of the findings is made.
func sure(when []procedure.When, found []foundAt) bool {
	all := slices.Clone(when)
	for _, x := range found {
		all = append(all, x.when...)
	}
	return procedure.Always(all, func(answers map[string]bool) bool {
		return !holdAll(when, answers) || slices.ContainsFunc(found, func(x foundAt) bool { return holdAll(x.when, answers) })
	})
}

func holdAll(when []procedure.When, answers map[string]bool) bool {
	return !slices.ContainsFunc(when, func(c procedure.When) bool { return !c.Holds(answers) })
}

// conditionIn is the first condition of several that says something.
func conditionIn(when []procedure.When) procedure.When {
	i := slices.IndexFunc(when, func(c procedure.When) bool { return c != "" })
	return when[max(i, 0)]
}

// covered reports whether on each of some variants, all when there are none, something is found.
func covered(variants []procedure.Ref, found []foundAt) bool {
	if slices.ContainsFunc(found, func(x foundAt) bool { return len(x.variants) == 0 }) {
		return true
	}
	return len(variants) > 0 && !slices.ContainsFunc(variants, func(v procedure.Ref) bool {
		return !slices.ContainsFunc(found, func(x foundAt) bool {
			return slices.ContainsFunc(x.variants, func(w procedure.Ref) bool { return w.ID == v.ID })
		})
	})
}

var repeatedFindings = rule{
	Rule: diagnostic.Rule{
		Code: "repeated-finding", Severity: diagnostic.Error, Title: "Name of a finding taken twice",
		Wrong: "Two readings, decisions or inspections have one name.",
		Why:   "Whoever uses the name would not know which is meant.",
		Do:    "Give one of them another name. A value that is read again on the way back keeps its name: as found, and as left.",
	},
	run: everyProcedure(func(_ *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		for i, x := range f.found {
			for _, before := range f.found[:i] {
				apart := len(x.variants) > 0 && len(before.variants) > 0 && !slices.ContainsFunc(x.variants, func(v procedure.Ref) bool {
					return slices.ContainsFunc(before.variants, func(w procedure.Ref) bool { return v.ID == w.ID })
				})
				again := x.Readings != nil && before.Readings != nil && x.back && !before.back && sameUnit(x, before)
				if before.Name == x.Name && !apart && !again {
					report(diagnostic.Diagnostic{Span: x.Place(), Wrong: say.That("%name is found twice", say.Quote(x.Name)), Advice: say.That("Give one of them another name."),
						See: []diagnostic.Related{{Span: before.Place(), Says: say.That("the first one")}}})
					break
				}
			}
		}
	}),
}

func sameUnit(a, b foundAt) bool {
	return dimensionOf(a.Readings.Rows[0].Unit) == dimensionOf(b.Readings.Rows[0].Unit) && (a.Reading == nil) == (b.Reading == nil)
}

func dimensionOf(unit string) measure.Dimension { return measure.Must("1 " + unit).Dimension() }

var findingWithoutLimits = rule{
	Rule: diagnostic.Rule{
		Code: "finding-without-limits", Severity: diagnostic.Error, Title: "Value without limits decides",
		Wrong: "A condition or the end of a round goes by a value that has no limits.",
		Why:   "The value is never out of them, and never within.",
		Do:    "Write limits behind the reading, or let the learner decide.",
	},
	run: everyProcedure(func(_ *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		for _, u := range f.uses {
			found := f.named(u.name)
			if !u.decides || len(found) == 0 || slices.ContainsFunc(found, func(x foundAt) bool { return x.Judges() }) {
				continue
			}
			report(diagnostic.Diagnostic{Span: u.span, Wrong: say.That("%name has no limits, so it decides nothing", say.Quote(u.name)), Advice: say.That("Write the limits behind its unit: at most 0.1 mm."),
				See: []diagnostic.Related{{Span: found[0].Place(), Says: say.That("read here")}}})
		}
	}),
}

var sumUnits = rule{
	Rule: diagnostic.Rule{
		Code: "sum-units", Severity: diagnostic.Error, Title: "Sum of unlike values",
		Wrong: "A sum adds up values of different dimensions, of a series, of temperatures, or of what is no value.",
		Why:   "Millimetres and bar make nothing together.",
		Do:    "Name values that are measured in the sum's own dimension.",
	},
	run: everyProcedure(func(_ *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		for _, x := range f.found {
			if x.Reading == nil || x.Reading.Sum == "" {
				continue
			}
			sum := dimensionOf(x.Reading.Unit)
			for _, a := range x.Reading.Addends() {
				for _, part := range f.named(a.Name) {
					unlike := func(what say.Text) {
						report(diagnostic.Diagnostic{Span: x.Reading.Span, Wrong: what, Advice: say.That("Name values in units of one dimension."), See: []diagnostic.Related{{Span: part.Place(), Says: say.That("found here")}}})
					}
					switch {
					case part.Reading == nil:
						unlike(say.That("%name is no single value", say.Quote(a.Name)))
					case part.Reading.Points() > 1:
						unlike(say.That("%name is a series of values", say.Quote(a.Name)))
					case dimensionOf(part.Reading.Unit) != sum:
						unlike(say.That("%name measures %dimension, the sum %other", say.Quote(a.Name), say.Word(dimensionOf(part.Reading.Unit).String()), say.Word(sum.String())))
					case sum == measure.Temperature:
						unlike(say.That("temperatures do not add up"))
					default:
						continue
					}
					break
				}
			}
		}
	}),
}

var tooManyFindings = rule{
	Rule: diagnostic.Rule{
		Code: "too-many-findings", Severity: diagnostic.Error, Title: "Too many decisions",
		Wrong: "More than four findings decide on what is done to the machine.",
		Why:   "Every combination is judged there and back; with more of them nobody can say that each leads to a whole machine.",
		Do:    "Split the procedure, or let one decision lead to a procedure of its own.",
	},
	run: everyProcedure(func(p *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		if p.Machine == nil {
			return
		}
		for _, j := range p.Jobs() {
			names := j.Deciding()
			if len(names) <= procedure.MostFinders {
				continue
			}
			span := p.Span
			if found := f.named(names[procedure.MostFinders]); len(found) > 0 {
				span = found[0].Place()
			}
			report(diagnostic.Diagnostic{Span: span, Wrong: say.That("%count findings decide on what is done to the machine", say.Count(len(names))), Advice: say.That("Use at most %most: split the procedure.", say.Count(procedure.MostFinders))})
			return
		}
	}),
}

var roundBlind = rule{
	Rule: diagnostic.Rule{
		Code: "round-blind", Severity: diagnostic.Error, Title: "Round that does not look",
		Wrong: "A round ends by something that none of its steps reads or asks.",
		Why:   "Going round once more would change nothing about it.",
		Do:    "Read the value inside the round.",
	},
	run: everyProcedure(func(_ *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		for _, u := range f.uses {
			found := f.named(u.name)
			if !u.round || len(found) == 0 || slices.ContainsFunc(found, func(x foundAt) bool { return x.step >= u.first && x.step <= u.last }) {
				continue
			}
			report(diagnostic.Diagnostic{Span: u.span, Wrong: say.That("the round ends by %name, which no step of it finds out", say.Quote(u.name)), Advice: say.That("Read it in a step of the round."),
				See: []diagnostic.Related{{Span: found[0].Place(), Says: say.That("found here")}}})
		}
	}),
}

var unusedDecisions = rule{
	Rule: diagnostic.Rule{
		Code: "unused-decision", Severity: diagnostic.Warning, Title: "Decision that changes nothing",
		Wrong: "A question is asked, and no step or block goes by its answer.",
		Why:   "Whoever answers believes that it counts.",
		Do:    "Write if=NAME where it counts, or make it something to inspect.",
	},
	run: everyProcedure(func(_ *procedure.Procedure, f *findings, report func(diagnostic.Diagnostic)) {
		used := map[string]bool{}
		for _, u := range f.uses {
			used[u.name] = used[u.name] || u.decides
		}
		for _, x := range f.found {
			if x.Decision != nil && !used[x.Name] {
				report(diagnostic.Diagnostic{Span: x.Place(), Wrong: say.That("nothing goes by the answer to %name", say.Quote(x.Name)), Advice: say.That("Write {if=%name} at what is done for a yes.", say.Name(x.Name))})
			}
		}
	}),
}

var idleWaits = rule{
	Rule: diagnostic.Rule{
		Code: "idle-wait", Severity: diagnostic.Warning, Title: "Wait that holds nothing up",
		Wrong: "A wait names things that no later step touches.",
		Why:   "The clock would run out with nobody looking.",
		Do:    "Name what must not be touched meanwhile, or leave `on` out: then all that follows from the step waits.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			for i, s := range p.Steps {
				w := s.Wait()
				if w == nil || len(w.On) == 0 || p.Machine == nil {
					continue
				}
				if !slices.ContainsFunc(p.Steps[i+1:], w.Holds) {
					report(diagnostic.Diagnostic{Span: w.Span, Wrong: say.That("no later step touches what this wait is on"), Advice: say.That("Name another thing, or leave `on` out.")})
				}
			}
		}
	},
}

var seriesLonger = rule{
	Rule: diagnostic.Rule{
		Code: "series-longer", Severity: diagnostic.Warning, Title: "Series that takes longer than its step",
		Wrong: "Values are read over a time that is longer than the longest time of their step.",
		Why:   "The plan lets people go on while somebody still stands at the thermometer.",
		Do:    "Give the step the time of the series at least.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			for _, s := range p.WrittenSteps() {
				for _, f := range procedure.Finders([]*procedure.Step{s}) {
					if f.Reading == nil || f.Reading.Points() < 2 || s.Time.Pessimistic == 0 || f.Reading.For.Float("min") <= s.Time.Pessimistic {
						continue
					}
					report(diagnostic.Diagnostic{Span: f.Reading.Span, Wrong: say.That("the series takes %time, and step %step at most %minutes min", say.Word(f.Reading.For.String()), say.Name(s.ID), say.Decimal{Value: s.Time.Pessimistic, Places: say.Shortest}),
						Advice: say.That("Give the step the time of the series at least.")})
				}
			}
		}
	},
}

// findingRules are the rules of this file.
func findingRules() []rule {
	return []rule{undefinedFindings, foundLate, repeatedFindings, findingWithoutLimits, sumUnits, tooManyFindings, neverDone, roundBlind, unusedDecisions, idleWaits, seriesLonger}
}
