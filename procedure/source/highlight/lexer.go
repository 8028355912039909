// Package highlight colours the dialect: for the reference pages as HTML with
// classes, for a terminal line by line. The lexer takes its words from the same
// tables as the reader.
package highlight

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/alecthomas/chroma/v2"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// lexer knows the dialect. Its states are: root, matter (front matter), opening
// (a fence's opening line), attributes (its braces), actions and figure (the
// lists in those blocks), act (one task), heading (a table's first row), code (a fenced code
// block) and line (one line without what stands around it).
var lexer = chroma.MustNewLexer(&chroma.Config{Name: "matchmark"}, func() chroma.Rules {
	return chroma.Rules{
		"root": slices.Concat([]chroma.Rule{
			rule(`\A(\uFEFF?)(---)([ \t]*(?:\r?\n|\z))`, chroma.ByGroups(chroma.Text, chroma.Punctuation, chroma.Text), chroma.Push("matter")),
		}, fenceRules, taskRules, blockRules, inlineRules),
		"act": slices.Concat(actRules, actionRules, inlineRules),
		"line": slices.Concat([]chroma.Rule{
			rule(`\A([ \t]*(?:- )?)([a-z][a-z-]*)(:)(?=[ \t]|\z)`, chroma.ByGroups(chroma.Text, chroma.NameAttribute, chroma.Punctuation)),
		}, fenceRules, taskRules, balloonRules, actionRules, blockRules, inlineRules),
		"matter":     matterRules,
		"opening":    openingRules,
		"attributes": attributeRules,
		"actions":    slices.Concat(leaveRules, taskRules, actionRules, blockRules, inlineRules),
		"figure":     slices.Concat(leaveRules, balloonRules, blockRules, inlineRules),
		"heading": {
			rule(`\|`, chroma.Punctuation, patient{}),
			rule(`[^|\r\n]+`, chroma.NameAttribute),
			rule(`\r?\n`, chroma.Text, chroma.Pop(1)),
			rule(`\r`, chroma.Text),
		},
		"comment": {
			rule(`-->`, chroma.Comment, chroma.Pop(1)),
			rule(`[^-]+|-`, chroma.Comment),
		},
		"code": {
			rule(`^[ \t]*(?:`+"```+|~~~+"+`)[ \t]*(?:\r?\n|\z)`, chroma.LiteralStringBacktick, chroma.Pop(1)),
			rule(`[^\n]*(?:\n|\z)`, chroma.LiteralStringBacktick),
		},
	}
})

// patient takes the lexer's time limit on a pattern away. With it, colours would
// depend on how busy the machine is, and the same input must give the same page.
type patient struct{}

// Mutate changes nothing while a text is read.
func (patient) Mutate(*chroma.LexerState) error { return nil }

// MutateLexer changes all patterns once they are compiled, and then takes itself out of the rules.
func (patient) MutateLexer(rules chroma.CompiledRules, state string, at int) error {
	for _, list := range rules {
		for _, r := range list {
			r.Regexp.MatchTimeout = time.Duration(math.MaxInt64)
		}
	}
	rules[state][at].Mutator = nil
	return nil
}

// rule is a pattern, what it matches, and where the lexer goes then.
func rule(pattern string, token chroma.Emitter, then ...chroma.Mutator) chroma.Rule {
	r := chroma.Rule{Pattern: pattern, Type: token}
	if len(then) > 0 {
		r.Mutator = then[0]
	}
	return r
}

// matterRules read the part of YAML that front matter is written in.
var matterRules = []chroma.Rule{
	rule(`^(---)([ \t]*)(?=\r?\n|\z)`, chroma.ByGroups(chroma.Punctuation, chroma.Text), chroma.Pop(1)),
	rule(`^([ \t]*(?:- +)*)([A-Za-z][\w-]*)(:)(?=[ \t\r\n]|\z)`, chroma.ByGroups(chroma.Text, chroma.NameAttribute, chroma.Punctuation)),
	rule(`(?<=^|[ \t])#[^\r\n]*`, chroma.Comment),
	rule(`"(?:\\.|[^"\\\r\n])*"|'(?:''|[^'\r\n])*'`, chroma.LiteralStringDouble),
	rule(`(?<=[ \t])-?\d+(?:\.\d+)?(?=[ \t]*(?:\r?\n|\z))`, chroma.LiteralNumber),
	rule(`[^\s#"']+|[\s\S]`, chroma.Text),
}

// kinds of block whose lists have a form of their own.
const listKinds = `fasteners|actions`

// fenceRules read lines of colons; the longer forms come first.
var fenceRules = []chroma.Rule{
	rule(`^([ ]{0,3})(:{3,})([ \t]*)(?=\r?\n|\z)`, chroma.ByGroups(chroma.Text, chroma.Punctuation, chroma.Text)),
	rule(`^([ ]{0,3})(:{3,})([ \t]*)(`+listKinds+`)(?=[ \t\r\n"{]|\z)`, fenceStart, chroma.Push("actions", "opening")),
	rule(`^([ ]{0,3})(:{3,})([ \t]*)(figure)(?=[ \t\r\n"{]|\z)`, fenceStart, chroma.Push("figure", "opening")),
	rule(`^([ ]{0,3})(:{3,})([ \t]*)([^\s"{]+)`, fenceStart, chroma.Push("opening")),
}

var fenceStart = chroma.ByGroups(chroma.Text, chroma.Punctuation, chroma.Text, chroma.Keyword)

// leaveRules end a list at the next line of colons, be it a closing one or another block's.
var leaveRules = []chroma.Rule{rule(`^(?=[ ]{0,3}:{3})`, nil, chroma.Pop(1))}

var openingRules = []chroma.Rule{
	rule(`"(?:\\.|[^"\\\r\n])*"?`, chroma.LiteralStringDouble),
	rule(`\{`, chroma.Punctuation, chroma.Push("attributes")),
	rule(`\r?\n`, chroma.Text, chroma.Pop(1)),
	rule(`[ \t\r]+`, chroma.Text),
	rule(`[^\s"{]+`, chroma.NameFunction),
}

var attributeRules = []chroma.Rule{
	rule(`\}`, chroma.Punctuation, chroma.Pop(1)),
	rule(`(?=\r?\n)`, nil, chroma.Pop(1)),
	rule(`([^\s="{}]+)(=)("(?:\\.|[^"\\\r\n])*"?|[^\s"{}]*)`, chroma.ByGroups(chroma.NameAttribute, chroma.Punctuation, chroma.LiteralString)),
	rule(`[^\s="{}]+`, chroma.NameAttribute),
	rule(`[\s\S]`, chroma.Text),
}

// taskRules read what a step is made of besides blocks: its heading with a name, attributes on a line of their own, and acts with a box.
var taskRules = []chroma.Rule{
	rule(`^([ ]{0,3}##[ \t][^\r\n]*?)(\{#)([^}\r\n]*)(\})(?=[ \t]*(?:\r?\n|\z))`, chroma.ByGroups(chroma.GenericHeading, chroma.Punctuation, chroma.NameFunction, chroma.Punctuation)),
	rule(`^[ ]{0,3}\{(?!#)`, chroma.Punctuation, chroma.Push("attributes")),
	rule(`^([ \t]*)([-*+])([ \t]+)(\[[ xX]\])([ \t]+)(`+verbs()+`)(?=[ \t:\r\n]|\z)`, chroma.ByGroups(chroma.Text, chroma.Punctuation, chroma.Text, chroma.KeywordConstant, chroma.Text, chroma.NameBuiltin), chroma.Push("act")),
}

// actRules read the rest of an act's line.
var actRules = []chroma.Rule{
	rule(`\{`, chroma.Punctuation, chroma.Push("attributes")),
	rule(`(?=\r?\n)`, nil, chroma.Pop(1)),
}

// actionRules read "- remove 4, 5", with the verbs of the domain.
var actionRules = []chroma.Rule{
	rule(`^([ \t]*)([-*+])([ \t]+)(`+verbs()+`)(?=[ \t:\r\n]|\z)`, chroma.ByGroups(chroma.Text, chroma.Punctuation, chroma.Text, chroma.NameBuiltin)),
	rule(`(?<=[ \t])(?:`+prepositions()+`)(?=[ \t\r\n])`, chroma.OperatorWord),
	rule(`(?<=[ \t,])\d{1,3}(?=[ \t]*(?:[,:\r\n]|\z))`, chroma.LiteralNumberInteger),
}

// balloonRules read "- 4 at 120,80 balloon 60,40".
var balloonRules = []chroma.Rule{
	rule(`^([ \t]*)([-*+])([ \t]+)(\S+)([ \t]+)(at)(?=[ \t])`, chroma.ByGroups(chroma.Text, chroma.Punctuation, chroma.Text, chroma.LiteralNumberInteger, chroma.Text, chroma.OperatorWord)),
	rule(`(?<=[ \t])balloon(?=[ \t])`, chroma.OperatorWord),
	rule(`(?<=[ \t])-?\d+(?:\.\d+)?,-?\d+(?:\.\d+)?(?![^\s])`, chroma.LiteralNumber),
}

// blockRules read what Markdown sees at the start of a line.
var blockRules = []chroma.Rule{
	rule(`^[ ]{0,3}(?:`+"```+|~~~+"+`)[^\n]*(?:\n|\z)`, chroma.LiteralStringBacktick, chroma.Push("code")),
	rule(`^[ ]{0,3}#{1,6}[ \t][^\r\n]*`, chroma.GenericHeading),
	rule(`^(?=[ ]{0,3}\|[^\n]*\n[ ]{0,3}\|?[ \t]*:?-+:?[ \t]*(?:\||\r?\n))`, nil, chroma.Push("heading")),
	rule(`^[ ]{0,3}\|?(?:[ \t]*:?-+:?[ \t]*\|)+(?:[ \t]*:?-+:?)?[ \t]*(?=\r?\n|\z)`, chroma.Punctuation),
	rule(`^([ \t]*)([-*+]|\d{1,9}[.)])([ \t]+)(\[[ x]\])(?=[ \t])`, chroma.ByGroups(chroma.Text, chroma.Punctuation, chroma.Text, chroma.KeywordConstant)),
	rule(`^([ \t]*)([-*+]|\d{1,9}[.)])(?=[ \t])`, chroma.ByGroups(chroma.Text, chroma.Punctuation)),
	rule(`^([ \t]*)(>)`, chroma.ByGroups(chroma.Text, chroma.Punctuation)),
}

// inlineRules read running text. The last one takes anything, so that no input is left over.
var inlineRules = []chroma.Rule{
	rule(`<!--`, chroma.Comment, chroma.Push("comment")),
	rule("(`+)(?!`)[^\r\n]*?(?<!`)\\1(?!`)", chroma.LiteralStringBacktick),
	rule(`\*\*(?=\S)[^*\r\n]+\*\*`, chroma.GenericStrong),
	rule(`(?<!\w)([*_])(?=\S)[^*_\r\n]+\1(?!\w)`, chroma.GenericEmph),
	rule(`(\[)([^\[\]\r\n]+)(\]\()([^()\s]+)(\))`, chroma.ByGroups(chroma.Punctuation, chroma.NameTag, chroma.Punctuation, chroma.NameFunction, chroma.Punctuation)),
	rule(`(?<![\p{L}\d.,])-?\d+(?:\.\d+)?[ \u00A0]?(?:`+units()+`)(?![\p{L}\d])`, chroma.LiteralNumber),
	rule(`\\[^\w\s]`, chroma.Text),
	rule(`(?<!\\)\|`, chroma.Punctuation),
	rule(`[\p{L}]+|[^\S\n]+|[\s\S]`, chroma.Text),
}

// verbs lists the domain's verbs as a pattern, the longer ones first.
func verbs() string {
	var words []string
	for _, v := range procedure.VerbRules {
		words = append(words, string(v.Verb))
	}
	return oneOf(words)
}

func prepositions() string {
	var words []string
	for _, v := range procedure.VerbRules {
		if v.Word != "" && !slices.Contains(words, v.Word) {
			words = append(words, v.Word)
		}
	}
	return oneOf(words)
}

// units lists the spellings of units as a pattern. The inch is left out: "2 in
// the crate" is no length.
func units() string {
	var words []string
	for _, u := range measure.Units() {
		for _, s := range append([]string{u.Symbol}, u.Aliases...) {
			if s != "in" {
				words = append(words, s)
			}
		}
	}
	return oneOf(words)
}

// oneOf makes a pattern of words, the longest first so that "N·m" is not taken for "N".
func oneOf(words []string) string {
	slices.SortStableFunc(words, func(a, b string) int { return len(b) - len(a) })
	for i, w := range words {
		words[i] = regexp.QuoteMeta(w)
	}
	return strings.Join(words, "|")
}
