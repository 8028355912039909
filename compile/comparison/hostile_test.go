package comparison

import (
	"html/template"
	"testing"

	"github.com/a-h/templ"

	"matchmark/compile/pagetest"
	"matchmark/themes"
)

func TestHostileStringsStayText(t *testing.T) {
	pagetest.Hostile(t, nil, func(w *themes.Words, v View, styles []template.CSS) templ.Component {
		v.words = w
		return comparisonPage(&v, styles)
	})
}
