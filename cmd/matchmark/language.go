package main

import (
	"fmt"

	"matchmark/compile/reference"
)

// languageCommand prints the language reference.
type languageCommand struct{}

// Run prints.
func (*languageCommand) Run(c *console) error {
	_, err := fmt.Fprint(c.out, reference.LanguageText())
	return err
}
