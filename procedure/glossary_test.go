package procedure

import (
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/prose"
	"matchmark/procedure/text"
)

func wordsOfTrade() *Glossary {
	g := &Glossary{}
	for _, forms := range []string{"hub/hubs", "hub puller", "match mark", "PE", "earth-fault", "Lüfter"} {
		t := &Term{}
		for _, f := range strings.Split(forms, "/") {
			t.Forms = append(t.Forms, Form{Words: f})
		}
		g.Terms = append(g.Terms, t)
	}
	g.Index()
	return g
}

func TestUsesOfTerms(t *testing.T) {
	g := wordsOfTrade()
	for words, want := range map[string]string{
		"Take the hub off.":           "hub",
		"Hubs, and HUB again":         "Hubs HUB",
		"the hub puller on the hub":   "hub puller|hub",
		"a hub, puller in hand":       "hub",
		"hubcap, thehub":              "",
		"Match  mark and match\nmark": "Match  mark|match\nmark",
		"PE and pe, Pe":               "PE",
		"earth-fault, earth fault":    "earth-fault",
		"der LÜFTER; Lüfterrad":       "LÜFTER",
		"":                            "",
	} {
		var got []string
		for _, u := range g.Uses(words) {
			got = append(got, words[u.Start:u.End])
		}
		if strings.Join(got, "|") != strings.ReplaceAll(want, "Hubs HUB", "Hubs|HUB") {
			t.Errorf("%q uses %q, want %q", words, got, want)
		}
	}
	assert.Assert(t, (*Glossary)(nil).Uses("hub") == nil)
}

// Each term is marked once, whole words only, and not in links; the words stay what they were.
func TestMarkedOnce(t *testing.T) {
	g := wordsOfTrade()
	p := Words(text.Span{}, "One hub, two hubs: a PE.")
	marked, left := g.Marked(p, g.Terms)
	assert.Equal(t, marked.Plain(), p.Plain())
	assert.Equal(t, len(left), len(g.Terms)-2)
	var terms []string
	for i, n := range marked.Nodes {
		if n.Kind == prose.Term {
			terms = append(terms, marked.Nodes[i+1].Text)
		}
	}
	assert.DeepEqual(t, terms, []string{"hub", "PE"})
	assert.Equal(t, int(marked.Nodes[0].Inside), len(marked.Nodes)-1)
	assert.Equal(t, len(p.Nodes), 2)
	link := Prose{Nodes: []prose.Node{{Kind: prose.Line, Inside: 2}, {Kind: prose.StepLink, Inside: 1, To: "x"}, {Kind: prose.Text, Text: "hub"}}}
	same, left := g.Marked(link, g.Terms)
	assert.Assert(t, len(left) == len(g.Terms) && !same.Has(prose.Term))
}
