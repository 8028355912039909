// Package published gives tests the published values that they check against.
// The files stand in testdata/reference; the head of each names its sources.
package published

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Row is one row of a table, by the heading of its columns.
type Row map[string]string

// Rows reads a table in CSV. Lines that start with # are comments.
func Rows(t testing.TB, file string) []Row {
	t.Helper()
	f, err := os.Open(place(t, file))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	if len(all) < 2 {
		t.Fatalf("%s has no rows", file)
	}
	var out []Row
	for _, cells := range all[1:] {
		row := Row{}
		for i, cell := range cells {
			row[all[0][i]] = cell
		}
		out = append(out, row)
	}
	return out
}

// Number reads a cell that must be a number.
func (r Row) Number(t testing.TB, column string) float64 {
	t.Helper()
	return Number(t, r[column])
}

// Number reads a text that must be a number.
func Number(t testing.TB, s string) float64 {
	t.Helper()
	n, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// JSON reads a file in JSON.
func JSON(t testing.TB, file string, into any) {
	t.Helper()
	data, err := os.ReadFile(place(t, file))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
}

// place finds a reference file from the folder of the package under test, which
// is where a test runs.
func place(t testing.TB, file string) string {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return filepath.Join(folder, "testdata", "reference", file)
		}
		up := filepath.Dir(folder)
		if up == folder {
			t.Fatal("no go.mod above the test")
		}
		folder = up
	}
}
