package comparison

import (
	"fmt"
	"html/template"
	"io"
	"io/fs"
)

// pageView is the comparison as a page of its own: it lies somewhere by itself,
// so it carries its styles.
type pageView struct {
	*View
	Styles template.CSS
}

// Page writes the comparison as a self-contained page.
func (v *View) Page(w io.Writer) error {
	styles, err := fs.ReadFile(v.theme.Assets(), "base.css")
	if err != nil {
		return fmt.Errorf("styles of the comparison: %w", err)
	}
	return v.theme.Render(w, "compare/page", pageView{v, template.CSS(styles)})
}
