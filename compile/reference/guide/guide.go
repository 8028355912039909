// Package guide holds the pages for trainers and administrators.
package guide

import (
	"embed"
	"io/fs"
	"strings"
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
