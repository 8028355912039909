package main

import (
	"bytes"
	"fmt"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// tidyCommand writes a library's files in their one form.
type tidyCommand struct {
	Library string `arg:"" name:"LIBRARY" help:"Folder of the library."`
}

// Help is shown below the command's one line.
func (*tidyCommand) Help() string {
	return `Tables get one space around their cells, and are lined up where that takes little room; columns get their own names, cells pasted from a spreadsheet become a table, attributes stand in the order of the language reference, units are written by their symbols, and one empty line stands where there were several. Nothing is wrapped.

No page changes. There is nothing to choose, so that a library looks the same whoever tidied it.`
}

// Run tidies.
func (m *tidyCommand) Run(c *console) error {
	a := libraryArgument{Library: m.Library}
	c.on(a)
	files, closeIt, err := a.open()
	if err != nil {
		return err
	}
	defer closeIt()
	var log diagnostic.Log
	names, err := source.Files(files, &log)
	if err != nil {
		return err
	}
	reader := source.NewReader()
	settings, err := reader.Settings(files, &log)
	if err != nil {
		return err
	}
	reader = reader.For(settings.Language, func(name string) ([]byte, error) { return source.Load(files, name) })
	var changed []rewrite.File
	for _, name := range names {
		content, err := source.Load(files, name)
		if err != nil {
			continue // check says what is wrong with it
		}
		f := text.NewFile(name, content)
		if out := reader.Tidy(f); !bytes.Equal(out, content) {
			changed = append(changed, rewrite.File{Old: f, Source: out})
		}
	}
	if err := replace(m.Library, changed); err != nil {
		return err
	}
	for _, f := range changed {
		fmt.Fprintln(c.out, f.Old.Name)
	}
	if len(changed) == 0 {
		c.note(say.That("All files were tidy."))
	}
	return nil
}
