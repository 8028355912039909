package workorder

import (
	"fmt"
	"io/fs"
	"time"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/workorder"
	"matchmark/themes"
)

// Where the pages stand in a folder of their own.
const (
	OrderPath     = "index.html"
	ChecklistPath = "checklist.html"
)

// assets are what the pages need of the theme.
var assets = []string{"base.css", "mark.svg", "sheet.css", "sheet.js", "theme.js", "workorder.css"}

// Folder makes a folder that holds the pages with all that they need. The library
// has the refittings behind its procedures, and files holds its pictures. photos are
// the pictures of the record that are there, by their names; others are further names of the same job.
// The error is that of New, or a *picture.Fault.
func Folder(files fs.FS, lib *procedure.Library, r *record.Record, photos map[string][]byte, zone *time.Location, out output.Sink, others ...string) (*workorder.Order, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	pictures, err := Pictures(files, lib, r.Procedure, out)
	if err != nil {
		return nil, err
	}
	e, err := New(lib, theme, r, Options{
		Zone: zone, Pictures: pictures, Order: OrderPath, Checklist: ChecklistPath,
		Photo: func(name string) string {
			if photos[name] == nil {
				return ""
			}
			return PhotoPath(name)
		},
	}, others...)
	if err != nil {
		return nil, err
	}
	return e.order, e.write(photos, out)
}

// write writes the pages, what they need of the theme, and the photos.
func (e *Emitter) write(photos map[string][]byte, out output.Sink) error {
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
