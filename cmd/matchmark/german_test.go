package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// helpCode is what is typed: options, addresses of things in capitals that an English sentence does not shout, and names of files.
var helpCode = regexp.MustCompile(`--[a-z-]+|MATCHMARK_[A-Z_]+|\b[a-z]+\.(?:md|yaml|html|csv|json|zip|xlsx)\b|"matchmark [a-z]+`)

// Every text that a help shows has its German line, with the same code in it, and no line is left that nothing shows.
func TestHelpIsGerman(t *testing.T) {
	var german map[string]string
	assert.NilError(t, json.Unmarshal(germanHelp, &german))
	parser, err := newParser(&commands{}, &console{}, new(bool))
	assert.NilError(t, err)
	shown := map[string]bool{"Usage:": true, "[options]": true, "Arguments:": true, "Commands:": true, "Options:": true, `Run "matchmark COMMAND --help" for more about a command.`: true}
	for _, text := range helpTexts(parser.Model.Node) {
		for _, p := range strings.Split(*text, "\n\n") {
			shown[p] = p != ""
		}
	}
	for text := range shown {
		translated, there := german[text]
		switch {
		case text == "":
		case !there:
			t.Errorf("nobody has translated the help %q: add it to help.de.json", text)
		case !slices.Equal(slices.Sorted(slices.Values(helpCode.FindAllString(text, -1))), slices.Sorted(slices.Values(helpCode.FindAllString(translated, -1)))):
			t.Errorf("%q has other code than %q", translated, text)
		}
	}
	for text := range german {
		if !shown[text] {
			t.Errorf("no help shows %q any more: take it out of help.de.json", text)
		}
	}
}

// said is what a command line prints, on both outputs.
func said(t *testing.T, args ...string) string {
	var out bytes.Buffer
	run(t.Context(), args, &console{out: &out, err: &out})
	return out.String()
}

// The help is German where messages are, however that is asked for; all else keeps its English.
func TestHelpFollowsMessages(t *testing.T) {
	english := said(t, "check", "--help")
	assert.Assert(t, strings.HasPrefix(english, "Usage: matchmark check [LIBRARY] [options]\n"), english)
	german := said(t, "--messages", "de", "check", "--help")
	assert.Assert(t, strings.HasPrefix(german, "Aufruf: matchmark check [LIBRARY] [Optionen]\n\nEine Bibliothek auf Fehler prüfen"), german)
	for _, heading := range []string{"\nArgumente:\n", "\nOptionen:\n"} {
		assert.Assert(t, strings.Contains(german, heading), german)
	}
	assert.Equal(t, said(t, "check", "--help", "--messages=de"), german)
	assert.Equal(t, said(t, "help", "check", "--messages=de"), german)
	man := said(t, "man")
	t.Setenv("MATCHMARK_MESSAGES", "de")
	assert.Equal(t, said(t, "check", "--help"), german)
	assert.Equal(t, said(t, "check", "--help", "--messages", "en"), english)
	assert.Equal(t, said(t, "man"), man)
	assert.Assert(t, strings.Contains(said(t, "completion", "fish"), "Die Version ausgeben."))
}

// What is wrong with a command line, and what stands in a command's way, is German where messages are: by the option, or by the library that the command is on.
func TestFailuresFollowMessages(t *testing.T) {
	used := t.TempDir()
	assert.NilError(t, os.WriteFile(filepath.Join(used, "notes.txt"), nil, 0o666))
	german := t.TempDir()
	assert.NilError(t, os.WriteFile(filepath.Join(german, "library.yaml"), []byte("title: Werkstatt\nlanguage: de\n"), 0o666))
	none := filepath.Join(t.TempDir(), "none")
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"chekc"}, "unbekannter Befehl chekc; ist \"check\" gemeint?\n  tun: \"matchmark --help\" listet Befehle und Optionen auf"},
		{[]string{"check", "--fromat=json"}, `unbekannte Option --fromat; ist "--format" gemeint?`},
		{[]string{"check", "--format=xml"}, `--format: "xml" geht nicht; möglich: text, json oder sarif`},
		{[]string{"plan", "--session=soon"}, `--session: "soon" ist keine gültige Zeit: `},
		{[]string{"plan", "--people=two"}, `--people: "two" ist keine ganze Zahl`},
		{[]string{"plan", "--course"}, "--course braucht einen Wert"},
		{[]string{"register"}, "es fehlt: --as REGISTER"},
		{[]string{"new", used}, "der Ordner " + strconv.Quote(used) + " ist nicht leer: er enthält \"notes.txt\"\n  tun: einen Ordner nennen, der leer ist"},
		{[]string{"check", none}, "es gibt keinen Ordner " + strconv.Quote(none)},
		{[]string{"mark", none + ".csv"}, "es gibt keine Datei " + strconv.Quote(none+".csv")},
		{[]string{"explain", "unclosed-blok"}, `ist "unclosed-block" gemeint? "matchmark explain" listet alle Codes auf`},
	} {
		if got := said(t, append([]string{"--messages=de"}, c.args...)...); !strings.Contains(got, c.want) {
			t.Errorf("%q: %s\nwant %s", c.args, got, c.want)
		}
	}
	inside := []string{"compile", german, "-o", none, "--cache", filepath.Join(none, "cache")}
	got := said(t, inside...)
	assert.Assert(t, strings.Contains(got, "liegt in dem der Seiten\n  tun: "), got)
	got = said(t, append(inside, "--messages=en")...)
	assert.Assert(t, strings.Contains(got, "lies in that of the site\n  do: "), got)
}
