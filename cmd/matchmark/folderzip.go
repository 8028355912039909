package main

import (
	"archive/zip"
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"matchmark/procedure/say"
)

// folderOrZip is where a command writes a folder: the folder that was named or, for a name that ends in .zip, one that
// finish packs into that file.
type folderOrZip struct {
	folder string
	zip    string
}

// newFolderOrZip makes the folder that is packed later beside the file, so that there is room for both or for neither.
func newFolderOrZip(name string) (*folderOrZip, error) {
	if name == standard {
		return nil, &failure{code: exitUsage, problem: say.That("a site cannot go to standard output"), do: say.That("name a folder with -o, or a file that ends in .zip")}
	}
	if !strings.EqualFold(filepath.Ext(name), ".zip") {
		return &folderOrZip{folder: name}, nil
	}
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return nil, &failure{code: exitUsage, problem: say.That("%name is a folder; a name that ends in .zip is a file", say.Quoted(name)), do: say.That("name another file with -o")}
	}
	err := os.MkdirAll(filepath.Dir(name), 0o777)
	dir := ""
	if err == nil {
		dir, err = os.MkdirTemp(filepath.Dir(name), ".matchmark-zip-*")
	}
	if err != nil {
		return nil, &failure{code: exitWorld, problem: say.That("%name cannot be written: %cause", say.Quoted(name), say.Why(reason(err))), do: say.That("name a file in a folder that may be written to")}
	}
	return &folderOrZip{folder: filepath.Join(dir, "site"), zip: name}, nil
}

// abandon takes away what was made to be packed.
func (f *folderOrZip) abandon() {
	if f.zip != "" {
		os.RemoveAll(filepath.Dir(f.folder))
	}
}

// finish packs the folder, in the order of names and without times: the same files give the same bytes.
func (f *folderOrZip) finish() error {
	if f.zip == "" {
		return nil
	}
	var packed bytes.Buffer
	out := zip.NewWriter(&packed)
	files := os.DirFS(f.folder)
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		w, err := out.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		_, err = w.Write(content)
		return err
	})
	if err == nil {
		err = out.Close()
	}
	if err == nil {
		err = writeWhole(f.zip, packed.Bytes())
	}
	if err != nil {
		return &failure{code: exitWorld, problem: say.That("%name cannot be written: %cause", say.Quoted(f.zip), say.Why(reason(err))), do: say.That("name a file in a folder that may be written to")}
	}
	return nil
}
