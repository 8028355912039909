package reference

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"matchmark/procedure/check/examples"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
)

// columns is how wide the plain text is.
const columns = 80

// printed collects plain text.
type printed struct{ strings.Builder }

// heading writes a heading with a line of the given character under it.
func (p *printed) heading(s, line string) {
	if p.Len() > 0 {
		p.WriteString("\n")
	}
	fmt.Fprintf(p, "%s\n%s\n", s, strings.Repeat(line, utf8.RuneCountInString(s)))
}

// lines writes words in lines of the page's width: the first after lead, the others as far in as lead is long.
func (p *printed) lines(lead, words string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	line := lead
	fresh := true
	for _, w := range strings.Fields(words) {
		if !fresh && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) > columns {
			p.WriteString(strings.TrimRight(line, " ") + "\n")
			line, fresh = indent, true
		}
		if !fresh {
			line += " "
		}
		line += w
		fresh = false
	}
	p.WriteString(strings.TrimRight(line, " ") + "\n")
}

// source writes lines of a source, set in.
func (p *printed) source(s string) {
	for line := range strings.Lines(s) {
		p.WriteString(strings.TrimRight("    "+line, " \n") + "\n")
	}
}

// terms writes names and what they mean in two columns.
func (p *printed) terms(list []term) {
	width := 0
	for _, t := range list {
		width = max(width, utf8.RuneCountInString(t.Name))
	}
	for _, t := range list {
		words := t.Means
		if t.Required {
			words = "(must) " + words
		}
		p.lines(fmt.Sprintf("  %-*s  ", width, t.Name), words+".")
	}
}

// LanguageText is the language reference as plain text, 80 columns wide.
func LanguageText() string {
	l := newLanguage()
	var p printed
	p.heading("THE LANGUAGE", "=")
	for _, s := range l.Why {
		p.lines("- ", s)
	}
	p.heading("Running text", "=")
	for _, s := range l.Markdown {
		p.lines("- ", s)
	}
	p.heading("Kinds of file", "=")
	p.lines("", "A file ends in .md and starts with front matter: YAML between lines of ---. Lines marked (must) cannot be left out.")
	for _, f := range l.Files {
		p.heading(f.Name, "-")
		p.lines("", f.Means)
		p.terms(f.Fields)
		p.WriteString("\n")
		p.source(f.Example)
	}
	p.heading("Kinds of block", "=")
	p.lines("", "What stands in [brackets] may be left out. Attributes marked (must) cannot.")
	for _, b := range l.Blocks {
		p.heading(b.Form, "-")
		p.lines("", b.Means)
		p.lines("In: ", b.Places+".")
		p.lines("Holds: ", b.Holds)
		if b.Pages != "" {
			p.lines("Shown on: ", b.Pages)
			p.lines("In the refitting: ", b.Back)
		}
		p.terms(b.terms())
		p.WriteString("\n")
		p.source(b.Example)
	}
	p.heading("Types of question", "=")
	for _, q := range l.Questions {
		p.heading(q.Name, "-")
		p.lines("", q.Means)
		p.WriteString("\n")
		p.source(q.Example)
	}
	p.heading("Registers", "=")
	for _, r := range l.Registers {
		p.heading(r.Name, "-")
		p.lines("", r.Means)
		p.terms(r.Columns)
	}
	p.heading("Verbs of the actions", "=")
	p.lines("", "Several names are separated by commas. A reason may follow any action, after a colon.")
	for _, v := range l.Verbs {
		p.WriteString("  " + v.Form + "\n")
		p.lines("      ", v.Means)
	}
	p.heading("Values", "=")
	p.terms(l.Values)
	p.heading("Units", "=")
	for _, g := range l.Units {
		p.WriteString(g.Dimension + "\n")
		for _, u := range g.Units {
			p.lines(fmt.Sprintf("  %-9s ", u.Symbol), unitWords(u))
		}
	}
	return p.String()
}

// unitWords is a unit's row in one sentence.
func unitWords(u unit) string {
	s := u.Name
	if u.Equals != "" {
		s += ", " + u.Equals
	}
	if u.Also != "" {
		s += "; also " + u.Also
	}
	return s
}

// Explain says what a code means, with its example, as plain text in a language; nil is English, which examples always are.
// ok is false for a code that does not exist.
func Explain(code string, l say.Language) (explanation string, ok bool) {
	cases, err := examples.All()
	if err != nil {
		// The cases are built in, and a test reads them all.
		panic(fmt.Sprintf("reference: %v", err))
	}
	for _, r := range Rules() {
		if string(r.Code) != code {
			continue
		}
		var p printed
		p.heading(r.Severity.In(l)+" "+code+": "+l.Of(r.Title), "-")
		p.lines(say.That("What is wrong:  ").In(l), l.Of(r.Wrong))
		p.lines(say.That("Why it matters: ").In(l), l.Of(r.Why))
		p.lines(say.That("What to do:     ").In(l), l.Of(r.Do))
		for _, c := range cases {
			if c.Code == code {
				p.example(c, l)
			}
		}
		return p.String(), true
	}
	return "", false
}

// example writes a case: the wrong lines, the message, the right lines. What stands around them is in a language.
func (p *printed) example(c examples.Case, l say.Language) {
	if c.Remark != "" {
		p.WriteString("\n")
		p.lines("", c.Remark)
	}
	for _, part := range c.Bad {
		p.WriteString("\n" + say.That("Wrong, %place:", place(part)).In(l) + "\n\n")
		p.source(c.Shown(part))
	}
	p.WriteString("\n" + say.That("The message:").In(l) + "\n\n")
	p.source(c.Message)
	for _, part := range c.Good {
		p.WriteString("\n" + say.That("Right, %place:", place(part)).In(l) + "\n\n")
		p.source(c.Shown(part))
	}
}

// place says where a part of a case stands.
func place(p examples.Part) say.Text {
	switch placeKind(p) {
	case "machine":
		return say.That("in a machine file")
	case "procedure":
		return say.That("in a procedure file")
	case "step":
		return say.That("in a step")
	case "quiz":
		return say.That("in a quiz file")
	}
	return say.That("in %file", say.Name(p.Place))
}

// placeKind is machine, procedure, step, quiz or file, for a place of a case's own as well.
func placeKind(p examples.Part) string {
	switch {
	case p.InFile():
		return "file"
	case slices.ContainsFunc(source.RegisterForms(), func(r source.RegisterForm) bool { return string(r.Kind) == p.Place }):
		return "machine"
	case p.Place == "actions":
		return "step"
	}
	return p.Place
}
