package sheet

import (
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
	"matchmark/procedure/refit"
)

// torqueView is the sheet on which every tightened fastener gets its initials.
type torqueView struct {
	Head
	// Wrenches are the letters under which the torque wrenches of the job are written down.
	Wrenches []string
	Groups   []torqueGroup
	// Checks has each fastener once.
	Checks []torqueCheck
}

// torqueGroup is what one step tightens, in the order in which it does.
type torqueGroup struct {
	Title string
	Step  int
	Rows  []torqueRow
}

type torqueRow struct {
	// Place counts, from 1, the fasteners that the step tightens.
	Place        int
	Number, Name string
	// Thread is thread and length, class and drive on one line.
	Thread string
	New    bool
	// Heed is which way a left-hand thread turns, the thread's treatment and the sequence; may be empty.
	Heed  string
	Boxes []struct{}
	// Pieces is the count of fasteners when they are too many for a box each; 0 otherwise.
	Pieces int
	// NewtonMetres and FootPounds are the torque; both are empty when NoTorque says why there is none.
	NewtonMetres, FootPounds string
	// Before are the passes before the torque, and Angles the turns after it.
	Before, Angles []string
	NoTorque       string
	// Again says when the torque is tried once more; empty for never.
	Again string
	// Window is the torque that the tolerance allows, in newton metres, and WindowFeet in
	// pound-force feet; empty without a tolerance.
	Window, WindowFeet string
	// Doubt says that the torque does not fit the fastener; empty when it does or nobody knows.
	Doubt string
}

func (e emitter) torque() error {
	h, err := e.head(Torque, "who", "date", "machine")
	if err != nil {
		return err
	}
	v := torqueView{Head: h, Wrenches: []string{"A", "B", "C"}}
	verdicts := map[*procedure.Fastener]fastening.TorqueVerdict{}
	rows := make([]torqueRow, 0, len(e.torques)) // of all groups, which are parts of it
	v.Checks = make([]torqueCheck, 0, len(e.torques))
	for _, t := range e.torques {
		verdict, checked := verdicts[t.Fastener]
		if !checked {
			verdict = fastening.CheckTorque(t.Fastener)
			verdicts[t.Fastener] = verdict
			v.Checks = append(v.Checks, e.torqueCheck(h.Shell, t.Fastener, &verdict))
		}
		if n := len(v.Groups); n == 0 || v.Groups[n-1].Step != t.Step {
			s := e.job.Steps[t.Step-1]
			v.Groups = append(v.Groups, torqueGroup{Title: s.Title, Step: s.Number})
		}
		rows = append(rows, e.torqueRow(h.Shell, t, verdict.Outcome))
		g := &v.Groups[len(v.Groups)-1]
		g.Rows = rows[len(rows)-len(g.Rows)-1:]
	}
	return e.write(Torque, torquePage(v))
}

// numbered reports whether a figure of the job numbers the fastener's pieces in the order in which they are tightened.
func (e emitter) numbered(f *procedure.Fastener) bool {
	for _, s := range e.job.Steps {
		for _, id := range s.FigureNames() {
			if fig := e.job.Procedure.Figure(id); fig != nil && page.Places(fig, f) != nil {
				return true
			}
		}
	}
	return false
}

func (e emitter) torqueRow(s page.Shell, t refit.Torque, found fastening.Outcome) torqueRow {
	f := t.Fastener
	r := torqueRow{
		Place: t.Place, Number: f.ID, Name: f.Name, Thread: joined(s.ThreadAndLength(f), f.Class, f.Drive), New: t.New,
		NoTorque: f.NoTorque, Doubt: e.doubt(found),
	}
	r.Heed = s.Hand(f, procedure.Tighten)
	if f.Treatment != "" {
		r.Heed = joined(r.Heed, e.words.T("sheet.torque.treatment", f.Treatment))
	}
	if order := s.Order(f); order != "" {
		r.Heed = joined(r.Heed, e.words.T("sheet.torque.sequence", order))
	}
	if !e.numbered(f) {
		r.Heed = joined(r.Heed, s.Numbers(f))
	}
	if f.Retorque != "" {
		r.Again = e.words.T("sheet.torque.retorque", f.Retorque)
	}
	for _, q := range f.Passes() {
		switch {
		case q.Dimension() == measure.Angle:
			r.Angles = append(r.Angles, s.Quantity(q))
		case !q.Equal(f.Torque):
			newtonMetres, footPounds := s.Torque(q)
			r.Before = append(r.Before, joined(newtonMetres, footPounds))
		}
	}
	r.Boxes, r.Pieces = boxes(f.Count)
	r.NewtonMetres, r.FootPounds = s.Torque(f.Torque)
	if !t.Low.IsZero() {
		// A digit more than the torque has, so that rounding does not narrow it by much.
		r.Window, r.WindowFeet = s.Window(t.Low, t.High, "N·m", 4), s.Window(t.Low, t.High, "lbf·ft", 4)
	}
	return r
}
