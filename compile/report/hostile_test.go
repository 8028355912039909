package report

import (
	"html/template"
	"testing"

	"github.com/a-h/templ"

	"matchmark/compile/pagetest"
	"matchmark/themes"
)

func TestHostileStringsStayText(t *testing.T) {
	pagetest.Hostile(t, nil, func(w *themes.Words, p Page, styles []template.CSS) templ.Component {
		p.Words = w
		return reportPage(&p, styles)
	})
}
