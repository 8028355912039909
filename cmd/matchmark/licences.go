package main

import (
	_ "embed"
	"fmt"
)

// licences are those of all that the command is built from. "go run ./.ci/licences" writes them.
//
//go:embed licences.txt
var licences string

// licencesCommand prints the licences.
type licencesCommand struct{}

// Run prints.
func (*licencesCommand) Run(c *console) error {
	_, err := fmt.Fprint(c.out, licences)
	return err
}
