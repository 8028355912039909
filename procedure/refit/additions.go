package refit

import "matchmark/procedure"

// AdditionsOf returns what the author adds to the way back of a procedure.
func AdditionsOf(p *procedure.Procedure) Additions {
	if p.WayBack == nil {
		return Additions{}
	}
	return Additions{Steps: p.WayBack.Steps, Out: p.WayBack.Out}
}
