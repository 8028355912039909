package main

import (
	"fmt"

	"matchmark/compile/reference/guide"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
		do := say.That(`"matchmark guide" lists all pages`)
		if near := diagnostic.Nearest(m.Topic, guide.Topics()); near != "" {
			do = say.That("did you mean %near? %do", say.Quoted(near), do)
		}
		return &failure{code: exitUsage, problem: say.That("there is no page %topic in the guide", say.Quoted(m.Topic)), do: do}
	}
	_, err := fmt.Fprint(c.out, content)
	return err
}
