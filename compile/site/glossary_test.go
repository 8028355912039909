package site

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/text"
)

// A term is explained below the first step that uses it, and its first use in the words is marked; the names of things count as words.
func TestTermsOnTheStepView(t *testing.T) {
	lib := library()
	g := &procedure.Glossary{Title: "Words"}
	for _, x := range [][2]string{{"bolt", "A screw with a nut."}, {"gear oil", "Thick oil."}, {"load", "What hangs."}, {"VG", "Grade."}} {
		g.Terms = append(g.Terms, &procedure.Term{Forms: []procedure.Form{{Words: x[0]}, {Words: x[0] + "s"}}, Meaning: procedure.Words(text.Span{}, x[1])})
	}
	g.Index()
	lib.Glossary = g
	files := emitAll(t, lib)
	steps := pagetest.Page(t, files, "procedure/out/steps-belt.html")
	assert.Equal(t, one(t, steps, "#feet-off .terms summary").Text(), "Words of the trade: bolt, gear oil")
	assert.Equal(t, steps.All("#feet-off .terms dd")[0].Text(), "A screw with a nut.")
	assert.Equal(t, one(t, steps, "#feet-off dfn").Text(), "bolts")
	assert.Equal(t, len(steps.All("#hoist-on .terms")), 0) // nothing is new there
	assert.Equal(t, one(t, steps, "#lift dfn").Text(), "load")
	list := pagetest.Page(t, files, "glossary.html")
	assert.Equal(t, one(t, list, "#term-gear-oil dt").Text(), "gear oil")
	assert.Equal(t, one(t, list, "[aria-labelledby=abbreviations] dt").Text(), "VG")
	start := pagetest.Page(t, files, "index.html")
	assert.Equal(t, one(t, start, `a[href="glossary.html"]`).Text(), "Words")
}
