package main

import (
	"errors"
	"io/fs"
	"os"

	"matchmark/procedure/held"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
)

// replace puts new sources in the place of a library's files, and says in words what stood in the way.
func replace(dir string, changed []rewrite.File) error {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return noLibrary(dir, err)
	}
	defer root.Close()
	err = rewrite.Replace(root, changed)
	var meanwhile *rewrite.ChangedError
	var cannot *rewrite.WriteError
	switch {
	case errors.As(err, &meanwhile):
		return &failure{code: exitWorld, problem: say.That("%file was changed while the command was at work", say.Name(meanwhile.File)), do: say.That("run the command again; nothing was written")}
	case errors.As(err, &cannot):
		return cannotRewrite(cannot, len(changed))
	}
	return err
}

// cannotRewrite says why a file cannot be written, and what became of the others.
func cannotRewrite(e *rewrite.WriteError, all int) error {
	out := &failure{code: exitWorld, problem: say.Why(e)}
	var at *fs.PathError
	switch {
	case held.InUse(e):
		out.problem, out.do = say.That("%file cannot be written: another program has it open", say.Name(e.File)), say.That("close it there, and run the command again")
	case errors.Is(e, os.ErrPermission):
		out.problem, out.do = say.That("%file cannot be written: its folder may not be written to", say.Name(e.File)), say.That("ask its owner for leave")
	case errors.Is(e, os.ErrExist) && errors.As(e, &at):
		out.do = say.That("another command writes into the library, or one was cut short: take %file away", say.Name(at.Path))
	}
	if e.Replaced > 0 {
		out.problem = say.That("%problem; the files before it are written (%written of %all)", out.problem, say.Count(e.Replaced), say.Count(all))
	}
	return out
}
