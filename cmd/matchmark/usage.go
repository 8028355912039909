package main

import (
	"errors"
	"regexp"
	"strings"

	"github.com/alecthomas/kong"

	"matchmark/procedure/say"
)

// unexpected is what the parser says of a word that it has no use for.
var unexpected = regexp.MustCompile(`(?s)^unexpected (?:argument|token) (.*?)(?:, did you mean (.*)\?)?$`)

// usageWords turn what the parser says of a command line into our words: the first one that fits. Ours are made of what the pattern caught.
var usageWords = []struct {
	theirs *regexp.Regexp
	ours   func(caught []string) say.Text
}{
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected \S+ value but got ".*\((?:long flag|short flag|short flag tail)\)(?:; perhaps try.*)?$`), func(c []string) say.Text {
		return say.That("%option needs a value; write one that begins with - as %option=VALUE", say.Word(c[1]))
	}},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: (?:expected \S+ value but got "EOL"|missing value).*$`), func(c []string) say.Text {
		return say.That("%option needs a value", say.Word(c[1]))
	}},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected a valid \d+ bit u?int but got (".*")$`), func(c []string) say.Text {
		return say.That("%option: %value is not a whole number", say.Word(c[1]), say.Name(c[2]))
	}},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected an? (?:int|float) but got (".*") \(.*\)$`), func(c []string) say.Text {
		return say.That("%option: %value is not a number", say.Word(c[1]), say.Name(c[2]))
	}},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: (?:(?:\S+ )?bool value must be .* but got (".*")|expected bool but got (".*") \(.*\))$`), func(c []string) say.Text {
		return say.That("%option: %value is neither true nor false", say.Word(c[1]), say.Name(c[2]+c[3]))
	}},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: (.*)$`), func(c []string) say.Text {
		return say.That("%option: %problem", say.Word(c[1]), say.Foreign(c[2]))
	}},
	{regexp.MustCompile(`(?s)^unexpected flag argument (".*")$`), func(c []string) say.Text {
		return say.That("unexpected value %value", say.Name(c[1]))
	}},
	{unexpected, func(c []string) say.Text {
		return withNear(say.That("unexpected word %word", say.Name(c[1])), c[2])
	}},
	{regexp.MustCompile(`(?s)^unknown flag (.*?)(?:, did you mean (.*)\?)?$`), func(c []string) say.Text {
		return withNear(say.That("unknown option %option", say.Name(c[1])), c[2])
	}},
	{regexp.MustCompile(`(?s)^missing flags: (--[\w-]+)=(\S+)(.*)$`), func(c []string) say.Text {
		return missing(c[1] + " " + c[2] + c[3])
	}},
	{regexp.MustCompile(`(?s)^expected one of .*$`), func([]string) say.Text { return say.That("no command is named") }},
	{regexp.MustCompile(`(?s)^(?:expected|missing positional arguments) (.*)$`), func(c []string) say.Text { return missing(c[1]) }},
}

// missing names what a command line lacks, as the help does.
func missing(what string) say.Text {
	return say.That("missing: %what", say.Name(strings.NewReplacer("<", "", ">", "", `"`, "").Replace(plainHelp.Replace(what))))
}

// withNear adds the names that are much like one that nobody knows, as the parser lists them.
func withNear(problem say.Text, near string) say.Text {
	if several, is := strings.CutPrefix(near, "one of "); is {
		return say.That("%problem, did you mean one of %names?", problem, say.Name(several))
	}
	if near != "" {
		return say.That("%problem, did you mean %near?", problem, say.Name(near))
	}
	return problem
}

// badValue is what is wrong with the value of an option, when it is one of our own kinds.
type badValue struct{ wrong say.Text }

// Error returns what is wrong.
func (b *badValue) Error() string { return b.wrong.String() }

// choice is what the parser says of an option with a word that it does not take.
var choice = regexp.MustCompile(`(?s)^(--[\w-]+|<\w+>)(?:=\S+)? must be one of ("[^"]*"(?:,"[^"]*")*) but got (".*")$`)

// wrongUsage says what is wrong with a command line, or with the settings that complete it; nil are none.
func wrongUsage(err error, from *settings) error {
	var ours *failure
	if errors.As(err, &ours) {
		return ours
	}
	f := &failure{code: exitUsage, problem: plainUsage(err), do: say.That(`"matchmark --help" lists commands and options`)}
	var at *kong.ParseError
	if !errors.As(err, &at) {
		return f
	}
	if m := blamed.FindStringSubmatch(err.Error()); m != nil && from != nil && from.blames(f, m[1]) {
		return f
	}
	if at.Context.Selected() != nil {
		f.do = say.That(`"matchmark %command --help" lists its options`, say.Word(at.Context.Selected().Name))
	} else if word := unexpected.FindStringSubmatch(err.Error()); word != nil {
		f.problem = withNear(say.That("unknown command %word", say.Name(word[1])), word[2])
	}
	return f
}

// blamed finds the option that the parser blames.
var blamed = regexp.MustCompile(`^--([\w-]+)`)

// optionOf finds the option in front of what is wrong with its value.
var optionOf = regexp.MustCompile(`^(--[\w-]+)(?:=\S+)?: `)

// plainUsage says in our words what the parser says in those of programmers.
func plainUsage(err error) say.Text {
	theirs := err.Error()
	if m := choice.FindStringSubmatch(theirs); m != nil {
		words := strings.Split(strings.ReplaceAll(m[2], `"`, ""), ",")
		if words[0] == "" {
			words = words[1:] // nothing given
		}
		return say.That("%option: %value is not possible; write %words", say.Word(strings.Trim(m[1], "<>")), say.Name(m[3]), say.Each[say.Word](say.Or, words))
	}
	var bad *badValue
	if m := optionOf.FindStringSubmatch(theirs); m != nil && errors.As(err, &bad) {
		return say.That("%option: %problem", say.Word(m[1]), bad.wrong)
	}
	for _, w := range usageWords {
		if caught := w.theirs.FindStringSubmatch(theirs); caught != nil {
			return w.ours(caught)
		}
	}
	return say.Why(err)
}
