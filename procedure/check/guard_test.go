package check

import (
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// A rule that panics on one procedure says so there, and judges the others.
func TestRuleThatPanics(t *testing.T) {
	lib := &procedure.Library{}
	for _, name := range []string{"a.md", "b.md", "c.md"} {
		f := text.NewFile(name, []byte("x"))
		lib.Procedures = append(lib.Procedures, &procedure.Procedure{ID: strings.TrimSuffix(name, ".md"), File: f, Span: f.Span(0, 1)})
	}
	r := &rule{Rule: diagnostic.Rule{Code: "breaks", Severity: diagnostic.Warning}, run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.ID == "b" {
				panic("no such bolt")
			}
			report(diagnostic.Diagnostic{Span: p.Span, Wrong: say.That("seen")})
		}
	}}
	var log diagnostic.Log
	r.judge(lib, &log)
	var got []string
	for _, d := range log.Sorted() {
		own := ""
		if d.Fault != nil {
			own = " (own)"
		}
		got = append(got, d.Span.File.Name+" "+d.Severity.String()+" "+string(d.Code)+own)
	}
	if s := strings.Join(got, ", "); s != "a.md warning breaks, b.md error breaks (own), c.md warning breaks" {
		t.Error(s)
	}
}
