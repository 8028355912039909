package main

import (
	"bytes"
	"io"
	"slices"

	"matchmark/compile"
	"matchmark/compile/report"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/record"
	"matchmark/procedure/say"
)

// resultEndings are how the names of files of results end.
var resultEndings = []string{".json", ".csv"}

// figuresOnQuestions is said of a table that was written.
var figuresOnQuestions = say.That("It holds the figures on each question.")

// aFileOfResults is what most commands on a quiz read.
var aFileOfResults = say.That("a file of results")

// libraryAndFiles tells the library from the files that a command reads. is says of a name that it can be one of
// those; what names them, and endings how their names end.
func libraryAndFiles(c *console, words []string, is func(name string) bool, what say.Text, endings []string, command string) (libraryArgument, []string, error) {
	var from libraryArgument
	names := words
	ending := say.Each[say.Word](say.Or, endings)
	takes := func(name string) bool { return name == standard || is(name) }
	if len(names) > 0 && !takes(names[0]) {
		from.Library, names = names[0], names[1:]
	}
	c.on(from)
	if len(names) == 0 {
		return from, nil, &failure{code: exitUsage, problem: say.That("missing: %what", what), do: say.That("name files that end in %ending; \"matchmark %command --help\" shows what stands in them", ending, say.Word(command))}
	}
	for _, name := range names {
		if !takes(name) {
			return from, nil, &failure{code: exitUsage, problem: say.That("%name is not %what", say.Quoted(name), what), do: say.That("name files that end in %ending; the library comes first", ending)}
		}
	}
	return from, names, onlyOnce(names)
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
		called, data, err := readFile(name, record.MostBytes)
		if err != nil {
			return nil, err
		}
		files = append(files, collect.File{Name: called, Data: data})
	}
	return files, nil
}

// libraryToMark reads the library without checking it: a class is marked by the quiz as it is.
func libraryToMark(c *console, from libraryArgument) (*procedure.Library, error) {
	lib, err := from.readUnchecked(func(all []diagnostic.Diagnostic) error {
		if err := from.messages(c, all); err != nil {
			return err
		}
		c.warn(say.That("\nThe library has errors, so nothing was marked."))
		return nil
	})
	if err != nil {
		return nil, err
	}
	return lib, compile.MakeQuestions(lib)
}

// outFile is a file that a command writes besides what it prints; without a name it is not asked for.
type outFile struct {
	name  string
	words say.Text
	write func(io.Writer) error
}

// toStandardOutput says whether a file that is asked for goes to standard output, in place of the text there. Only one can.
func toStandardOutput(names ...string) (bool, error) {
	first := slices.Index(names, standard)
	if first >= 0 && slices.Contains(names[first+1:], standard) {
		return false, &failure{code: exitUsage, problem: say.That("two files cannot both go to standard output"), do: say.That("give one of them a name")}
	}
	return first >= 0, nil
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
		if err := writeFile(c, out.name, out.words, b.Bytes()); err != nil {
			return err
		}
	}
	return nil
}

// tellReport prints a report, and writes it as a page and as a table where that is asked for.
func tellReport(c *console, page *report.Page, html, csv string, holds say.Text, table [][]string) error {
	instead, err := toStandardOutput(html, csv)
	if err != nil {
		return err
	}
	if !instead {
		if err := page.Text(c.out); err != nil {
			return err
		}
	}
	return writeFiles(c,
		outFile{html, openInBrowser, page.HTML},
		outFile{csv, holds, func(w io.Writer) error { return report.CSV(w, table) }},
	)
}
