package main

import (
	"fmt"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// similarCommand says what differs between a machine and the one that it is like.
type similarCommand struct {
	libraryArgument
	Machine string `required:"" placeholder:"ID" help:"The machine, whose front matter says like: OTHER."`
}

// Help is shown below the command's one line.
func (*similarCommand) Help() string {
	return `What the machine has in another way, in addition or not at all; and what it has from the other machine that names one of these: rows whose torque, mark or place may not fit any more, and figures that show something else.`
}

// Run prints.
func (m *similarCommand) Run(c *console) error {
	machine, err := m.machine(c, m.Machine)
	if err != nil {
		return err
	}
	if machine.Like == nil {
		return &failure{code: exitUsage, problem: say.That("the machine %id is like no other", say.Quoted(machine.ID)), do: say.That("write \"like: OTHER\" into its front matter")}
	}
	d := machine.Differs()
	c.print(say.That("%machine is like %other.", say.Name(machine.Title), say.Name(machine.Like.Title)))
	for _, part := range []struct {
		says  say.Text
		names []string
	}{{say.That("In another way"), d.Changed}, {say.That("In addition"), d.Added}, {say.That("Without"), d.Without}} {
		if len(part.names) > 0 {
			fmt.Fprintf(c.out, "%s: %s\n", c.in(part.says), strings.Join(part.names, ", "))
		}
	}
	if len(d.Again) == 0 {
		c.print(say.That("Nothing that it has from there names any of these."))
		return nil
	}
	c.print(say.That("\nLook again at:"))
	for _, a := range d.Again {
		what := say.That("%id", say.Name(a.ID))
		if a.Figure {
			what = say.That("figure %id", say.Name(a.ID))
		}
		c.print(say.That("  %what (%name), because of %causes", what, say.Name(a.Name), say.Name(a.String())))
	}
	return nil
}

// machine reads the library, whatever is wrong elsewhere in it, and finds a machine by its id.
func (a *libraryArgument) machine(c *console, id string) (*procedure.Machine, error) {
	lib, err := a.readUnchecked(func(all []diagnostic.Diagnostic) error { return a.messages(c, all) })
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, m := range lib.Machines {
		if m.ID == id {
			return m, nil
		}
		ids = append(ids, m.ID)
	}
	f := &failure{code: exitUsage, problem: say.That("there is no machine %id", say.Quoted(id))}
	if near := diagnostic.Nearest(id, ids); near != "" {
		f.do = say.That("did you mean %near?", say.Quoted(near))
	}
	return nil, f
}
