package refit

import "matchmark/procedure"

// Written is what an author wrote for the refitting of a procedure, as a procedure of its own
// under the name and the edition that the whole refitting has. What is derived is not in it.
func Written(p *procedure.Procedure, title string) *procedure.Procedure {
	out := &procedure.Procedure{ID: p.ID + Suffix, Title: title, Edition: p.Edition, Machine: p.Machine, MachineRef: p.MachineRef}
	if w := p.RefitFile; w != nil {
		out.Steps, out.Figures, out.File = w.Steps, w.Figures, w.File
	}
	return out
}
