package interchange

import (
	"archive/zip"
	"bytes"
	"fmt"
	"maps"
	"slices"
	"time"
)

// archive packs files into a ZIP file. The same files give the same bytes: the
// manifest comes first, the others by name, and all have the earliest time that ZIP knows.
func archive(files map[string][]byte) ([]byte, error) {
	names := slices.Sorted(maps.Keys(files))
	if at := slices.Index(names, Manifest); at >= 0 {
		names = slices.Insert(slices.Delete(names, at, at+1), 0, Manifest)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, name := range names {
		f, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)})
		if err == nil {
			_, err = f.Write(files[name])
		}
		if err != nil {
			return nil, fmt.Errorf("packing %s: %w", name, err)
		}
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("packing: %w", err)
	}
	return out.Bytes(), nil
}
