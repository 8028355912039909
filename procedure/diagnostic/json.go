package diagnostic

import (
	"encoding/json"
	"io"
	"slices"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

type jsonPlace struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Why    string `json:"why,omitempty"`
}

type jsonDiagnostic struct {
	Code     Code        `json:"code"`
	Severity string      `json:"severity"`
	File     string      `json:"file,omitempty"`
	Line     int         `json:"line,omitempty"`
	Column   int         `json:"column,omitempty"`
	EndLine  int         `json:"endLine,omitempty"`
	EndCol   int         `json:"endColumn,omitempty"`
	Message  string      `json:"message"`
	Do       string      `json:"do,omitempty"`
	WayBack  bool        `json:"wayBack,omitempty"`
	Variants []string    `json:"variants,omitempty"`
	See      []jsonPlace `json:"see,omitempty"`
	Fixes    []jsonFix   `json:"fixes,omitempty"`
	// Because is the message that this one follows from.
	Because *jsonCause `json:"because,omitempty"`
}

type jsonCause struct {
	Code   Code   `json:"code"`
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
}

type jsonFix struct {
	Title string     `json:"title"`
	Safe  bool       `json:"safe"`
	Edits []jsonEdit `json:"edits"`
}

// jsonEdit replaces a place's text; the end is behind the last character.
type jsonEdit struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	EndLine int    `json:"endLine"`
	EndCol  int    `json:"endColumn"`
	Text    string `json:"text"`
}

// PrintJSON writes the diagnostics as one JSON array, for editors and scripts. Their words are in a language, nil for English;
// severities and codes are the same in all.
func PrintJSON(w io.Writer, language say.Language, all []Diagnostic) error {
	out := make([]jsonDiagnostic, 0, len(all))
	for _, d := range slices.Concat(Grouped(all)...) {
		j := jsonDiagnostic{
			Code: d.Code, Severity: d.Severity.String(), Message: d.Wrong.In(language), Do: d.Advice.In(language),
			WayBack: d.Refitting, Variants: d.Variants,
		}
		if d.Span.Valid() {
			from, to := bounds(d.Span)
			j.File, j.Line, j.Column, j.EndLine, j.EndCol = from.File, from.Line, from.Column, to.Line, to.Column
		}
		for _, r := range d.See {
			pos := r.Span.At()
			j.See = append(j.See, jsonPlace{File: pos.File, Line: pos.Line, Column: pos.Column, Why: r.Says.In(language)})
		}
		for _, f := range d.Fixes {
			fix := jsonFix{Title: f.Title.In(language), Safe: f.Safe}
			for _, e := range f.Edits {
				from, to := bounds(e.Span)
				fix.Edits = append(fix.Edits, jsonEdit{from.File, from.Line, from.Column, to.Line, to.Column, e.Text})
			}
			j.Fixes = append(j.Fixes, fix)
		}
		if d.Because != nil {
			at := d.Because.At()
			j.Because = &jsonCause{Code: d.Because.Code, File: at.File, Line: at.Line, Column: at.Column}
		}
		out = append(out, j)
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}

func bounds(s text.Span) (from, to text.Position) {
	return s.At(), s.File.Position(s.End)
}
