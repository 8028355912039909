package source

import (
	"errors"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// use reads what a tool fits: pieces with commas between them. A piece is a drive, "hex 18 mm"; a range of torque,
// "40-200 N·m ± 4 %"; an act, "remove hub" or a verb alone; or a thing. Names that follow an act belong to it. Verbs and
// drives may begin with a capital, as they do in spreadsheets.
func (c *cells) use() (out procedure.Fitting) {
	x := c.row.get("fits")
	pieces := piecesOf(x.text, x.span)
	if len(pieces) == 0 && !blank(x.text) {
		c.r.report("cell-value", x.span, say.That("%value names nothing that the tool fits", say.Quote(x.text)), say.That("Write what it fits, or leave the cell empty."))
	}
	for _, p := range pieces {
		s := p.text
		small := strings.ToLower(s[:1]) + s[1:]
		rule := ruleOf(small, small)
		switch {
		case rule != nil:
			out.Verbs = append(out.Verbs, rule.Verb)
			if rest := s[len(rule.Verb):]; !blank(rest) {
				named, _ := c.r.names(rest, c.sub(p, len(rule.Verb), len(s)), nil)
				out.Things = append(out.Things, named...)
			}
		case isName(s) || isCallout(s) || isRun(s):
			for ref := range refsIn(s, p.span) {
				out.Things = append(out.Things, ref)
			}
		case (startsWithDigit(s) || strings.HasPrefix(s, upTo)) && c.torques(p, &out):
		default:
			c.drive(p, &out)
		}
	}
	return out
}

// upTo begins a range of torque that has no lower end.
const upTo = "up to "

// sub is a part of a piece's place; the whole place where the text does not stand as it was written.
func (c *cells) sub(p cell, from, to int) text.Span {
	if p.span.Text() != p.text {
		return p.span
	}
	return p.span.Sub(from, to)
}

func isRun(s string) bool {
	_, _, ok := numberRange(s)
	return ok
}

// torques reads a range of torque; it returns false for what has nothing to do with torque.
func (c *cells) torques(p cell, out *procedure.Fitting) bool {
	s, tolerance := p.text, ""
	for _, sign := range []string{"±", "+/-"} {
		if before, behind, found := strings.Cut(s, sign); found {
			s, tolerance = strings.TrimSpace(before), strings.TrimSpace(behind)
			break
		}
	}
	low, high, ok := c.r.numbers.ParseLimits(s)
	if most, found := strings.CutPrefix(s, upTo); !ok && found {
		if q, err := c.r.numbers.Parse(most); err == nil {
			low, high, ok = measure.Must("0 N·m"), q, true
		}
	}
	if !ok {
		if q, err := c.r.numbers.Parse(s); err == nil {
			low, high, ok = q, q, true
		}
	}
	if !ok || high.Dimension() != measure.Torque {
		return false
	}
	if !out.High.IsZero() {
		c.r.report("cell-value", p.span, say.That("this tool has a range of torque already"), say.That("Write one range for each tool."))
		return true
	}
	out.Low, out.High = low, high
	if tolerance != "" {
		out.Tolerance = c.r.quantity(tolerance, p.span, measure.Ratio)
	}
	return true
}

// drive reads what a tool turns. What is no hexagon is taken as it stands, and fits the fasteners whose drive is written alike.
func (c *cells) drive(p cell, out *procedure.Fitting) {
	if small := strings.ToLower(p.text); strings.HasPrefix(small, "hex") {
		p.text = small
	}
	if _, err := fastening.ParseDrive(p.text); err != nil && !errors.Is(err, fastening.ErrNotCovered) {
		c.r.report("cell-value", p.span, say.That("%value is neither a drive, nor a range of torque, nor an act, nor the name of a thing", say.Quote(p.text)),
			say.That("Write hex 18 mm or hex key 6 mm for what it turns, 40-200 N·m for what it is set to, remove hub or hub for what it is used on; commas stand between them."))
		return
	}
	out.Drives = append(out.Drives, p.text)
}

// piecesOf splits a cell at its commas, but for those inside numbers, and at what people write in their place.
func piecesOf(s string, span text.Span) (out []cell) {
	exact := span.Text() == s
	for _, and := range ands {
		s = strings.ReplaceAll(s, and, ","+strings.Repeat(" ", len(and)-1)) // places stay true
	}
	s = strings.ReplaceAll(s, ";", ",")
	for start := 0; start <= len(s); {
		end := start
		for end < len(s) && (s[end] != ',' || end > start && end+1 < len(s) && startsWithDigit(s[end-1:]) && startsWithDigit(s[end+1:])) {
			end++
		}
		if from, to := trim(s, start, end); from < to {
			at := span
			if exact {
				at = span.Sub(from, to)
			}
			out = append(out, cell{text: s[from:to], span: at})
		}
		start = end + 1
	}
	return out
}
