package main

import (
	"os"
	"path/filepath"
	"strings"

	"matchmark/procedure/say"
)

// endsIn refuses a name for a file to write that ends in another way than such files do:
// it is likely one of the author's own, which would be lost.
func endsIn(option, name, ending string) error {
	if name == "" || name == standard || strings.EqualFold(filepath.Ext(name), ending) {
		return nil
	}
	return &failure{code: exitUsage, problem: say.That("%option: %name does not end in %ending", say.Name(option), say.Quoted(name), say.Name(ending)), do: say.That("name a file that does; nothing was written")}
}

// notRead refuses a name for a file to write under which one of those lies that are read.
func notRead(option, name string, read []string) error {
	there, err := os.Stat(name)
	if name == "" || err != nil {
		return nil // there is nothing to lose
	}
	for _, r := range read {
		if other, err := os.Stat(r); err == nil && os.SameFile(there, other) {
			return &failure{code: exitUsage, problem: say.That("%option: %name is one of the files that are read", say.Name(option), say.Quoted(name)), do: say.That("name another file; nothing was written")}
		}
	}
	return nil
}
