package assist

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit/draft"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// Repairs carry out what a message says to do, where that is a change of the text that the author may still want otherwise:
// an order stated or taken out, a step or an act moved, a hold point, a row of a register. None is sure.

// repairOf are the repairs by the code of the message.
var repairOf = map[diagnostic.Code]func(diagnostic.Diagnostic) []Remedy{
	"after-later":         afterLater,
	"order-habit":         func(d diagnostic.Diagnostic) []Remedy { return remedy(withoutAfter(d.Span)) },
	"swappable":           func(d diagnostic.Diagnostic) []Remedy { return remedy(statedAfter(d.Span)) },
	"danger-without-hold": func(d diagnostic.Diagnostic) []Remedy { return remedy(heldAtEnd(d.Span, 0)) },
	"lift-without-hold":   func(d diagnostic.Diagnostic) []Remedy { return remedy(heldAtEnd(d.Span, -1)) },
	"energy-returns":      energyReturns,
	"still-covered":       earlier,
	"still-held":          earlier,
	"still-joined":        earlier,
	"undo-order":          earlier,
	"condition-unready":   func(d diagnostic.Diagnostic) []Remedy { return orElse(earlier(d), establish(d)) },
	"condition-not-held":  func(d diagnostic.Diagnostic) []Remedy { return orElse(earlier(d), establish(d)) },
	"energy-first":        stepFirst,
	"proved-first":        earlier,
	"caution-late":        cautionFirst,
}

// remedy is a repair as a list, empty where it cannot be made.
func remedy(title say.Text, edits []rewrite.Edit) []Remedy {
	if len(edits) == 0 {
		return nil
	}
	return []Remedy{{Title: title, Edits: edits}}
}

func orElse(first, second []Remedy) []Remedy {
	if len(first) > 0 {
		return first
	}
	return second
}

// stepsOf are the steps of a file in their order.
func stepsOf(f *text.File) (out []Symbol) {
	var walk func([]Symbol)
	walk = func(all []Symbol) {
		for _, s := range all {
			if s.Kind == SymbolStep {
				out = append(out, s)
			}
			walk(s.Below)
		}
	}
	walk(outline(f))
	return out
}

// stepAt is the place in the list of the step around a place of a file; -1 for none.
func stepAt(steps []Symbol, offset int) int {
	return slices.IndexFunc(steps, func(s Symbol) bool { return s.At.Start <= offset && offset < max(s.At.End, s.At.Start+1) })
}

// lineAt is the line around a place, with its end.
func lineAt(at text.Span) text.Span {
	start, end := at.File.LineBounds(at.File.LineOf(at.Start))
	for end < len(at.File.Source) && (end == start || at.File.Source[end-1] != '\n') {
		end++
	}
	return at.File.Span(start, end)
}

var afterValue = regexp.MustCompile(`[ \t]*\bafter=("[^"]*"|[^\s}]+)`)

// withoutAfter takes a name out of the after= that it stands in.
func withoutAfter(at text.Span) (say.Text, []rewrite.Edit) {
	line := lineAt(at)
	for _, m := range afterValue.FindAllStringSubmatchIndex(line.Text(), -1) {
		if at.Start < line.Start+m[2] || at.End > line.Start+m[3] {
			continue
		}
		names := strings.Split(strings.Trim(line.Text()[m[2]:m[3]], `"`), ",")
		names = slices.DeleteFunc(names, func(s string) bool { return strings.TrimSpace(s) == at.Text() })
		title := say.That("Take %name out of after=", say.Name(at.Text()))
		switch {
		case len(names) > 0:
			return title, []rewrite.Edit{{Span: line.Sub(m[2], m[3]), Text: `"` + strings.TrimSpace(strings.Join(names, ",")) + `"`}}
		case strings.TrimSpace(line.Text()[:m[0]]) == "{" && strings.TrimSpace(line.Text()[m[1]:]) == "}":
			return title, []rewrite.Edit{{Span: line}}
		case strings.HasSuffix(line.Text()[:m[0]], "{"): // the first of several
			for m[1] < len(line.Text()) && line.Text()[m[1]] == ' ' {
				m[1]++
			}
		}
		return title, []rewrite.Edit{{Span: line.Sub(m[0], m[1])}}
	}
	return say.Text{}, nil
}

// statedAfter states that the step at a place comes after the one before it.
func statedAfter(at text.Span) (say.Text, []rewrite.Edit) {
	steps := stepsOf(at.File)
	i := stepAt(steps, at.Start)
	if i < 1 || steps[i-1].Detail == "" {
		return say.Text{}, nil
	}
	title := say.That("State after=%step", say.Name(steps[i-1].Detail))
	head := lineAt(steps[i].Head)
	next := head
	for next.End < steps[i].At.End {
		if next = lineAt(at.File.Span(next.End, next.End)); strings.TrimSpace(next.Text()) != "" {
			break
		}
	}
	words := next.Text()
	if open, end := strings.Index(words, "{"), strings.LastIndex(words, "}"); next.Start > head.Start && strings.TrimSpace(words[:max(open, 0)]) == "" && open >= 0 && end > open {
		if m := afterValue.FindStringSubmatchIndex(words); m != nil {
			old := strings.Trim(words[m[2]:m[3]], `"`)
			return title, []rewrite.Edit{{Span: next.Sub(m[2], m[3]), Text: fmt.Sprintf("%q", old+", "+steps[i-1].Detail)}}
		}
		return title, []rewrite.Edit{{Span: next.Sub(end, end), Text: " after=" + steps[i-1].Detail}}
	}
	return title, []rewrite.Edit{{Span: at.File.Span(head.End, head.End), Text: fmt.Sprintf("{after=%s}\n", steps[i-1].Detail)}}
}

// afterLater moves the step behind the one that it is stated to come after, or takes the statement out.
func afterLater(d diagnostic.Diagnostic) (out []Remedy) {
	f := d.Span.File
	steps := stepsOf(f)
	this := stepAt(steps, d.Span.Start)
	if len(d.See) > 0 && d.See[0].Span.File != nil && d.See[0].Span.File.Name == f.Name {
		if other := stepAt(steps, d.See[0].Span.Start); this >= 0 && other > this {
			out = append(out, Remedy{Title: say.That("Move the step behind %step", say.Name(steps[other].Detail)), Edits: movedBehind(f, steps[this].At, steps[other].At)})
		}
	}
	return append(out, remedy(withoutAfter(d.Span))...)
}

// movedBehind moves a step behind a later one.
func movedBehind(f *text.File, step, other text.Span) []rewrite.Edit {
	words := strings.TrimRight(step.Text(), " \t\r\n")
	end := other.Start + len(strings.TrimRight(other.Text(), " \t\r\n"))
	tail := "\n"
	if other.End < len(f.Source) {
		tail = "\n\n"
	}
	return []rewrite.Edit{{Span: step}, {Span: f.Span(end, other.End), Text: "\n\n" + words + tail}}
}

// heldAtEnd ends a step with a hold point: the one around a place, or one so many before it.
func heldAtEnd(at text.Span, before int) (say.Text, []rewrite.Edit) {
	steps := stepsOf(at.File)
	i := stepAt(steps, at.Start)
	if i < 0 || i+before < 0 {
		return say.Text{}, nil
	}
	s := steps[i+before].At
	end := s.Start + len(strings.TrimRight(s.Text(), " \t\r\n"))
	words := fmt.Sprintf("\n\n::: hold \"Stop and look\"\n\n- %s What must be so before work goes on\n\n:::", draft.Gap) // the gap is told of until it is written
	return say.That("End the step %step with a hold point", say.Name(steps[i+before].Detail)), []rewrite.Edit{{Span: at.File.Span(end, end), Text: words}}
}

// energyReturns writes the hold point that must stand before energy comes back, where that is what is missing.
func energyReturns(d diagnostic.Diagnostic) []Remedy {
	if len(d.See) > 0 {
		return nil // a guard is off, or a fastener loose
	}
	return remedy(heldAtEnd(d.Span, -1))
}

// later is the line of the act that is told of as coming too late; invalid when it stands in no later line of the same file.
func later(d diagnostic.Diagnostic) text.Span {
	for _, see := range d.See {
		at := see.Span
		if at.File == nil || at.File.Name != d.Span.File.Name || at.Start <= d.Span.End {
			continue
		}
		if line := lineAt(at); taskLine.MatchString(line.Text()) {
			return line
		}
	}
	return text.Span{}
}

// earlier moves the act that comes too late in front of the one that needs it.
func earlier(d diagnostic.Diagnostic) []Remedy {
	at := later(d)
	here := lineAt(d.Span)
	if !at.Valid() || !taskLine.MatchString(here.Text()) {
		return nil
	}
	words := strings.TrimRight(at.Text(), "\r\n")
	act := strings.TrimSpace(words[len(taskLine.FindString(words)):])
	return []Remedy{{Title: say.That("Do this first: %act", say.Name(act)), Edits: []rewrite.Edit{{Span: d.Span.File.Span(here.Start, here.Start), Text: words + "\n"}, {Span: at}}}}
}

// stepFirst moves the step with the act that comes too late in front of the one that needs it.
func stepFirst(d diagnostic.Diagnostic) []Remedy {
	at, f := later(d), d.Span.File
	steps := stepsOf(f)
	this, other := stepAt(steps, d.Span.Start), stepAt(steps, at.Start)
	if !at.Valid() || this < 0 || other <= this {
		return nil
	}
	words := strings.TrimRight(steps[other].At.Text(), " \t\r\n") + "\n\n"
	start := steps[this].At.Start
	return []Remedy{{Title: say.That("Move the step %step in front of this one", say.Name(steps[other].Detail)), Edits: []rewrite.Edit{{Span: f.Span(start, start), Text: words}, {Span: steps[other].At}}}}
}

// establish writes an act that establishes the condition whose row is told of.
func establish(d diagnostic.Diagnostic) []Remedy {
	here := lineAt(d.Span)
	task := taskLine.FindString(here.Text())
	if task == "" || len(d.See) == 0 {
		return nil
	}
	row := d.See[len(d.See)-1].Span
	if row.File == nil || row.File.Name == d.Span.File.Name || !nameForm.MatchString(row.Text()) {
		return nil
	}
	act := "establish " + row.Text()
	return []Remedy{{Title: say.That("Do this first: %act", say.Name(act)), Edits: []rewrite.Edit{{Span: d.Span.File.Span(here.Start, here.Start), Text: task + act + "\n"}}}}
}

// cautionFirst moves a caution in front of the act that it is about.
func cautionFirst(d diagnostic.Diagnostic) []Remedy {
	f := d.Span.File
	if len(d.See) == 0 || d.See[0].Span.File == nil || d.See[0].Span.File.Name != f.Name || d.See[0].Span.Start >= d.Span.Start {
		return nil
	}
	open := lineAt(d.Span)
	for !fenceLine.MatchString(open.Text()) {
		if open.Start == 0 || headingTitle.MatchString(open.Text()) {
			return nil
		}
		open = lineAt(f.Span(open.Start-1, open.Start-1))
	}
	block := f.Span(open.Start, lineAt(f.Span(closing(f, f.LineOf(open.Start)), closing(f, f.LineOf(open.Start)))).End)
	before := lineAt(d.See[0].Span)
	return []Remedy{{Title: say.That("Move the caution in front of the act"), Edits: []rewrite.Edit{
		{Span: f.Span(before.Start, before.Start), Text: strings.TrimRight(block.Text(), "\r\n") + "\n\n"}, {Span: block},
	}}}
}

// Lists are the registers of a machine, to which rows may be added.
type Lists struct {
	file *text.File
	ids  map[string]bool // of all things
}

// Lists are the registers of the machine that a file is about; nil for none. Asking ends no check that runs.
func (d *Desk) Lists(file string) (l *Lists) {
	_ = d.quietly(file, func(doc *document) {
		if m := scopeOf(doc).machine; m != nil && m.File != nil {
			l = &Lists{d.builder.Text(m.File.Name), map[string]bool{}}
			for _, t := range m.Things() {
				l.ids[t.Row.ID] = true
			}
		}
	})
	return l
}

var registerOf = map[procedure.ThingKind]procedure.RegisterKind{
	procedure.PartThing: procedure.PartRegister, procedure.FastenerThing: procedure.FastenerRegister, procedure.ConnectionThing: procedure.ConnectionRegister,
	procedure.FluidThing: procedure.FluidRegister, procedure.SupportThing: procedure.SupportRegister, procedure.ConditionThing: procedure.ConditionRegister,
	procedure.ToolThing: procedure.ToolRegister,
}

// register offers to add a name that no register has to those in which it may stand.
func (l *Lists) register(d diagnostic.Diagnostic) (out []Remedy) {
	id := d.Span.Text()
	number := numberForm.MatchString(id)
	if l == nil || l.file == nil || l.file.Source == nil || !number && !nameForm.MatchString(id) {
		return nil
	}
	for _, kind := range kindsFor(d.Span, number) {
		if edits := l.row(registerOf[kind], id); len(edits) > 0 {
			out = append(out, Remedy{Title: say.That("Add %name to the register %register", say.Name(id), say.Word(registerOf[kind])), Edits: edits})
		}
	}
	return out
}

// kindsFor are the kinds of thing that a name may be of, by the act that it stands in.
func kindsFor(at text.Span, number bool) (out []procedure.ThingKind) {
	kinds := []procedure.ThingKind{procedure.PartThing}
	if number {
		kinds = []procedure.ThingKind{procedure.FastenerThing}
	}
	line := lineAt(at).Text()
	words := strings.TrimPrefix(line, taskLine.FindString(line))
	verb := ""
	for _, rule := range procedure.VerbRules {
		if taskLine.MatchString(line) && len(rule.Verb) > len(verb) && strings.HasPrefix(words, string(rule.Verb)+" ") {
			verb, kinds = string(rule.Verb), rule.Objects
		}
	}
	for _, k := range kinds {
		// Callout numbers are those of fasteners, and of nothing else.
		if registerOf[k] != "" && number == (k == procedure.FastenerThing) {
			out = append(out, k)
		}
	}
	return out
}

// row adds a row with a name to a register; what else it needs is told by the check.
func (l *Lists) row(kind procedure.RegisterKind, id string) []rewrite.Edit {
	for _, s := range outline(l.file) {
		all := append([]Symbol{s}, s.Below...)
		for i := range all {
			fields := strings.Fields(all[i].Detail)
			if all[i].Kind != SymbolRegister || len(fields) < 2 || fields[1] != string(kind) {
				continue
			}
			g, err := gridAt(&document{file: l.file}, all[i].Head.Start, source.NewReader())
			if err != nil {
				return nil
			}
			row := make([]string, len(g.Rows[0]))
			for c, name := range g.Rows[0] {
				switch name {
				case "id", "no":
					row[c] = id
				case "name":
					row[c] = strings.ToUpper(id[:1]) + strings.ReplaceAll(id[1:], "-", " ")
				}
			}
			edits, err := g.Write(append(g.Rows, row))
			if err != nil {
				return nil
			}
			return edits
		}
	}
	return nil
}
