package page

import (
	"html/template"
	"strings"

	"matchmark/procedure"
)

// Term is a term of the glossary with what it means.
type Term struct {
	ID, Name string
	Meaning  template.HTML
}

// Terms are the views of some terms. Their ids are those that they have on the glossary's page.
func Terms(terms []*procedure.Term) (out []Term) {
	for _, t := range terms {
		out = append(out, Term{TermAnchor(t), t.Name(), Markup(t.Meaning)})
	}
	return out
}

// TermAnchor is the id of a term on the glossary's page.
func TermAnchor(t *procedure.Term) string { return "term-" + t.Forms[0].Key() }

// TermNames lists the names of some terms.
func TermNames(terms []Term) string {
	var names []string
	for _, t := range terms {
		names = append(names, t.Name)
	}
	return strings.Join(names, ", ")
}
