package main

import (
	"fmt"
	"slices"

	"matchmark/compile"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit/draft"
	"matchmark/procedure/say"
)

// refittingCommand writes the steps of a derived refitting as source.
type refittingCommand struct {
	libraryArgument
	Procedure string `name:"procedure" required:"" placeholder:"ID" help:"The procedure whose refitting it is."`
}

// Help is shown below the command's one line.
func (*refittingCommand) Help() string {
	return `The steps are printed as a refit file, to be put beside the procedure and edited: matchmark refitting shop --procedure gearbox-out > shop/refits/gearbox-back.md. Steps that you have written already are left out, and so is then the front matter: put the rest behind them with >>.

A step has the name of the removal's step that it turns round, with -back behind it, and takes the place of the derived one of that name: hood-off-back. What makes ready for a lift in the same step ends in -back-ready, the proof at the start is refit-start, what ends the work is refit-end. A step that differs between variants has, for all but the first, the variant's name behind its own. A step of yours with after=NAME stands where that says. One that does none of the derived acts keeps them, and all else that it does not state.

A paragraph that begins with ??? is a gap: it quotes what the words of the removal say, and you write in its place how the thing goes back. The check lists the gaps that are left.`
}

// Run prints.
func (m *refittingCommand) Run(c *console) error {
	read, err := m.readUnchecked(func(all []diagnostic.Diagnostic) error { return m.messages(c, all) })
	if err != nil {
		return err
	}
	lib, err := compile.DeriveRefittings(read)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(lib.Procedures, func(p *procedure.Procedure) bool { return p.ID == m.Procedure && p.Removal == nil })
	if i < 0 {
		var names []string
		for _, p := range read.Procedures {
			if p.Removal == nil {
				names = append(names, p.ID)
			}
		}
		return &failure{code: exitUsage, problem: say.That("there is no procedure %id", say.Quoted(m.Procedure)), do: say.That("name one of these: %names", say.Each[say.Name](say.Or, names))}
	}
	p := lib.Procedures[i]
	if p.Refitting == nil {
		c.warn(say.That("It leaves nothing to bring back."))
		return nil
	}
	out := draft.Source(p, p.Refitting)
	if out == "" {
		c.warn(say.That("Every step of its refitting is written."))
		return nil
	}
	_, err = fmt.Fprint(c.out, out)
	return err
}
