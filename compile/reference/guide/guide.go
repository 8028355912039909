// Package guide holds the pages for trainers and administrators.
package guide

import (
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"path"
	"regexp"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/renderer/html"
)

// The pages in English, and in a folder of its own each other language that somebody has written them in.
//
//go:embed *.md de/*.md
var pages embed.FS

// Topics are the names of the pages, those of the trainers' guide in the order in which they are read, then the others.
func Topics() []string {
	return []string{
		"first-procedure", "registers", "order-check", "refitting", "quiz", "class", "work-order", "printing", "translation", "safety",
		"administrator", "commands", "rules", "measured",
	}
}

// Page is a page as it was written in a language, in English where nobody has written it in that one, and the language that
// it is in; false when there is none of that name.
func Page(topic, language string) (content, in string, there bool) {
	if content, err := fs.ReadFile(pages, path.Join(language, topic+".md")); err == nil {
		return string(content), language, true
	}
	english, err := fs.ReadFile(pages, topic+".md")
	return string(english), "en", err == nil
}

// Title is a page's title, and the language that it is in.
func Title(topic, language string) (title, in string) {
	content, in, _ := Page(topic, language)
	first, _, _ := strings.Cut(content, "\n")
	return strings.TrimPrefix(first, "# "), in
}

// trainers are how many of the topics are the trainers' guide.
const trainers = 10

// ForTrainers are the pages of the trainers' guide, in the order in which they are read.
func ForTrainers() []string { return Topics()[:trainers] }

// ForOthers are the pages for whoever runs the program and for the curious.
func ForOthers() []string { return Topics()[trainers:] }

// markdown reads the guide: plain Markdown with tables, and none of what libraries are written in.
var markdown = goldmark.New(
	goldmark.WithExtensions(extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignNone))),
	goldmark.WithRendererOptions(html.WithUnsafe()), // its tables break lines
)

// marks are what tests find a place in a page by.
var marks = regexp.MustCompile(`(?m)^<!-- .* -->\n`)

// HTML is a page below its title.
func HTML(topic, language string) (template.HTML, error) {
	content, _, there := Page(topic, language)
	if !there {
		return "", fmt.Errorf("the guide has no page %q", topic)
	}
	_, below, _ := strings.Cut(content, "\n")
	var out strings.Builder
	if err := markdown.Convert(marks.ReplaceAll([]byte(below), nil), &out); err != nil {
		return "", fmt.Errorf("writing the guide's page %s: %w", topic, err)
	}
	return template.HTML(out.String()), nil
}
