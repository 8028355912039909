package comparison

import (
	"fmt"
	"html/template"
	"io"

	"matchmark/compile/page"
)

// Page writes the comparison as a self-contained page.
func (v *View) Page(w io.Writer) error {
	styles, err := v.theme.Styles("compare.css")
	if err != nil {
		return fmt.Errorf("comparison: %w", err)
	}
	return page.Render(w, comparisonPage(v, styles))
}

// markup is the signal's text as a panel takes it.
func (s *Signal) markup() template.HTML { return template.HTML(template.HTMLEscapeString(s.Text)) }
