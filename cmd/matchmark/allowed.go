package main

import (
	"fmt"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// printAllowed lists what the authors allow, with the reasons.
func printAllowed(c *console, p diagnostic.Printer, allowed []diagnostic.Allowed) error {
	if len(allowed) == 0 {
		_, err := fmt.Fprintln(c.out, say.That("Nothing is allowed.").In(p.Language))
		return err
	}
	fmt.Fprintf(c.out, "\n%s\n", say.That("Allowed by the authors, %count:", say.Count(len(allowed))).In(p.Language))
	for _, a := range allowed {
		fmt.Fprintf(c.out, "%s: %s %s: %s\n", p.At(a.Span), a.Severity.In(p.Language), a.Code, a.Says().In(p.Language))
		if _, err := fmt.Fprintf(c.out, "  %s: %s: %s\n", say.That("allowed").In(p.Language), p.At(a.By), a.Reason); err != nil {
			return err
		}
	}
	return nil
}

// allowedJSON is one message that is allowed. The comment that allows it stands in the same file.
type allowedJSON struct {
	Code     diagnostic.Code `json:"code"`
	Severity string          `json:"severity"`
	File     string          `json:"file"`
	Line     int             `json:"line"`
	Column   int             `json:"column"`
	Message  string          `json:"message"`
	Reason   string          `json:"reason"`
	ByLine   int             `json:"byLine"`
	ByColumn int             `json:"byColumn"`
}

func allowedForJSON(allowed []diagnostic.Allowed) []allowedJSON {
	out := make([]allowedJSON, 0, len(allowed))
	for _, a := range allowed {
		at, by := a.Span.At(), a.By.At()
		out = append(out, allowedJSON{
			Code: a.Code, Severity: a.Severity.String(), File: at.File, Line: at.Line, Column: at.Column,
			Message: a.Says().String(), Reason: a.Reason, ByLine: by.Line, ByColumn: by.Column,
		})
	}
	return out
}
