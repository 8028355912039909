package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"matchmark/compile"
	"matchmark/compile/report"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/record"
	"matchmark/procedure/regular"
)

// libraryAndFiles tells the library from the files that a command reads. is says of a name that it can be one of
// those; what names them, and ending how their names end.
func libraryAndFiles(words []string, is func(name string) bool, what, ending, command string) (libraryArgument, []string, error) {
	var from libraryArgument
	names := words
	if len(names) > 0 && !is(names[0]) {
		from.Library, names = names[0], names[1:]
	}
	if len(names) == 0 {
		return from, nil, &failure{code: exitUsage, problem: "missing: " + what, do: fmt.Sprintf("name files that end in %s; \"matchmark %s --help\" shows what stands in them", ending, command)}
	}
	for _, name := range names {
		if !is(name) {
			return from, nil, &failure{code: exitUsage, problem: fmt.Sprintf("%q is not %s", name, what), do: fmt.Sprintf("name files that end in %s; the library comes first", ending)}
		}
	}
	return from, names, nil
}

// libraryAndResults reads the library and the files of results, once it is sure that the page and the table can have the names
// that are asked for.
func libraryAndResults(c *console, from libraryArgument, names []string, html, csv string) (*procedure.Library, []collect.File, error) {
	for _, err := range []error{endsIn("-o", html, ".html"), endsIn("--csv", csv, ".csv"), notRead("--csv", csv, names)} {
		if err != nil {
			return nil, nil, err
		}
	}
	lib, err := libraryToMark(c, from)
	if err != nil {
		return nil, nil, err
	}
	files, err := readResults(names)
	return lib, files, err
}

// quizAndResults reads the library and the files, and finds the quiz that they are on: the one that is named, or that of most files.
func quizAndResults(c *console, from libraryArgument, names []string, quiz, html, csv string) (*procedure.Library, *procedure.Quiz, []collect.File, error) {
	lib, files, err := libraryAndResults(c, from, names, html, csv)
	if err != nil {
		return nil, nil, nil, err
	}
	q, err := quizOf(lib, quiz, files)
	if err != nil {
		return nil, nil, nil, err
	}
	from.demoHint(c)
	return lib, q, files, nil
}

// readResults reads files of results.
func readResults(names []string) ([]collect.File, error) {
	var files []collect.File
	for _, name := range names {
		data, err := regular.ReadFile(name, record.MostBytes)
		if err != nil {
			return nil, unreadable(name, err)
		}
		files = append(files, collect.File{Name: name, Data: data})
	}
	return files, nil
}

// libraryToMark reads the library without checking it: a class is marked by the quiz as it is.
func libraryToMark(c *console, from libraryArgument) (*procedure.Library, error) {
	lib, err := from.readUnchecked(func(all []diagnostic.Diagnostic) error {
		if err := from.messages(c.err, c.errColour, all); err != nil {
			return err
		}
		fmt.Fprintf(c.err, "\nThe library has errors, so nothing was marked.\n")
		return nil
	})
	if err != nil {
		return nil, err
	}
	return lib, compile.MakeQuestions(lib)
}

// outFile is a file that a command writes besides what it prints; without a name it is not asked for.
type outFile struct {
	name, words string
	write       func(io.Writer) error
}

// writeFiles writes the files that are asked for, and says so.
func writeFiles(c *console, files ...outFile) error {
	for _, out := range files {
		if out.name == "" {
			continue
		}
		var b bytes.Buffer
		if err := out.write(&b); err != nil {
			return &compile.InternalError{Err: err}
		}
		if err := os.WriteFile(out.name, b.Bytes(), 0o666); err != nil {
			return &failure{code: exitWorld, problem: fmt.Sprintf("%q cannot be written: %v", out.name, errors.Unwrap(err)), do: "name a file in a folder that may be written to"}
		}
		fmt.Fprintf(c.out, "\nWrote %s. %s\n", out.name, out.words)
	}
	return nil
}

// tellReport prints a report, and writes it as a page and as a table where that is asked for.
func tellReport(c *console, page *report.Page, html, csv, holds string, table [][]string) error {
	if err := page.Text(c.out); err != nil {
		return err
	}
	return writeFiles(c,
		outFile{html, "Open it in a browser; it can be printed from there.", page.HTML},
		outFile{csv, holds, func(w io.Writer) error { return report.CSV(w, table) }},
	)
}
