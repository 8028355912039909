package main

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"strings"
	"sync"

	"github.com/alecthomas/kong"

	"matchmark/procedure/say"
)

//go:embed help.de.json
var germanHelp []byte

// readGermanHelp reads the German help texts, by their English paragraphs. A test holds them against the commands.
var readGermanHelp = sync.OnceValue(func() (l say.Language) {
	if err := json.Unmarshal(germanHelp, &l); err != nil {
		panic(fmt.Sprintf("the help texts are damaged: %v", err)) // they are built in, and a test reads them
	}
	return l
})

// helpLanguage is what help texts are said in, by the code of a language; nil, which is English, for one that has none.
func helpLanguage(code string) say.Language {
	if code == "de" {
		return readGermanHelp()
	}
	return nil
}

// paragraphs is a help text in a language, each of its paragraphs by itself.
func paragraphs(l say.Language, text string) string {
	all := strings.Split(text, "\n\n")
	for i, p := range all {
		all[i] = l.Of(p)
	}
	return strings.Join(all, "\n\n")
}

// helpTexts are the texts of a command and of those below it that its help shows.
func helpTexts(n *kong.Node) []*string {
	texts := []*string{&n.Help, &n.Detail}
	for _, a := range n.Positional {
		texts = append(texts, &a.Help)
	}
	for _, f := range n.Flags {
		if !f.Hidden {
			texts = append(texts, &f.Help)
		}
	}
	for _, c := range n.Children {
		texts = append(texts, helpTexts(c)...)
	}
	return texts
}

// sayHelp says the help texts in a language.
func sayHelp(app *kong.Application, l say.Language) {
	for _, text := range helpTexts(app.Node) {
		*text = paragraphs(l, *text)
	}
}

// askedMessages is the value of --messages on a command line; empty when it is not there. The help, and what is wrong with
// a command line, are said before the options have their values.
func askedMessages(args []string) string {
	for i, word := range args {
		if word == "--" {
			break
		}
		if value, is := strings.CutPrefix(word, "--messages="); is {
			return value
		}
		if word == "--messages" && i+1 < len(args) {
			return args[i+1]
		}
	}
	return ""
}

// messages is the language that is asked for once and for all.
func (s *settings) messages() string {
	if value, is := s.value("", s.all, "messages").(string); is {
		return value
	}
	return "library"
}
