package workorder

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
)

// Verdict says how a measured value lies to its limits.
type Verdict string

// The verdicts.
const (
	Within Verdict = "within"
	Beyond Verdict = "beyond"
	// Unjudged: there are no limits, or they cannot be compared with the value.
	Unjudged Verdict = "unjudged"
)

// Measured is a value that was read off.
type Measured struct {
	Way record.Phase
	// Step is nil when the row has gone.
	Step *procedure.Step
	record.Measurement
	Verdict Verdict
	// Round is the round in which it was read; 0 outside of rounds.
	Round int
	// Finding is the number of the finding that it made; 0 for none.
	Finding int
	// Found is what the removal read last under the same name, in the same unit; empty for what was not read before.
	Found string
}

func (o *Order) measured() {
	place := func(way record.Phase, name string) int { return numberOf(o.Rows[string(way)+"/"+name].Step) }
	for _, key := range ordered(o.Record.Measured, place) {
		m := o.Record.Measured[key]
		if m.Value == "" {
			continue // taken back
		}
		way, _, _ := record.SplitKey(key)
		out := Measured{Way: way, Step: o.Rows[key].Step, Round: o.Rows[key].In, Measurement: m, Verdict: verdict(m)}
		for _, f := range o.Findings {
			if f.Measured == key {
				out.Finding = f.Number
			}
		}
		if way == record.Refitting {
			out.Found = o.asFound(o.Rows[key], m.Unit)
		}
		o.Measured = append(o.Measured, out)
	}
}

// asFound is what the removal read last under the name of a value that is read on the way back; empty for none.
func (o *Order) asFound(of rows.Line, unit string) string {
	value, round := "", -1
	for key, m := range o.Record.Measured {
		row := o.Rows[key]
		way, _, _ := record.SplitKey(key)
		if way != record.Removal || of.Reading == nil || row.Reading == nil || row.Reading.Name != of.Reading.Name || row.Point != of.Point || m.Unit != unit {
			continue
		}
		if m.Value != "" && row.In > round {
			value, round = m.Value, row.In
		}
	}
	return value
}

// verdict holds a value against the limits that the bench had on its page.
func verdict(m record.Measurement) Verdict {
	value, ok := quantity(m.Value, m.Unit)
	if !ok || m.Low == "" && m.High == "" {
		return Unjudged
	}
	var limits procedure.Limits
	for _, end := range []struct {
		says string
		into **measure.Quantity
	}{{m.Low, &limits.Low}, {m.High, &limits.High}} {
		if end.says == "" {
			continue
		}
		q, ok := quantity(end.says, m.Unit)
		if !ok || !q.SameDimension(value) {
			return Unjudged
		}
		*end.into = &q
	}
	if limits.Contains(value) {
		return Within
	}
	return Beyond
}

// quantity reads a number with its unit, as a page in any language shows it.
func quantity(number, unit string) (measure.Quantity, bool) {
	q, err := measure.ParseDefault(strings.Replace(number, ",", ".", 1), unit)
	return q, err == nil
}
