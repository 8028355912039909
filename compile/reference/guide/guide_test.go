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
		content, in, there := Page(topic, "en")
		assert.Assert(t, there && in == "en", topic)
		title, _ := Title(topic, "en")
		assert.Assert(t, title != "" && strings.HasPrefix(content, "# "), topic)
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
	for _, language := range []string{"en", "de"} {
		for _, topic := range Topics() {
			html, err := HTML(topic, language)
			assert.NilError(t, err)
			for _, alien := range []string{"<img", "href=", "style=", "<!--", "<h1"} {
				assert.Assert(t, !strings.Contains(string(html), alien), "%s has %s", topic, alien)
			}
		}
	}
}

// The pages for trainers and for administrators are there in German, with the same commands, in the same order.
func TestGerman(t *testing.T) {
	names, err := fs.Glob(pages, "de/*.md")
	assert.NilError(t, err)
	want := append(slices.Clone(ForTrainers()), "administrator")
	assert.Equal(t, len(names), len(want))
	for _, topic := range want {
		english, _, _ := Page(topic, "en")
		german, in, there := Page(topic, "de")
		assert.Assert(t, there && in == "de", topic)
		assert.DeepEqual(t, commands(german), commands(english))
	}
	_, in, there := Page("measured", "de")
	assert.Assert(t, there && in == "en")
}

// commands are the lines to type of a page.
func commands(page string) (out []string) {
	fenced := false
	for line := range strings.Lines(page) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "```") {
			fenced = !fenced
		} else if fenced && strings.HasPrefix(line, "matchmark ") {
			out = append(out, line)
		}
	}
	return out
}
