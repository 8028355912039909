package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// TestPhotosBesideARecord spoils the photos that lie beside the demo's record: what
// is not the picture that the record names is reported and left out.
func TestPhotosBesideARecord(t *testing.T) {
	const folder = "../../content/records"
	data, err := os.ReadFile(filepath.Join(folder, "mixer-no-4.json"))
	assert.NilError(t, err)
	names, err := filepath.Glob(filepath.Join(folder, "photos", "*.jpg"))
	if err != nil || len(names) != 2 {
		t.Fatalf("%q, want two photos (%v)", names, err)
	}
	first, err := os.ReadFile(names[0])
	assert.NilError(t, err)
	for _, c := range []struct {
		name  string
		first []byte // what lies there as the first photo; nil for nothing
		there int
		told  string
	}{
		{"as it is", first, 1, ""},
		{"away", nil, 0, ""},
		{"no picture", []byte("<svg/>"), 0, "the photo is no JPEG"},
		{"too large", append(bytes.Clone(first), make([]byte, 2<<20)...), 0, "too large"},
		{"another picture", append(bytes.Clone(first), 0), 0, "not the one that the record names"},
	} {
		dir := t.TempDir()
		record := filepath.Join(dir, "job.json")
		assert.NilError(t, os.WriteFile(record, data, 0o666))
		if c.first != nil {
			assert.NilError(t, os.Mkdir(filepath.Join(dir, "photos"), 0o777))
			assert.NilError(t, os.WriteFile(filepath.Join(dir, "photos", filepath.Base(names[0])), c.first, 0o666))
		}
		var told bytes.Buffer
		job, err := readJob(&console{err: &told}, []string{record, record}, false)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if len(job.photos) != c.there || !strings.Contains(told.String(), c.told) || c.told == "" && told.Len() > 0 {
			t.Errorf("%s: %d photos are there, want %d; it says %q, want %q", c.name, len(job.photos), c.there, told.String(), c.told)
		}
	}
}
