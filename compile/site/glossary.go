package site

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
)

// glossaryView is the page of the words of the trade.
type glossaryView struct {
	page.Shell
	Summary string
	About   template.HTML
	// Terms and Short are the terms and the abbreviations, by name.
	Terms, Short []page.Term
}

func (e *emitter) emitGlossary(g *procedure.Glossary) error {
	v := glossaryView{Shell: e.shell(page.GlossaryPath, g.Title), Summary: g.Summary, About: page.Markup(g.About)}
	v.Body = "glossary-page"
	v.Styles = []string{"site.css"}
	var terms, short []*procedure.Term
	sorted := slices.SortedStableFunc(slices.Values(g.Terms), func(a, b *procedure.Term) int {
		return cmp.Compare(strings.ToLower(a.Name()), strings.ToLower(b.Name()))
	})
	for _, t := range sorted {
		if t.IsShort() {
			short = append(short, t)
		} else {
			terms = append(terms, t)
		}
	}
	v.Terms, v.Short = page.Terms(terms), page.Terms(short)
	return e.write(page.GlossaryPath, glossaryPage(v))
}
