package main

import (
	"embed"
	"strings"
)

//go:embed schema/*.json
var schemas embed.FS

// schemaCommand prints the JSON Schema of what a command prints.
type schemaCommand struct {
	Of string `arg:"" name:"COMMAND" enum:"check,compare,mark,plan,revise,workorder" help:"The command: check, compare, mark, plan, revise or workorder."`
}

// Help is shown below the command's one line.
func (*schemaCommand) Help() string {
	return `It describes what the command prints with --format json (JSON Schema, 2020-12). New fields may come; fields that are there keep their names and meaning until the next major version.`
}

// Run prints the schema.
func (m *schemaCommand) Run(c *console) error {
	content, err := schemas.ReadFile("schema/" + strings.ToLower(m.Of) + ".json")
	if err != nil {
		return err
	}
	_, err = c.out.Write(content)
	return err
}
