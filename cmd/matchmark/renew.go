package main

import (
	"fmt"

	"matchmark/compile/mend"
	"matchmark/procedure/say"
)

// renewCommand writes a library in today's form of the language.
type renewCommand struct {
	Library string `arg:"" name:"LIBRARY" help:"Folder of the library."`
}

// Help is shown below the command's one line.
func (*renewCommand) Help() string {
	return `Steps that are blocks become headings, acts in blocks become task lists, and what is filled in by itself is left out, such as listed tools that follow from what a step does. No page changes: before anything is written, what the library says is compared with what it said before. Running it again changes nothing.

A library with errors is left as it is; put them right first. All files are written at the end, each in one go, and none when somebody has changed one of them meanwhile.`
}

// Run writes anew.
func (m *renewCommand) Run(c *console) error {
	from := libraryArgument{Library: m.Library}
	c.on(from)
	files, closeIt, err := from.open()
	if err != nil {
		return err
	}
	defer closeIt()
	renewed, err := mend.Renew(files)
	if err != nil {
		return err
	}
	if renewed.Log.HasErrors() {
		all := errorsOnly(renewed.Log.Sorted())
		if err := from.messages(c, all); err != nil {
			return err
		}
		c.warn(say.That("\nThe library has errors, so nothing was written."))
		return libraryErrors(all)
	}
	if err := replace(m.Library, renewed.Files); err != nil {
		return err
	}
	for _, f := range renewed.Files {
		fmt.Fprintf(c.out, "%s\n", f.Old.Name)
	}
	c.print(say.That("Wrote %count %count(file|files) in today's form.", say.Count(len(renewed.Files))))
	return nil
}
