package sheet

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/risk"
)

// isolation is the form of isolation and permit: where each source is isolated, whose lock is there, how it is proved, who hands it over.
func (e emitter) isolation() error {
	v, err := e.paper(Isolation, "issued", "accepted", "valid", "returned", "cancelled")
	if err != nil {
		return err
	}
	sources := risk.Sources(e.analysed)
	points := e.table(Isolation, "points", "source", "where", "kept-away", "lock", "reading", "initials")
	for _, s := range sources {
		for i, k := range s.Kept {
			what, where := paperCell{}, paperCell{}
			if i == 0 {
				what, where = strong(s.Name, e.energyKind(s.Kind)), cell(s.Where)
			}
			points.add(append([]paperCell{what, where, cell(e.held(k), e.by(k.Condition))}, blanks(3)...)...)
		}
		if len(s.Kept) == 0 || s.Open() {
			points.add(append([]paperCell{strong(s.Name, e.energyKind(s.Kind)), cell(s.Where), gap(e.words.T("paper.open"))}, blanks(3)...)...)
		}
	}
	unnamed := risk.Unnamed(e.analysed)
	for _, k := range unnamed {
		points.add(append([]paperCell{e.unnamed(), {}, cell(e.held(k), e.by(k.Condition))}, blanks(3)...)...)
	}
	if len(points.Rows) == 0 {
		points.Lead = e.words.T("paper.isolation.none")
		if why := e.job.Machine.NoEnergy; why != "" {
			points.Lead = e.words.T("paper.risk.no-energy", why)
		}
		points.Rows = blankRows(3, len(points.Columns))
	}
	handover := e.table(Isolation, "handover", "when", "from", "to", "locks", "proved-again", "both-sign")
	handover.Rows = blankRows(5, len(handover.Columns))
	v.Tables = append(v.Tables, points)
	all := eachOnce(sources, unnamed)
	if again := e.provedAgain(all); len(again.Rows) > 0 {
		v.Tables = append(v.Tables, again)
	}
	v.Tables = append(v.Tables, handover, e.endOf(all))
	return e.write(Isolation, paperPage(v))
}

// by says what is done to make a condition hold, and where it is proved.
func (e emitter) by(c *procedure.Condition) string {
	var out []string
	if by := e.names(c.By); by != "" {
		out = append(out, e.words.T("paper.by", by))
	}
	if at := e.names(c.ProvedAt); at != "" {
		out = append(out, e.words.T("paper.proved-at", at))
	}
	return strings.Join(out, "; ")
}

// eachOnce are the conditions that keep energy away, each once.
func eachOnce(sources []risk.Source, more []risk.Kept) []risk.Kept {
	var out []risk.Kept
	for _, s := range sources {
		for _, k := range s.Kept {
			if !slices.ContainsFunc(out, func(x risk.Kept) bool { return x.Condition == k.Condition }) {
				out = append(out, k)
			}
		}
	}
	return append(out, more...)
}

// provedAgain lists what is proved anew where work has stopped.
func (e emitter) provedAgain(all []risk.Kept) paperTable {
	t := e.table(Isolation, "again", "condition", "before-step", "reading", "initials")
	for _, k := range all {
		if len(k.Again) > 0 {
			t.add(append([]paperCell{strong(k.Name), cell(e.stepsOf(k.Again))}, blanks(2)...)...)
		}
	}
	return t
}

// endOf is the way back into service: how and where each condition ends, and which stay.
func (e emitter) endOf(all []risk.Kept) paperTable {
	t := e.table(Isolation, "end", "condition", "undone", "owner", "initials")
	for _, k := range all {
		how := cell(k.Undo, e.stepsOf(k.Ended))
		if len(k.Ended) == 0 {
			how.Lines = append(how.Lines, e.words.T("paper.stays"))
		}
		t.add(append([]paperCell{strong(k.Name), how}, blanks(2)...)...)
	}
	if len(t.Rows) == 0 {
		t.Rows = blankRows(3, len(t.Columns))
	}
	return t
}
