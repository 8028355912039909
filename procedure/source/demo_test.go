package source

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// What the registers of the demo library cost to read and to write. When each row stood in one table, whatever
// it had to say, its tables had 19,862 characters, and 66 lines were longer than 100, up to 219.
const (
	tablesBefore = 19_862
	mostInTables = tablesBefore * 70 / 100
	widestInDemo = 100
)

// measuredMachines are those that were there when the measure was taken; of the others only the width counts.
var measuredMachines = []string{"deck-oven.md", "dough-sheeter.md", "spiral-mixer.md"}

// What tools fit stood in the steps before, and is counted where those are; here it is left out.
var (
	lastCell  = regexp.MustCompile(`[^|]*\|$`)
	fitsPiece = regexp.MustCompile(`\bfits [^;]*;? ?`)
)

func TestRegistersOfTheDemoAreShort(t *testing.T) {
	names, err := filepath.Glob("../../content/machines/*.md")
	if err != nil || len(names) == 0 {
		t.Fatal(err)
	}
	tables, all := 0, 0
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		measured := slices.Contains(measuredMachines, filepath.Base(name))
		inside, fits := false, fitsPiece
		for n, line := range strings.Split(string(src), "\n") {
			switch {
			case strings.HasPrefix(line, "::: register"):
				inside = true
				continue
			case line == ":::":
				inside = false
			}
			if !inside || line == "" {
				continue
			}
			if strings.HasPrefix(line, "|") && strings.HasSuffix(strings.TrimRight(line, " |"), " fits") {
				fits = lastCell
			} else if !strings.HasPrefix(line, "|") {
				fits = fitsPiece
			}
			length := utf8.RuneCountInString(line)
			inTable := strings.HasPrefix(line, "|")
			if inTable && length > widestInDemo {
				t.Errorf("%s:%d has %d characters in a line of a table", name, n+1, length)
			}
			if !measured {
				continue
			}
			all += length + 1 - utf8.RuneCountInString(strings.Join(fits.FindAllString(line, -1), ""))
			if inTable {
				tables += length + 1
			}
		}
	}
	t.Logf("tables %d characters (before: %d), all of the registers %d", tables, tablesBefore, all)
	if tables > mostInTables {
		t.Errorf("the tables have %d characters, over %d", tables, mostInTables)
	}
	// What left the tables stands in lines of its own, and is less than what the empty cells were.
	const rowsSince = 4200 // of some 45 rows and notes that were not there then: hasp, shoes, grease, cleaning, test points, places, waste, documents, sources, risks
	if all >= tablesBefore+rowsSince {
		t.Errorf("the registers have %d characters, over %d", all, tablesBefore+rowsSince)
	}
}
