// Package classlist reads the list of a class, and names as people type them.
package classlist

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// MostBytes and Most bound a list: its bytes, and the names on it.
const (
	MostBytes = 128 << 10
	Most      = 1000
)

// Read reads names, groups and own ids: three columns in this order, or in any order under a line that names them. Cells are
// parted by comma, semicolon or tab.
func Read(content []byte) ([]store.Person, error) {
	if !utf8.Valid(content) {
		return nil, errors.New("it is no UTF-8 text")
	}
	text := strings.TrimPrefix(string(content), "\ufeff")
	first, _, _ := strings.Cut(text, "\n")
	cells := csv.NewReader(strings.NewReader(text))
	cells.FieldsPerRecord, cells.LazyQuotes, cells.TrimLeadingSpace = -1, true, true
	for _, comma := range []rune{';', '\t'} {
		if strings.ContainsRune(first, comma) {
			cells.Comma = comma
			break
		}
	}
	name, team, own := 0, 1, 2
	cell := func(line []string, i int) string {
		if i < 0 || i >= len(line) {
			return ""
		}
		return Name(line[i])
	}
	var out []store.Person
	for begun := false; ; begun = true {
		line, err := cells.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		if at := headings(line); at != nil && !begun {
			name, team, own = at[0], at[1], at[2]
			continue
		}
		p := store.Person{Name: cell(line, name), Team: cell(line, team), Own: cell(line, own)}
		for _, s := range []string{p.Name, p.Team, p.Own} {
			if utf8.RuneCountInString(s) > record.LongestName {
				at, _ := cells.FieldPos(0)
				return nil, fmt.Errorf("line %d: %q has more than %d characters", at, s, record.LongestName)
			}
		}
		if p.Name != "" {
			out = append(out, p)
		}
	}
	switch {
	case len(out) == 0:
		return nil, errors.New("there is no name in it")
	case len(out) > Most:
		return nil, fmt.Errorf("it has %d names, and %d are the most", len(out), Most)
	}
	return out, nil
}

// headings finds the columns by their names, in English or German; nil for a line that has none of a name.
func headings(line []string) []int {
	find := func(words ...string) int {
		return slices.IndexFunc(line, func(s string) bool { return slices.Contains(words, strings.ToLower(strings.TrimSpace(s))) })
	}
	if name := find("name", "learner", "teilnehmer"); name >= 0 {
		return []int{name, find("group", "gruppe", "class", "klasse"), find("id", "own id", "number", "nummer", "kennung")}
	}
	return nil
}

// Name is a name as it may be typed: without line breaks, surplus spaces, and characters that nobody sees, such as those that turn the direction of
// writing and make one name look like another. The joiners that some scripts need stay.
// Source: Unicode Standard Annex #9 (directional formatting characters) and #31, 2.3 (joiners).
func Name(name string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		switch {
		case r == '\u200c' || r == '\u200d':
			return r
		case unicode.In(r, unicode.Zl, unicode.Zp, unicode.Cc):
			return ' '
		case unicode.In(r, unicode.Cf, unicode.Co):
			return -1
		}
		return r
	}, name)), " ")
}
