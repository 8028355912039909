package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

var packed = []member{{"matchmark", 0o755, []byte("program")}, {"README.md", 0o644, []byte("words")}, {"LICENCES.txt", 0o644, []byte("licences")}}

// The same files give the same bytes, and each form is read by what reads such forms.
func TestPackages(t *testing.T) {
	at := time.Unix(1_700_000_000, 0).UTC()
	r := release{version: "v1.2.3-rc.1", made: at}
	forms := map[string]func() []byte{
		"zip": func() []byte { return zipped("m", packed, at) },
		"tar": func() []byte { return tarred("m/", packed, at) },
		"deb": func() []byte { return r.debian(target{"linux", "amd64"}, packed) },
	}
	for name, form := range forms {
		assert.Assert(t, bytes.Equal(form(), form()), name)
	}

	z, err := zip.NewReader(bytes.NewReader(forms["zip"]()), int64(len(forms["zip"]())))
	assert.NilError(t, err)
	assert.Equal(t, z.File[0].Name, "m/matchmark")
	assert.Equal(t, z.File[0].Mode().Perm(), os.FileMode(0o755))

	unpacked, err := gzip.NewReader(bytes.NewReader(forms["tar"]()))
	assert.NilError(t, err)
	names := ""
	for files := tar.NewReader(unpacked); ; {
		h, err := files.Next()
		if err == io.EOF {
			break
		}
		assert.NilError(t, err)
		names += h.Name + " "
	}
	assert.Equal(t, names, "./m/ m/matchmark m/README.md m/LICENCES.txt ")

	if _, err := exec.LookPath("dpkg-deb"); err != nil {
		t.Skip("dpkg-deb is not here: it reads the package on Debian")
	}
	file := filepath.Join(t.TempDir(), "m.deb")
	assert.NilError(t, os.WriteFile(file, forms["deb"](), 0o666))
	fields, err := exec.Command("dpkg-deb", "-f", file, "Package", "Version", "Architecture").CombinedOutput()
	assert.NilError(t, err, string(fields))
	assert.Equal(t, string(fields), "Package: matchmark\nVersion: 1.2.3~rc.1\nArchitecture: amd64\n")
	dir := t.TempDir()
	out, err := exec.Command("dpkg-deb", "-x", file, dir).CombinedOutput()
	assert.NilError(t, err, string(out))
	content, err := os.ReadFile(filepath.Join(dir, "usr/bin/matchmark"))
	assert.NilError(t, err)
	assert.Equal(t, string(content), "program")
}
