package sheet

import (
	"strings"

	"matchmark/compile/liftwords"
	"matchmark/procedure"
	"matchmark/procedure/risk"
)

// risk is the risk assessment: what each step can do to people, who is there, what is done about it, and what is left.
func (e emitter) risk() error {
	v, err := e.paper(Risk, "assessed", "agreed", "review")
	if err != nil {
		return err
	}
	t := e.table(Risk, "energy", "source", "done", "left")
	for _, s := range risk.Sources(e.analysed) {
		t.add(strong(s.Name, e.energyKind(s.Kind)), e.keptAway(s), e.left(s.Risk))
	}
	for _, k := range risk.Unnamed(e.analysed) {
		t.add(e.unnamed(), cell(e.held(k)), paperCell{})
	}
	if len(t.Rows) > 0 {
		v.Tables = append(v.Tables, t)
	} else if e.job.Machine.NoEnergy != "" {
		v.Lead = append(v.Lead, e.words.T("paper.risk.no-energy", e.job.Machine.NoEnergy))
	}
	v.Tables = append(v.Tables, e.risksOfSteps(), e.matrix())
	return e.write(Risk, paperPage(v))
}

func (e emitter) risksOfSteps() paperTable {
	t := e.table(Risk, "steps", "hazard", "people", "done", "left")
	var last *procedure.Step
	for _, r := range risk.Of(e.analysed) {
		if r.Step != last {
			t.Rows, last = append(t.Rows, paperRow{Heading: stepTitle(r.Step)}), r.Step
		}
		what, people := strong(r.Row.Name, r.Words), cell(e.words.Count("sheet.crew", r.Step.People))
		if r.Lift != nil {
			what = strong(e.words.T("paper.risk.load", r.Row.Name), liftwords.Mass(e.words, *r.Lift, e.quantity))
			for _, p := range r.Lift.Along {
				what.Lines = append(what.Lines, e.words.T("paper.risk.along", p.Name))
			}
			if r.Lift.Gear != nil {
				people.Lines = append(people.Lines, e.words.T("paper.risk.near"))
			}
		}
		t.add(what, people, e.measures(&r.Done), e.left(r.Left))
	}
	if len(t.Rows) == 0 {
		t.Rows = blankRows(4, len(t.Columns))
	}
	return t
}

// measures are what is done about a risk, a line each; a gap where nothing is.
func (e emitter) measures(m *risk.Measures) paperCell {
	if m.None() {
		return gap(e.words.T("paper.gap"))
	}
	var c paperCell
	for _, w := range m.Warned {
		c.Lines = append(c.Lines, e.words.T("signal."+string(w.Signal))+": "+w.Prose.Plain())
	}
	var worn, ready []*procedure.Row
	for _, r := range m.Worn {
		if t := e.job.Machine.Thing(r.ID); t != nil && t.Tool != nil && t.Tool.Kind != procedure.Protection {
			ready = append(ready, r) // a tray and a cloth keep a floor dry, and nobody wears them
		} else {
			worn = append(worn, r)
		}
	}
	for _, done := range []struct {
		key  string
		rows []*procedure.Row
	}{{"worn", worn}, {"ready", ready}, {"gear", m.Gear}, {"barred", m.Barred}} {
		if len(done.rows) > 0 {
			c.Lines = append(c.Lines, e.words.T("paper.risk."+done.key, rowNames(done.rows)))
		}
	}
	if m.Hold != nil {
		c.Lines = append(c.Lines, e.words.T("paper.risk.hold", m.Hold.Title))
	}
	return c
}

func rowNames(rows []*procedure.Row) string {
	var out []string
	for _, r := range rows {
		out = append(out, r.Name)
	}
	return strings.Join(out, ", ")
}

// keptAway says by which conditions a source is kept away, and where that is proved.
func (e emitter) keptAway(s risk.Source) paperCell {
	var c paperCell
	if s.Where != "" {
		c.Lines = append(c.Lines, e.words.T("paper.at", s.Where))
	}
	for _, k := range s.Kept {
		c.Lines = append(c.Lines, e.held(k))
	}
	if s.Open() {
		c.Gap = true
		c.Lines = append(c.Lines, e.words.T("paper.open"))
	}
	if guards := e.names(s.Guards); guards != "" {
		c.Lines = append(c.Lines, e.words.T("paper.guards", guards))
	}
	return c
}

// unnamed stands for the source of energy that a condition keeps away and no register names.
func (e emitter) unnamed() paperCell { return gap(e.words.T("paper.unnamed")) }

// held says where in the job a condition is made to hold and is proved.
func (e emitter) held(k risk.Kept) string {
	parts := []string{k.Name}
	switch {
	case len(k.Made) > 0:
		parts = append(parts, e.words.T("paper.made", e.stepsOf(k.Made)))
	case k.AtStart:
		parts = append(parts, e.words.T("paper.at-start"))
	}
	if k.Locks > 0 {
		parts = append(parts, e.words.T("paper.locks", k.Locks))
	}
	if len(k.Proved) > 0 {
		parts = append(parts, e.words.T("paper.proved", e.stepsOf(k.Proved)))
	}
	return joined(parts...)
}

// left is what remains of a risk, as the row rates it by the library's matrix; empty for what is rated by hand.
func (e emitter) left(words string) paperCell {
	r, ok := e.lib.Matrix.Rate(words)
	if !ok {
		return paperCell{}
	}
	return strong(r.Level, joined(r.Harm, r.Chance))
}

// matrix is the table by which is rated.
func (e emitter) matrix() paperTable {
	m := &e.lib.Matrix
	t := e.table(Risk, "matrix", "harm")
	if m.Empty() {
		t.Lead = e.words.T("paper.risk.no-matrix")
		t.Columns = append(t.Columns, make([]paperColumn, 3)...)
		t.Rows = blankRows(3, len(t.Columns))
		return t
	}
	for _, chance := range m.Chances {
		t.Columns = append(t.Columns, paperColumn{Name: chance})
	}
	for i, harm := range m.Harms {
		cells := []paperCell{strong(harm)}
		for _, level := range m.Levels[i] {
			cells = append(cells, cell(level))
		}
		t.add(cells...)
	}
	return t
}

func (e emitter) energyKind(kind string) string {
	if kind == "" {
		return ""
	}
	return e.words.T("energy-kind." + kind)
}
