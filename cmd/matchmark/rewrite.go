package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"matchmark/procedure/held"
	"matchmark/procedure/rewrite"
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
		return &failure{code: exitWorld, problem: meanwhile.File + " was changed while the command was at work", do: "run the command again; nothing was written"}
	case errors.As(err, &cannot):
		return cannotRewrite(cannot, len(changed))
	}
	return err
}

// cannotRewrite says why a file cannot be written, and what became of the others.
func cannotRewrite(e *rewrite.WriteError, all int) error {
	out := &failure{code: exitWorld, problem: e.Error()}
	var at *fs.PathError
	switch {
	case held.InUse(e):
		out.problem, out.do = e.File+" cannot be written: another program has it open", "close it there, and run the command again"
	case errors.Is(e, os.ErrPermission):
		out.problem, out.do = e.File+" cannot be written: its folder may not be written to", "ask its owner for leave"
	case errors.Is(e, os.ErrExist) && errors.As(e, &at):
		out.do = fmt.Sprintf("another command writes into the library, or one was cut short: take %s away", at.Path)
	}
	if e.Replaced > 0 {
		out.problem += fmt.Sprintf("; the files before it are written (%d of %d)", e.Replaced, all)
	}
	return out
}
