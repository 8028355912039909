package main

import (
	"fmt"

	"matchmark/compile/reference"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// explainCommand says what a code means.
type explainCommand struct {
	Code string `arg:"" name:"CODE" optional:"" help:"The code in the message. Without it, all codes are listed."`
}

// Run explains.
func (m *explainCommand) Run(c *console) error {
	rules := reference.Rules()
	if m.Code == "" {
		width := 0
		for _, r := range rules {
			width = max(width, len(r.Code))
		}
		for _, r := range rules {
			fmt.Fprintf(c.out, "%-*s  %-7s  %s\n", width, r.Code, r.Severity.In(c.language()), c.language().Of(r.Title))
		}
		return nil
	}
	if text, ok := reference.Explain(m.Code, c.language()); ok {
		_, err := fmt.Fprint(c.out, text)
		return err
	}
	var codes []string
	for _, r := range rules {
		codes = append(codes, string(r.Code))
	}
	do := say.That(`"matchmark explain" lists all codes`)
	if near := diagnostic.Nearest(m.Code, codes); near != "" {
		do = say.That("did you mean %near? %do", say.Quoted(near), do)
	}
	return &failure{code: exitUsage, problem: say.That("there is no code %code", say.Quoted(m.Code)), do: do}
}
