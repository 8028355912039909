package refit

import "matchmark/procedure"

// AdditionsOf returns what the author adds to the refitting of a procedure.
func AdditionsOf(p *procedure.Procedure) Additions {
	if p.RefitFile == nil {
		return Additions{}
	}
	return Additions{Steps: p.RefitFile.Steps, Out: p.RefitFile.Out}
}
