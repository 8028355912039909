package workorder

import (
	"fmt"
	"io/fs"

	"matchmark/compile/output"
	"matchmark/compile/page"
)

// Where the pages stand in a folder of their own.
const (
	OrderPath     = "index.html"
	ChecklistPath = "checklist.html"
)

// assets are what the pages need of the theme.
var assets = []string{"base.css", "mark.svg", "sheet.css", "sheet.js", "theme.js", "workorder.css"}

// Write writes the pages into a folder of their own, with all that they need but
// the library's pictures. photos are the pictures of the record that are there, by their names.
func (e *Emitter) Write(photos map[string][]byte, out output.Sink) error {
	order, err := e.Page()
	if err != nil {
		return err
	}
	if err := out.Write(OrderPath, order); err != nil {
		return err
	}
	if e.HasChecklist() {
		checklist, err := e.Checklist()
		if err != nil {
			return err
		}
		if err := out.Write(ChecklistPath, checklist); err != nil {
			return err
		}
	}
	for _, name := range assets {
		content, err := fs.ReadFile(e.theme.Assets(), name)
		if err != nil {
			return fmt.Errorf("assets of the work order: %w", err)
		}
		if err := out.Write(page.AssetPath(name), content); err != nil {
			return err
		}
	}
	// A photo of no finding is nobody's business here; it stays in the record.
	written := map[string]bool{}
	for _, f := range e.order.Findings {
		for _, name := range f.Photos {
			if data := photos[name]; data != nil && !written[name] {
				written[name] = true
				if err := out.Write(PhotoPath(name), data); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
