package compile

import (
	"context"
	"io/fs"
	"slices"

	"matchmark/compile/library"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

// Load checks a library and reads it as one model, for commands that need all of it.
// Faults of the author's go to the log, and the model is empty if there are errors among
// them; the error is the world's, such as a folder that cannot be read. Messages of the codes in but are left out.
func Load(files fs.FS, log *diagnostic.Log, but ...diagnostic.Code) (*procedure.Library, error) {
	var found diagnostic.Log
	if err := NewBuilder(files, Options{}).Check(context.Background(), nil, nil, &found); err != nil {
		return nil, err
	}
	for _, d := range found.Sorted() {
		if !slices.Contains(but, d.Code) {
			log.Add(d)
		}
	}
	if log.HasErrors() {
		return &procedure.Library{}, nil
	}
	return Model(files)
}

// Model reads a library that was checked before as one model. It reports nothing.
func Model(files fs.FS) (*procedure.Library, error) {
	_, lib, err := readModel(files, &diagnostic.Log{})
	return lib, err
}

func readModel(files fs.FS, log *diagnostic.Log) (*source.Library, *procedure.Library, error) {
	parts, err := source.Read(files, log)
	if err != nil {
		return nil, nil, err
	}
	lib := parts.Resolve(log)
	library.SizeFigures(files, lib)
	return parts, lib, nil
}

// OldForms lists the messages on files of a library without errors that are written in older
// forms, with the fixes that write them anew.
func OldForms(files fs.FS) ([]diagnostic.Diagnostic, error) {
	parts, _, err := readModel(files, &diagnostic.Log{})
	if err != nil {
		return nil, err
	}
	var log diagnostic.Log
	parts.OldForms(&log)
	return log.Sorted(), nil
}

// Language is the library's language, as the last look at it found it.
func (b *Builder) Language() string {
	return b.now.get(key{kind: settingsKind}).value.(*settings).lib.Language
}

// Procedures counts the library's procedures, as the last Check found it.
func (b *Builder) Procedures() int { return len(b.now.index().procedures) }
