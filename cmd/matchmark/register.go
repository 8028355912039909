package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
	"matchmark/procedure/spreadsheet"
)

// registerCommand writes a table of a spreadsheet as a register.
type registerCommand struct {
	File     string `arg:"" name:"FILE" help:"The table: a file saved as .xlsx, .csv or .tsv."`
	As       string `required:"" enum:"variants,parts,fasteners,connections,fluids,supports,conditions,tools" placeholder:"REGISTER" help:"Which register it is: variants, parts, fasteners, connections, fluids, supports, conditions or tools."`
	Sheet    string `placeholder:"NAME" help:"The sheet of a spreadsheet that has several."`
	Leave    string `placeholder:"HEADINGS" help:"Headings of columns to leave out, separated by commas."`
	Language string `default:"en" placeholder:"TAG" help:"The language of the numbers in a .csv or .tsv: de has a decimal comma. It is en when not given."`
}

// Help is shown below the command's one line.
func (*registerCommand) Help() string {
	return `The register is printed, to be put into a machine file: matchmark register bolts.xlsx --as fasteners >> machines/mixer.md. From then on you change it there.

To go on working in the spreadsheet, link to it instead: ::: register fasteners {from=lists/bolts.xlsx}. It is then read at every compile.`
}

// Run prints.
func (m *registerCommand) Run(c *console) error {
	content, err := source.Load(os.DirFS(filepath.Dir(m.File)), filepath.Base(m.File))
	if err != nil {
		return &failure{code: exitWorld, problem: say.That("%file cannot be read: %cause", say.Name(m.File), say.Why(reason(err))), do: say.That("check the name, and that the file is not larger than 4 MB")}
	}
	name := filepath.Base(m.File)
	if !spreadsheet.Reads(name) {
		return &failure{code: exitUsage, problem: say.That("%file is no table that can be read", say.Name(m.File)), do: say.That("save it as .xlsx, .csv or .tsv")}
	}
	var log diagnostic.Log
	out := source.NewReader().For(m.Language, nil).TakeOver(name, content, procedure.RegisterKind(m.As), m.Sheet, m.Leave, &log)
	if all := log.Sorted(); log.HasErrors() {
		if err := (diagnostic.Printer{Excerpt: true, Language: c.language()}).Print(below(c.err), all); err != nil {
			return err
		}
		return libraryErrors(all)
	}
	_, err = fmt.Fprint(c.out, out)
	return err
}

// reason is an error without the path, which is named already.
func reason(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

// workbookCommand writes a machine's registers into a spreadsheet.
type workbookCommand struct {
	libraryArgument
	Machine string `required:"" placeholder:"ID" help:"The machine."`
	Output  string `short:"o" placeholder:"FILE.xlsx" help:"The spreadsheet. ID.xlsx here when not given."`
}

// Help is shown below the command's one line.
func (*workbookCommand) Help() string {
	return `One sheet for each register, with all its columns: to print, to fill in, or to link to as {from=FILE}. An old file of that name is not replaced.`
}

// Run writes.
func (m *workbookCommand) Run(c *console) error {
	machine, err := m.machine(c, m.Machine)
	if err != nil {
		return err
	}
	content, err := spreadsheet.Write(source.Sheets(machine))
	if err != nil {
		return fmt.Errorf("writing the spreadsheet: %w", err)
	}
	name := m.Output
	if name == "" {
		name = m.Machine + ".xlsx"
	}
	return writeNewFile(c, name, content)
}

// writeNewFile writes a file that must not be there yet.
func writeNewFile(c *console, name string, content []byte) error {
	if name == standard {
		_, err := below(c.out).Write(content)
		return err
	}
	out, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return &failure{code: exitUsage, problem: say.That("%name is there already", say.Name(name)), do: say.That("name another file with -o, or move the old one away")}
	}
	if err == nil {
		_, err = out.Write(content)
		err = errors.Join(err, out.Close())
	}
	if err != nil {
		return &failure{code: exitWorld, problem: say.That("%name cannot be written: %cause", say.Name(name), say.Why(reason(err))), do: say.That("name another folder with -o")}
	}
	c.note(say.That("Wrote %file.", say.Name(name)))
	return nil
}
