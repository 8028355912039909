package page

import "matchmark/procedure"

// Trail returns the crumbs that lead to a procedure's overview, the overview
// included. A refitting lies behind its procedure.
func (s Shell) Trail(p *procedure.Procedure) []Crumb {
	link := s.Link(ProcedurePath(p))
	if p.Removal == nil {
		return []Crumb{{p.Title, link}}
	}
	return append(s.Trail(p.Removal), Crumb{s.Words.T("way.back"), link})
}
