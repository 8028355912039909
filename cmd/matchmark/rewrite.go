package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"

	"matchmark/procedure/revise"
)

// rewrite puts new sources in the place of a library's files: all new ones are
// written beside the old ones first, and each takes the old one's place in one
// go. A file that somebody has changed since it was read stops it before anything is changed.
func rewrite(dir string, changed []revise.Rewritten) (err error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return noLibrary(dir, err)
	}
	defer root.Close()
	var beside []string
	defer func() {
		for _, name := range beside {
			root.Remove(name) // those that took their place are not there any more
		}
	}()
	for _, f := range changed {
		name, err := writeBeside(root, f)
		if name != "" {
			beside = append(beside, name)
		}
		if err != nil {
			return cannotRewrite(f, err)
		}
	}
	for _, f := range changed {
		now, err := root.ReadFile(f.File.Name)
		if err != nil {
			return cannotRewrite(f, err)
		}
		if !bytes.Equal(now, f.File.Source) {
			return &failure{code: exitWorld, problem: f.File.Name + " was changed while the new times were worked out", do: "run the command again; nothing was written"}
		}
	}
	for i, f := range changed {
		if err := root.Rename(beside[i], f.File.Name); err != nil {
			done := "nothing was written"
			if i > 0 {
				done = fmt.Sprintf("the files before it have their new times (%d of %d)", i, len(changed))
			}
			return cannotRewrite(f, fmt.Errorf("%w; %s", err, done))
		}
	}
	return nil
}

// writeBeside writes a file's new source next to it, with the same permissions.
// It returns the name of what it has written, also when it fails in the middle.
func writeBeside(root *os.Root, f revise.Rewritten) (name string, err error) {
	info, err := root.Lstat(f.File.Name)
	if err != nil {
		return "", err
	}
	if !info.Mode().IsRegular() {
		return "", errors.New("it is a link, and what it leads to may be shared with others; change the time there by hand")
	}
	name = path.Join(path.Dir(f.File.Name), "."+path.Base(f.File.Name)+".new")
	out, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, info.Mode().Perm())
	if err != nil {
		return "", err
	}
	_, err = out.Write(f.Source)
	// The umask does not count: the file keeps the permissions that it has.
	err = errors.Join(err, out.Chmod(info.Mode().Perm()), out.Sync(), out.Close())
	return name, err
}

// cannotRewrite says why a file cannot be written.
func cannotRewrite(f revise.Rewritten, err error) error {
	out := &failure{code: exitWorld, problem: fmt.Sprintf("%s cannot be written: %v", f.File.Name, err)}
	var at *fs.PathError
	switch {
	case errors.Is(err, os.ErrPermission):
		out.problem, out.do = f.File.Name+" cannot be written: its folder may not be written to", "ask its owner for leave"
	case errors.Is(err, os.ErrExist) && errors.As(err, &at):
		out.do = fmt.Sprintf("another revise is at work, or one was cut short: take %s away", at.Path)
	}
	return out
}
