package main

import (
	"bytes"
	"io"
	"os"

	"matchmark/procedure/held"
	"matchmark/procedure/regular"
	"matchmark/procedure/say"
)

// standard is how standard input and output are named where a file could be.
const standard = "-"

// readFile reads a file that was named, or standard input. The name that it returns for standard input ends as that of
// a file would: in .json for what begins like JSON, else in .csv.
func readFile(name string, most int64) (called string, data []byte, err error) {
	if name != standard {
		if data, err = regular.ReadFile(name, most); err != nil {
			return name, nil, unreadable(name, err)
		}
		return name, data, nil
	}
	data, err = io.ReadAll(io.LimitReader(os.Stdin, most+1))
	switch {
	case err != nil:
		return name, nil, &failure{code: exitWorld, problem: say.That("standard input cannot be read: %cause", say.Why(err))}
	case int64(len(data)) > most:
		return name, nil, &failure{code: exitWorld, problem: say.That("standard input has more than %most MB", say.Count(most>>20)), do: say.That("give fewer files at once")}
	}
	if bytes.HasPrefix(bytes.TrimLeft(data, "\xef\xbb\xbf \t\r\n"), []byte("{")) {
		return "standard-input.json", data, nil
	}
	return "standard-input.csv", data, nil
}

// onlyOnce refuses standard input where it is named again: it was read to its end.
func onlyOnce(names []string) error {
	n := 0
	for _, name := range names {
		if name == standard {
			n++
		}
	}
	if n > 1 {
		return &failure{code: exitUsage, problem: say.That("- is named more than once, and standard input can be read once only")}
	}
	return nil
}

// openInBrowser is said of a page that was written.
var openInBrowser = say.That("Open it in a browser; it can be printed from there.")

// writeFile writes a file that was asked for and says so with words about it, or writes to standard output.
func writeFile(c *console, name string, words say.Text, content []byte) error {
	if name == standard {
		_, err := below(c.out).Write(content) // as it is: a file has bytes that a terminal must not act on
		return err
	}
	if err := held.WriteFile(name, content, 0o666); err != nil {
		do := say.That("name a file in a folder that may be written to")
		if held.InUse(err) {
			do = say.That("close it in the program that has it open, or name another file")
		}
		return &failure{code: exitWorld, problem: say.That("%name cannot be written: %cause", say.Quoted(name), say.Why(reason(err))), do: do}
	}
	c.note(say.That("Wrote %file. %words", say.Name(name), words))
	return nil
}
