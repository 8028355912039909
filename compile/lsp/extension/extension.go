// Package extension makes what editors need to colour the language in Markdown files: a TextMate grammar from the tables
// that the language page is made from, in a folder that editors take as an extension.
package extension

import (
	"bytes"
	"cmp"
	"encoding/json"
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/source"
)

// rule is a pattern of a TextMate grammar.
type rule struct {
	Name     string             `json:"name,omitempty"`
	Match    string             `json:"match,omitempty"`
	Begin    string             `json:"begin,omitempty"`
	End      string             `json:"end,omitempty"`
	Captures map[string]capture `json:"captures,omitempty"`
	Patterns []rule             `json:"patterns,omitempty"`
}

type capture struct {
	Name     string `json:"name,omitempty"`
	Patterns []rule `json:"patterns,omitempty"`
}

// grammar is a TextMate grammar that is laid over that of Markdown.
type grammar struct {
	Schema    string `json:"$schema"`
	Comment   string `json:"comment"`
	Scope     string `json:"scopeName"`
	Injection string `json:"injectionSelector"`
	Patterns  []rule `json:"patterns"`
}

const scope = "markdown.matchmark.injection"

// Files are the files of the extension by name.
func Files() (map[string][]byte, error) {
	out := map[string][]byte{}
	for name, value := range map[string]any{"package.json": manifest(), "syntaxes/matchmark.tmLanguage.json": colours()} {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		if err := e.Encode(value); err != nil {
			return nil, err
		}
		out[name] = b.Bytes()
	}
	out["README.md"] = []byte(about)
	return out, nil
}

const about = `# matchmark in an editor

Colours for the blocks, acts and attributes of matchmark's language in Markdown files. The files of this folder are made from
the tables that the language page is made from: ` + "`go test ./compile/lsp/extension -update`" + `.

Messages while typing, names, meanings and renaming come from ` + "`matchmark lsp`" + `; matchmark's README says how three editors start it.
`

// manifest says to the editor what is in the folder.
func manifest() map[string]any {
	return map[string]any{
		"name": "matchmark-language", "displayName": "matchmark language", "description": "Colours for matchmark's blocks, acts and attributes in Markdown files",
		"version": "0.1.0", "publisher": "matchmark", "license": "MIT", "private": true,
		"engines": map[string]string{"vscode": "^1.75.0"}, "categories": []string{"Programming Languages"}, "files": []string{"syntaxes"},
		"contributes": map[string]any{"grammars": []any{map[string]any{
			"path": "./syntaxes/matchmark.tmLanguage.json", "scopeName": scope, "injectTo": []string{"text.html.markdown"},
		}}},
	}
}

func colours() grammar {
	attributes := rule{Begin: `\{`, End: `\}|$`, Name: "meta.attribute.matchmark", Patterns: []rule{
		{Match: `"[^"]*"`, Name: "string.quoted.double.matchmark"},
		{Match: `#[a-z][a-z0-9-]*`, Name: "entity.name.section.matchmark"},
		{Match: `\b(?:` + oneOf(attributeNames()) + `)(?=[=\s}])`, Name: "entity.other.attribute-name.matchmark"},
	}}
	return grammar{
		Schema:    "https://raw.githubusercontent.com/martinring/tmlanguage/master/tmlanguage.json",
		Comment:   "Made from the tables of the language: go test ./compile/lsp/extension -update",
		Scope:     scope,
		Injection: "L:text.html.markdown -markup.raw -markup.fenced_code",
		Patterns: []rule{
			{Match: `^\s*(:::+)\s*(?:(register)\s+(` + oneOf(registers()) + `)|(` + oneOf(blocks()) + `))?(?![a-z-])`, Captures: map[string]capture{
				"1": {Name: "punctuation.definition.block.matchmark"}, "2": {Name: "keyword.control.matchmark"},
				"3": {Name: "entity.name.type.matchmark"}, "4": {Name: "keyword.control.matchmark"},
			}},
			{Match: `^\s*[-*+]\s+\[ \]\s+(` + oneOf(verbs()) + `)(?![a-z-])`, Captures: map[string]capture{"1": {Name: "support.function.matchmark"}}},
			attributes,
		},
	}
}

func blocks() (out []string) {
	for _, k := range source.BlockKinds() {
		if k.Form == "" {
			out = append(out, k.Name)
		}
	}
	return out
}

func registers() (out []string) {
	for _, f := range source.RegisterForms() {
		out = append(out, string(f.Kind))
	}
	return out
}

func verbs() (out []string) {
	for _, r := range procedure.VerbRules {
		out = append(out, string(r.Verb))
	}
	return out
}

func attributeNames() (out []string) {
	for _, k := range source.BlockKinds() {
		for _, a := range k.Attributes {
			if !a.Old {
				out = append(out, a.Name)
			}
		}
	}
	return out
}

// oneOf is a pattern for one of some words, the longer ones first, so that "set down" is not "set".
func oneOf(words []string) string {
	words = slices.Clone(words)
	slices.SortFunc(words, func(a, b string) int { return cmp.Or(len(b)-len(a), cmp.Compare(a, b)) })
	words = slices.Compact(words)
	for i, w := range words {
		words[i] = regexp.QuoteMeta(w)
	}
	return strings.Join(words, "|")
}
