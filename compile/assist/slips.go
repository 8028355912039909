package assist

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// What people write who come from a word processor, and how it is meant most likely. The author looks at each before it is
// carried out: no word is lost by any of them.

// slipOf are the repairs of such slips by the code of the message.
var slipOf = map[diagnostic.Code]func(diagnostic.Diagnostic, *Lists) []Remedy{
	"bad-name":        badName,
	"act-without-box": only(boxed),
	"task-form":       only(uncoded),
	"caution-as-text": only(asCaution),
	"unknown-verb":    only(unknownVerb),
	"heading-form":    only(asHeading, levelTwo),
	"unclosed-block":  only(closed),
	"attribute-value": only(plainValue),
	"bad-time":        only(slashes, plainTime),
	"fence-syntax":    only(apart, threeColons),
	"raw-html":        only(withoutTag),

	"missing-attribute": only(braced),
}

// only is the first of some repairs that has something to offer, where no list of the machine is looked at.
func only(repairs ...func(diagnostic.Diagnostic) []Remedy) func(diagnostic.Diagnostic, *Lists) []Remedy {
	return func(d diagnostic.Diagnostic, _ *Lists) []Remedy {
		for _, repair := range repairs {
			if out := repair(d); out != nil {
				return out
			}
		}
		return nil
	}
}

// seen shows words of a file with the white space that they differ by.
func seen(words string) say.Word { return say.Word(strconv.Quote(words)) }

// instead writes other words in a place.
func instead(at text.Span, words string) []Remedy {
	if words == "" || words == at.Text() {
		return nil
	}
	return []Remedy{{Title: say.That("Write %new instead of %old", seen(words), seen(at.Text())), Edits: []rewrite.Edit{{Span: at, Text: words}}}}
}

var (
	reasonBehind = regexp.MustCompile(`^([a-z0-9-]+(?:, *[a-z0-9-]+)*) +(?:[-–—] +(.+)|\((.+)\))$`)
	openBraces   = regexp.MustCompile(`^[^{}]*\{[^{}]*$`)
	nameWords    = regexp.MustCompile(`[A-Za-z0-9_-]+`)
	notName      = regexp.MustCompile(`[^a-z0-9]+`)
)

// fillers are words in front of a name that say nothing of it.
var fillers = []string{"the", "a", "an", "and", "bolt", "bolts", "screw", "screws", "nut", "nuts", "no", "nr", "number", "part"}

// badName writes what stands in the place of a name as one: the name of the machine's lists that is in it, with a reason
// behind a colon, or its words in small letters with hyphens.
func badName(d diagnostic.Diagnostic, lists *Lists) []Remedy {
	words := d.Span.Text()
	if head, rest, cut := strings.Cut(words, "\n"); cut {
		return instead(d.Span, head+"\n\n"+rest) // a paragraph that the list took in
	}
	if m := reasonBehind.FindStringSubmatch(words); m != nil {
		return instead(d.Span, m[1]+": "+m[2]+m[3])
	}
	if openBraces.MatchString(words) {
		return instead(d.Span, words+"}")
	}
	if r := anotherAct(d.Span); r != nil {
		return r
	}
	if r := otherNumbers(d); r != nil {
		return r
	}
	var known []string
	other := false
	for _, w := range nameWords.FindAllString(words, -1) {
		w = strings.ToLower(strings.ReplaceAll(w, "_", "-"))
		switch {
		case lists.has(w):
			known = append(known, w)
		case !slices.Contains(fillers, w):
			other = true
		}
	}
	if len(known) > 0 && !other {
		return instead(d.Span, strings.Join(known, ", "))
	}
	name := strings.Trim(notName.ReplaceAllString(strings.ToLower(words), "-"), "-")
	if short := strings.TrimPrefix(name, "the-"); lists.has(short) || short != name {
		name = short
	}
	if strings.HasSuffix(string(d.Span.File.Source[:d.Span.Start]), "{#") {
		name = strings.TrimLeft(name, "0123456789-") // the name of a step begins with a letter
	}
	if name != "" && name[0] >= '0' && name[0] <= '9' && !numberForm.MatchString(name) {
		return nil // which of the two was meant nobody knows
	}
	return instead(d.Span, name)
}

// has reports whether the machine has a thing of that name.
func (l *Lists) has(id string) bool { return l != nil && l.ids[id] }

var betweenActs = regexp.MustCompile(`(?:,|;|,? and|,? then)[ \t]*$`)

// anotherAct puts an act that stands behind another one on a line of its own.
func anotherAct(at text.Span) []Remedy {
	line := lineAt(at)
	task := taskLine.FindString(line.Text())
	before := line.Text()[:at.Start-line.Start]
	m := betweenActs.FindStringIndex(before)
	if task == "" || m == nil || verbAt(at.Text()) == "" {
		return nil
	}
	span := at.File.Span(line.Start+m[0], at.End)
	return []Remedy{{Title: say.That("Write %words on a line of its own", seen(at.Text())), Edits: []rewrite.Edit{{Span: span, Text: "\n" + task + at.Text()}}}}
}

// verbAt is the verb that words begin with; empty for none.
func verbAt(words string) string {
	for _, rule := range procedure.VerbRules {
		if strings.HasPrefix(words, string(rule.Verb)+" ") {
			return string(rule.Verb)
		}
	}
	return ""
}

var markedAct = regexp.MustCompile("^([ \t]*[-*+] \\[ \\] )(?:\\*\\*|`|_|\\*)(.+?)(?:\\*\\*|`|_|\\*)([ \t]*\r?\n?)$")

// unknownVerb takes marks off an act, finds the verb of another form of it, or takes the box from a sentence that is none.
func unknownVerb(d diagnostic.Diagnostic) []Remedy {
	line := lineAt(d.Span)
	if m := markedAct.FindStringSubmatch(line.Text()); m != nil && verbAt(m[2]) != "" {
		return []Remedy{{Title: say.That("Take the marks off the act"), Edits: []rewrite.Edit{{Span: line, Text: m[1] + m[2] + m[3]}}}}
	}
	word := strings.ToLower(d.Span.Text())
	for _, rule := range procedure.VerbRules {
		verb := string(rule.Verb)
		if stem := strings.TrimSuffix(verb, "e"); len(stem) >= 3 && (word == stem+"ing" || word == stem+"ed" || word == stem+"es" || word == stem+"s") {
			return instead(d.Span, verb)
		}
	}
	task := taskLine.FindString(line.Text())
	if first := d.Span.Text(); task != "" && first != "" && first[0] >= 'A' && first[0] <= 'Z' {
		bullet := strings.TrimRight(task[:strings.Index(task, "[")], " \t")
		return []Remedy{{Title: say.That("Take the box out: nothing is done to the machine"), Edits: []rewrite.Edit{{Span: line.Sub(0, len(task)), Text: bullet + " "}}}}
	}
	return nil
}

var marksOfHeading = regexp.MustCompile(`^#+`)

func levelTwo(d diagnostic.Diagnostic) []Remedy {
	line := lineAt(d.Span)
	m := marksOfHeading.FindStringIndex(line.Text())
	if m == nil {
		return nil
	}
	return instead(line.Sub(m[0], m[1]), "##")
}

var namedClosing = regexp.MustCompile(`^[ \t]*:::+[ \t]*(?:end|/)`)

// closed closes a block: where somebody wrote the end in another way, else at the first empty line.
func closed(d diagnostic.Diagnostic) []Remedy {
	f := d.Span.File
	first := f.LineOf(d.Span.Start)
	last := f.LineOf(closing(f, first))
	begun := false
	for n := first; n <= last; n++ {
		start, end := f.LineBounds(n)
		words := strings.TrimSpace(string(f.Source[start:end]))
		switch {
		case namedClosing.MatchString(words):
			return instead(f.Span(start, end), ":::")
		case n > first && words == "" && begun:
			return []Remedy{{Title: say.That("Close the block here"), Edits: []rewrite.Edit{{Span: f.Span(start, start), Text: ":::\n"}}}}
		case n > first && words != "":
			begun = true
		}
	}
	return nil
}

var colons = regexp.MustCompile(`^[ \t]*:[ \t]*:[: \t]*`)

// threeColons writes the opening or closing line of a block as such.
func threeColons(d diagnostic.Diagnostic) []Remedy {
	line := lineAt(d.Span)
	m := colons.FindStringIndex(line.Text())
	if m == nil {
		return nil
	}
	rest := strings.NewReplacer("“", `"`, "”", `"`, "„", `"`, "‟", `"`).Replace(strings.TrimRight(line.Text()[m[1]:], "\r\n"))
	whole := line.Sub(0, len(strings.TrimRight(line.Text(), "\r\n")))
	return instead(whole, strings.TrimRight("::: "+rest, " "))
}

var numberWords = map[string]string{"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9", "ten": "10"}

// plainValue writes a value in small letters, or a number in figures.
func plainValue(d diagnostic.Diagnostic) []Remedy {
	words := strings.ToLower(d.Span.Text())
	if n := numberWords[words]; n != "" {
		words = n
	}
	return instead(d.Span, words)
}

var dashedTimes = regexp.MustCompile(`\btime="?([0-9]+)[-–—]([0-9]+)(?:[-–—]([0-9]+))?"?`)

// slashes writes the times of a step as they are written: at best, most likely, at worst.
func slashes(d diagnostic.Diagnostic) []Remedy {
	line := lineAt(d.Span)
	m := dashedTimes.FindStringSubmatchIndex(line.Text())
	if m == nil || m[6] < 0 {
		return nil
	}
	words := line.Text()
	return instead(line.Sub(m[0], m[1]), fmt.Sprintf("time=%s/%s/%s", words[m[2]:m[3]], words[m[4]:m[5]], words[m[6]:m[7]]))
}

var tag = regexp.MustCompile(`^</?[A-Za-z][^<>]*>$`)

// withoutTag takes a tag out, and leaves the words that it is around.
func withoutTag(d diagnostic.Diagnostic) []Remedy {
	if !tag.MatchString(d.Span.Text()) {
		return nil
	}
	return []Remedy{{Title: say.That("Take %words out", say.Name(d.Span.Text())), Edits: []rewrite.Edit{{Span: d.Span}}}}
}
