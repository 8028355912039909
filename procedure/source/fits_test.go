package source

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

const fitsHead = "---\nkind: machine\nid: m\ntitle: M\n---\n::: register tools\n| id | name | kind | fits |\n|---|---|---|---|\n"

func fitsOf(t *testing.T, cell string) (procedure.Fitting, string) {
	t.Helper()
	lib, log := readFiles(t, map[string]string{"m.md": fitsHead + "| a | A | tool | " + cell + " |\n:::\n"})
	said := ""
	for _, d := range log.Sorted() {
		if d.Code == "cell-value" || d.Code == "bad-quantity" || d.Code == "bad-name" || d.Code == "bad-time" {
			said += d.Says().String() + "\n"
		}
	}
	return lib.Machines[0].Tools[0].Use, said
}

func TestFits(t *testing.T) {
	for cell, want := range map[string]string{
		"":                                    "",
		"hex 18 mm":                           "turns hex 18 mm",
		"hex 18 mm, hex key 6 mm":             "turns hex 18 mm|hex key 6 mm",
		"hex key 5.5 mm":                      "turns hex key 5.5 mm",
		"T30":                                 "turns T30",
		"Pozidriv 2, slot 6":                  "turns Pozidriv 2|slot 6",
		"40-200 N·m":                          "40 N·m to 200 N·m",
		"40 to 200 N·m ± 4 %":                 "40 N·m to 200 N·m within 4 %",
		"30 N·m-150 N·m +/- 3%":               "30 N·m to 150 N·m within 3 %",
		"up to 60 N·m":                        "0 N·m to 60 N·m",
		"25 N·m":                              "25 N·m to 25 N·m",
		"20-100 lbf·ft":                       "20 lbf·ft to 100 lbf·ft",
		"remove hub":                          "remove: hub",
		"loosen, remove, up to 60 N·m":        "0 N·m to 60 N·m loosen remove:",
		"fit 7, 8":                            "fit: 7 8",
		"fit 7 and 8":                         "fit: 7 8",
		"8-10":                                ": 8 9 10",
		"hex 18 mm, tighten 4":                "turns hex 18 mm tighten: 4",
		"set down gearbox":                    "set down: gearbox",
		"mark":                                "mark:",
		"Remove hub; Hex 18 mm":               "turns hex 18 mm remove: hub",
		"hex 13 mm and hex 18 mm":             "turns hex 13 mm|hex 18 mm",
		"loosen and remove 4, 5":              "loosen remove: 4 5",
		"zone-barred, hub":                    ": zone-barred hub",
		"remove, fit, set down hood, gearbox": "remove fit set down: hood gearbox",
	} {
		got, said := fitsOf(t, cell)
		var words []string
		if len(got.Drives) > 0 {
			words = append(words, "turns "+strings.Join(got.Drives, "|"))
		}
		if !got.High.IsZero() {
			words = append(words, fmt.Sprint(got.Low, " to ", got.High))
		}
		if !got.Tolerance.IsZero() {
			words = append(words, fmt.Sprint("within ", got.Tolerance))
		}
		for _, v := range got.Verbs {
			words = append(words, string(v))
		}
		text := strings.Join(words, " ")
		if got.OfActs() {
			text += ":"
		}
		for _, r := range got.Things {
			text += " " + r.ID
		}
		if text != want || said != "" {
			t.Errorf("%q: %q, want %q; %s", cell, text, want, said)
		}
	}
}

func TestFitsSlips(t *testing.T) {
	for cell, want := range map[string]string{
		"18 mm":                 "neither a drive",
		"socket 18":             "neither a drive",
		"hex 18":                "neither a drive",
		"hex 0 mm":              "neither a drive",
		"10-60 N·m, 40-200 N·m": "has a range of torque already",
		"200-40 N·m":            "neither a drive",
		"40-200 N·m ± 4 N·m":    "is a torque, not a",
		"remove the hub":        "not a name",
		"40-200 N·m ± four":     "number",
	} {
		if _, said := fitsOf(t, cell); !strings.Contains(said, want) {
			t.Errorf("%q: %q, want %q", cell, said, want)
		}
	}
}

// Whatever stands in the cell, it is read or told about: nothing is lost without a word.
func FuzzFits(f *testing.F) {
	for _, s := range []string{"hex 18 mm, tighten 4", "40-200 N·m ± 4 %", "up to 60 N·m", "loosen, remove, 50-400 N·m", "fit 7, 8", "set down hub", "8-10", "T30", "5,5 mm", "remove the hub", "±", ", ,", "1 at 2; hub"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if len(s) > 300 || strings.ContainsAny(s, "\n\r") || !utf8.ValidString(s) {
			return
		}
		var log diagnostic.Log
		file := text.NewFile("m.md", []byte(s))
		r := &reader{log: &log, file: file, src: file.Source}
		from, to := trim(s, 0, len(s))
		c := &cells{r: r, form: registerForm(procedure.ToolRegister), row: row{cells: []pair{{"fits", cell{text: s[from:to], span: file.Span(from, to)}}}}}
		use := c.use()
		if !blank(s) && use.Empty() && len(log.Sorted()) == 0 {
			t.Errorf("%q is read as nothing, and nothing is said", s)
		}
		for _, ref := range use.Things {
			if ref.Span.Start < from || ref.Span.End > to {
				t.Errorf("%q: %q has the place %d to %d", s, ref.ID, ref.Span.Start, ref.Span.End)
			}
		}
	})
}
