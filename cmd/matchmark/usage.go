package main

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"github.com/alecthomas/kong"
)

// usageWords turn what the parser says of a command line into our words: the first one that fits.
var usageWords = []struct {
	theirs *regexp.Regexp
	ours   string
}{
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected \S+ value but got ".*\((?:long flag|short flag|short flag tail)\)(?:; perhaps try.*)?$`), `$1 needs a value; write one that begins with - as $1=VALUE`},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected \S+ value but got "EOL".*$`), `$1 needs a value`},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: missing value.*$`), `$1 needs a value`},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected a valid \d+ bit u?int but got (".*")$`), `$1: $2 is not a whole number`},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected an? (?:int|float) but got (".*") \(.*\)$`), `$1: $2 is not a number`},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: (?:\S+ )?bool value must be .* but got (".*")$`), `$1: $2 is neither true nor false`},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: expected bool but got (".*") \(.*\)$`), `$1: $2 is neither true nor false`},
	{regexp.MustCompile(`(?s)^(--[\w-]+)(?:=\S+)?: (.*)$`), `$1: $2`},
	{regexp.MustCompile(`(?s)^unexpected flag argument (".*")$`), `unexpected value $1`},
	{regexp.MustCompile(`(?s)^unexpected (?:argument|token) (.*)$`), `unexpected word $1`},
	{regexp.MustCompile(`(?s)^unknown flag (.*)$`), `unknown option $1`},
	{regexp.MustCompile(`(?s)^missing flags: (--[\w-]+)=(\S+)(.*)$`), `missing: $1 $2$3`},
	{regexp.MustCompile(`(?s)^expected one of .*$`), `no command is named`},
	{regexp.MustCompile(`(?s)^(?:expected|missing positional arguments) (.*)$`), `missing: $1`},
}

// choice is what the parser says of an option with a word that it does not take.
var choice = regexp.MustCompile(`(?s)^(--[\w-]+|<\w+>)(?:=\S+)? must be one of ("[^"]*"(?:,"[^"]*")*) but got (".*")$`)

// wrongUsage says what is wrong with a command line.
func wrongUsage(err error) error {
	var ours *failure
	if errors.As(err, &ours) {
		return ours
	}
	f := &failure{code: exitUsage, problem: plainUsage(err.Error()), do: `"matchmark --help" lists commands and options`}
	var at *kong.ParseError
	if !errors.As(err, &at) {
		return f
	}
	if at.Context.Selected() == nil {
		f.problem = strings.Replace(f.problem, "unexpected word ", "unknown command ", 1)
	} else {
		f.do = fmt.Sprintf(`"matchmark %s --help" lists its options`, at.Context.Selected().Name)
	}
	return f
}

// plainUsage says in our words what the parser says in those of programmers.
func plainUsage(theirs string) string {
	if m := choice.FindStringSubmatch(theirs); m != nil {
		words := strings.Split(strings.ReplaceAll(m[2], `"`, ""), ",")
		if words[0] == "" {
			words = words[1:] // nothing given
		}
		return fmt.Sprintf("%s: %s is not possible; write %s", strings.Trim(m[1], "<>"), m[3], oneOf(words))
	}
	for _, w := range usageWords {
		if w.theirs.MatchString(theirs) {
			ours := plainHelp.Replace(w.theirs.ReplaceAllString(theirs, w.ours))
			if strings.HasPrefix(ours, "missing: ") {
				ours = strings.NewReplacer("<", "", ">", "", `"`, "").Replace(ours)
			}
			return ours
		}
	}
	return theirs
}
