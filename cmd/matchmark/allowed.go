package main

import (
	"fmt"

	"matchmark/procedure/diagnostic"
)

// printAllowed lists what the authors allow, with the reasons.
func printAllowed(c *console, allowed []diagnostic.Allowed) error {
	if len(allowed) == 0 {
		_, err := fmt.Fprintln(c.out, "Nothing is allowed.")
		return err
	}
	fmt.Fprintf(c.out, "\nAllowed by the authors, %d:\n", len(allowed))
	for _, a := range allowed {
		at, by := a.Span.At(), a.By.At()
		fmt.Fprintf(c.out, "%s:%d:%d: %s %s: %s\n", at.File, at.Line, at.Column, a.Severity, a.Code, a.Message)
		if _, err := fmt.Fprintf(c.out, "  allowed: %s:%d:%d: %s\n", by.File, by.Line, by.Column, a.Reason); err != nil {
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
			Message: a.Message, Reason: a.Reason, ByLine: by.Line, ByColumn: by.Column,
		})
	}
	return out
}
