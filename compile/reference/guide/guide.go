// Package guide holds the pages for trainers and administrators.
package guide

import (
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"regexp"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/renderer/html"
)

//go:embed *.md
var pages embed.FS

// Topics are the names of the pages, those of the trainers' guide in the order in which they are read, then the others.
func Topics() []string {
	return []string{
		"first-procedure", "registers", "order-check", "refitting", "quiz", "class", "work-order", "printing", "translation", "safety",
		"administrator", "commands", "rules", "measured",
	}
}

// Page is a page as it was written; false when there is none of that name.
func Page(topic string) (string, bool) {
	content, err := fs.ReadFile(pages, topic+".md")
	return string(content), err == nil
}

// Title is a page's title.
func Title(topic string) string {
	content, _ := Page(topic)
	first, _, _ := strings.Cut(content, "\n")
	return strings.TrimPrefix(first, "# ")
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
func HTML(topic string) (template.HTML, error) {
	content, there := Page(topic)
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
