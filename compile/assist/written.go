package assist

import (
	"fmt"
	"regexp"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Acts, cautions and attributes that were written with the marks of a word processor or of another Markdown.

// replaced is a remedy that writes other words in a place.
func replaced(title say.Text, at text.Span, words string) []Remedy {
	if words == at.Text() {
		return nil
	}
	return []Remedy{{Title: title, Edits: []rewrite.Edit{{Span: at, Text: words}}}}
}

// wordsOf is a line without its end.
func wordsOf(line text.Span) text.Span {
	return line.Sub(0, len(strings.TrimRight(line.Text(), "\r\n")))
}

// nextLine is the line below; false at the end of the file.
func nextLine(line text.Span) (text.Span, bool) {
	if line.End >= len(line.File.Source) {
		return line, false
	}
	return lineAt(line.File.Span(line.End, line.End)), true
}

// named is the name or word that a message's advice has first; empty for none.
func named(d diagnostic.Diagnostic) string {
	for _, p := range d.Advice.Parts() {
		switch p := p.(type) {
		case say.Name:
			return string(p)
		case say.Word:
			return string(p)
		}
	}
	return ""
}

// inBlock reports whether a line stands in a block with colons, such as a tip.
func inBlock(line text.Span) bool {
	f := line.File
	for n := 1; n < f.LineOf(line.Start); n++ {
		start, end := f.LineBounds(n)
		if fenceLine.Match(f.Source[start:end]) && closing(f, n) >= line.End {
			return true
		}
	}
	return false
}

// boxed writes a line that reads like an act as one. A row of a table and a line in a block stay: what becomes of the rest
// there, the author says. So does what is struck through.
func boxed(d diagnostic.Diagnostic) []Remedy {
	line := wordsOf(lineAt(d.Span))
	act, words := named(d), line.Text()
	if act == "" || strings.HasPrefix(strings.TrimSpace(words), "|") || strings.Contains(words, "~~") || inBlock(line) {
		return nil
	}
	return replaced(say.That("Write it as an act"), line, "- [ ] "+act)
}

var codeMarks = regexp.MustCompile("^[ \t]*(?:```|~~~)")

// uncoded writes an act that stands in a block of code at the left margin: one that is set in, or the only line of a block.
func uncoded(d diagnostic.Diagnostic) []Remedy {
	line := lineAt(d.Span)
	act := named(d)
	if act == "" {
		return nil
	}
	if strings.HasPrefix(line.Text(), "    ") || strings.HasPrefix(line.Text(), "\t") {
		return replaced(say.That("Write it at the left margin"), wordsOf(line), "- [ ] "+act)
	}
	below, ok := nextLine(line)
	if above := lineAt(line.File.Span(max(0, line.Start-1), max(0, line.Start-1))); ok && codeMarks.MatchString(above.Text()) && codeMarks.MatchString(below.Text()) {
		return replaced(say.That("Take the marks for code away"), line.File.Span(above.Start, wordsOf(below).End), "- [ ] "+act)
	}
	return nil
}

var (
	quoteMark  = regexp.MustCompile(`^[ \t]*>[ \t]?`)
	signalHead = regexp.MustCompile(`^[^\pL\d]*\pL+[*_ ]*[:!\]]+[*_ ]*`)
	listItem   = regexp.MustCompile(`^[ \t]*(?:[-*+]|\d+[.)])[ \t]`)
)

// asCaution writes a paragraph or a quotation that begins with a signal word as a caution. Its words stay as they are.
func asCaution(d diagnostic.Diagnostic) []Remedy {
	line := lineAt(d.Span)
	signal := named(d)
	if signal == "" || listItem.MatchString(line.Text()) || inBlock(line) {
		return nil
	}
	start, end := line.Start, line.Start
	var words []string
	for ok := true; ok && strings.TrimSpace(line.Text()) != ""; line, ok = nextLine(line) {
		if end > start && (fenceLine.MatchString(line.Text()) || taskLine.MatchString(line.Text())) {
			break
		}
		words = append(words, strings.TrimSpace(quoteMark.ReplaceAllString(line.Text(), "")))
		end = wordsOf(line).End
	}
	words[0] = signalHead.ReplaceAllString(words[0], "")
	if words[0] == "" {
		words = words[1:]
	}
	if len(words) == 0 {
		return nil
	}
	return replaced(say.That("Write it as a caution"), d.Span.File.Span(start, end), fmt.Sprintf("::: caution %s\n%s\n:::", signal, strings.Join(words, "\n")))
}

var (
	headingBold    = regexp.MustCompile(`^[ \t]*(?:\*\*|__)(.+?) *(\{#[^{}]*\}) *(?:\*\*|__) *(\{#[^{}]*\})?[ \t]*$`)
	headingTight   = regexp.MustCompile(`^#{1,6}([^#\s].*\{#[^{}]*\})[ \t]*$`)
	headingMore    = regexp.MustCompile(`^(##[ \t].*\{#[a-z0-9-]+)[ \t]+([^{}]+)\}[ \t]*$`)
	bracketed      = regexp.MustCompile(`^[ \t]*\[?((?:[a-z-]+=(?:"[^"]*"|[^\s\]"]+)[ \t]*)+)\]?[ \t]*$`)
	attributesLine = regexp.MustCompile(`^[ \t]*\{[a-z-]+=[^{}]*\}[ \t]*$`)
	attributesThen = regexp.MustCompile(`^([ \t]*\{[^{}]*\})[ \t]+(\S.*)$`)
)

// asHeading writes the line of a step's title as a heading of the second level.
func asHeading(d diagnostic.Diagnostic) []Remedy {
	line := wordsOf(lineAt(d.Span))
	if m := headingBold.FindStringSubmatch(line.Text()); m != nil {
		return replaced(say.That("Write it as a heading"), line, "## "+m[1]+" "+m[2]+m[3])
	}
	if m := headingTight.FindStringSubmatch(line.Text()); m != nil {
		return replaced(say.That("Write it as a heading"), line, "## "+m[1])
	}
	return nil
}

// apart puts what stands on one line with a step's name or its attributes on the line where it belongs.
func apart(d diagnostic.Diagnostic) []Remedy {
	line := wordsOf(lineAt(d.Span))
	if m := headingMore.FindStringSubmatch(line.Text()); m != nil {
		return replaced(say.That("Write the attributes below the heading"), line, m[1]+"}\n{"+m[2]+"}")
	}
	if m := attributesThen.FindStringSubmatch(line.Text()); m != nil && !strings.HasPrefix(line.Text(), "#") {
		return replaced(say.That("Write the text on a line of its own"), line, m[1]+"\n\n"+m[2])
	}
	return nil
}

// braced puts the attributes of a step that has none where they belong: below its heading, in braces.
func braced(d diagnostic.Diagnostic) []Remedy {
	heading := lineAt(d.Span)
	if !strings.HasPrefix(heading.Text(), "## ") {
		return nil
	}
	for line, ok := nextLine(heading); ok && !strings.HasPrefix(line.Text(), "#"); line, ok = nextLine(line) {
		own := wordsOf(line)
		if m := bracketed.FindStringSubmatch(own.Text()); m != nil {
			return moved(heading, line, "{"+strings.TrimSpace(m[1])+"}")
		}
		if attributesLine.MatchString(own.Text()) {
			return moved(heading, line, strings.TrimSpace(own.Text()))
		}
	}
	return nil
}

// moved writes a line's words below a heading, and takes the line away.
func moved(heading, line text.Span, words string) []Remedy {
	f := heading.File
	return []Remedy{{Title: say.That("Write %words below the heading", say.Name(words)), Edits: []rewrite.Edit{
		{Span: f.Span(heading.End, heading.End), Text: words + "\n"}, {Span: line},
	}}}
}

var (
	dotted  = regexp.MustCompile(`^(\d+)(?:\.{2,3}|…)(\d+)$`)
	broken  = regexp.MustCompile(`[ \t]*<br[ \t]*/?>[ \t]*|[ \t]+(?:and then|then)[ \t]+`)
	wideRun = regexp.MustCompile(`^[\x{FF10}-\x{FF19}]+$`)
)

// otherNumbers writes numbers as an act has them: a range with a hyphen, the digits of this keyboard. What stands behind a
// break, or behind "then", is an act of its own.
func otherNumbers(d diagnostic.Diagnostic) []Remedy {
	words := d.Span.Text()
	if m := dotted.FindStringSubmatch(words); m != nil {
		return instead(d.Span, m[1]+"-"+m[2])
	}
	if wideRun.MatchString(words) {
		return instead(d.Span, strings.Map(func(c rune) rune { return c - 0xFF10 + '0' }, words))
	}
	task := taskLine.FindString(lineAt(d.Span).Text())
	pieces := broken.Split(words, -1)
	if task == "" || len(pieces) < 2 {
		return nil
	}
	for _, piece := range pieces[1:] {
		if verbAt(piece) == "" {
			return nil
		}
	}
	return replaced(say.That("Write each act on a line of its own"), d.Span, strings.Join(pieces, "\n"+task))
}

var wordTime = regexp.MustCompile(`^([a-z]+) min(?:ute|utes)?$`)

// plainTime writes a time in figures, and takes a semicolon away that stands between attributes.
func plainTime(d diagnostic.Diagnostic) []Remedy {
	words := strings.ToLower(d.Span.Text())
	if words == ";" {
		return replaced(say.That("Take the semicolon out"), d.Span, "")
	}
	if m := wordTime.FindStringSubmatch(words); m != nil && numberWords[m[1]] != "" {
		return instead(d.Span, numberWords[m[1]])
	}
	return nil
}
