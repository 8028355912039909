package main

import (
	"fmt"

	"matchmark/compile/reference/guide"
	"matchmark/procedure/diagnostic"
)

// guideCommand prints a page of the guide.
type guideCommand struct {
	Topic string `arg:"" optional:"" name:"TOPIC" help:"The page. Without it, all pages are listed."`
}

// Run prints.
func (m *guideCommand) Run(c *console) error {
	if m.Topic == "" {
		for _, topic := range guide.Topics() {
			title, _ := guide.Title(topic, c.messages)
			fmt.Fprintf(c.out, "%-16s %s\n", topic, title)
		}
		return nil
	}
	content, _, there := guide.Page(m.Topic, c.messages)
	if !there {
		do := `"matchmark guide" lists all pages`
		if near := diagnostic.Nearest(m.Topic, guide.Topics()); near != "" {
			do = fmt.Sprintf("did you mean %q? %s", near, do)
		}
		return &failure{code: exitUsage, problem: fmt.Sprintf("there is no page %q in the guide", m.Topic), do: do}
	}
	_, err := fmt.Fprint(c.out, content)
	return err
}
