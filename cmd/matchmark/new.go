package main

import (
	"fmt"
	"path/filepath"

	"matchmark/compile/starter"
	"matchmark/procedure/say"
)

// newCommand starts a library.
type newCommand struct {
	Dir string `arg:"" name:"DIR" help:"Folder for the library; it must be empty or not there yet."`
}

// Help is shown below the command's one line.
func (*newCommand) Help() string {
	return `It writes one machine, one procedure with a figure, a quiz and a course. Each file says in its comments what it is for and what else can be written in it.`
}

// Run writes the library.
func (m *newCommand) Run(c *console) error {
	names, err := starter.Write(m.Dir)
	if err != nil {
		return err
	}
	for _, name := range names {
		fmt.Fprintln(c.out, filepath.Join(m.Dir, filepath.FromSlash(name)))
	}
	c.note(say.That("See it: matchmark watch %folder\nThen read %file.", say.Name(typed(m.Dir)), say.Name(filepath.Join(m.Dir, "README.md"))))
	return nil
}
