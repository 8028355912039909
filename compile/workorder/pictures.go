package workorder

import (
	"io/fs"

	"matchmark/compile/library"
	"matchmark/compile/output"
	"matchmark/compile/picture"
	"matchmark/procedure"
)

// Pictures prepares the pictures of a procedure's figures, for the checklist, and
// writes them below pictures/. A picture that cannot be used is a *picture.Fault.
func Pictures(fsys fs.FS, lib *procedure.Library, id string, out output.Sink) (map[string]*picture.Picture, error) {
	var figures []*procedure.Figure
	for _, p := range lib.Procedures {
		if p.ID != id || p.Refitting == nil {
			continue
		}
		for _, s := range p.Refitting.Steps {
			for _, name := range s.FigureNames() {
				if f := p.Refitting.Figure(name); f != nil {
					figures = append(figures, f)
				}
			}
		}
	}
	names := library.Pictures(figures)
	pictures := map[string]*picture.Picture{}
	for i, r := range picture.PrepareAll(fsys, names, out, nil) {
		if r.Err != nil {
			return nil, r.Err
		}
		pictures[names[i]] = &r.Picture
	}
	return pictures, nil
}
