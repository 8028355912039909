package guide

import (
	"io/fs"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// Every page is a topic and has a title; a page for trainers fits on two sheets of paper.
func TestTopics(t *testing.T) {
	names, err := fs.Glob(pages, "*.md")
	assert.NilError(t, err)
	var topics []string
	for i, topic := range Topics() {
		content, there := Page(topic)
		assert.Assert(t, there, topic)
		assert.Assert(t, Title(topic) != "" && strings.HasPrefix(content, "# "), topic)
		if lines := strings.Count(content, "\n"); i < trainers && lines > 70 {
			t.Errorf("%s has %d lines", topic, lines)
		}
		topics = append(topics, topic+".md")
	}
	slices.Sort(topics)
	assert.DeepEqual(t, topics, names)
}

// No page holds a link, a picture or markup that a site does not have.
func TestPagesStandInASite(t *testing.T) {
	for _, topic := range Topics() {
		html, err := HTML(topic)
		assert.NilError(t, err)
		for _, alien := range []string{"<img", "href=", "style=", "<!--", "<h1"} {
			assert.Assert(t, !strings.Contains(string(html), alien), "%s has %s", topic, alien)
		}
	}
}
