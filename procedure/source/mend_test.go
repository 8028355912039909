package source

import (
	"testing"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

// Each line with one slip of the pen, and as the safe fix writes it; "" where nothing is sure.
func TestFixesOfOpeningLines(t *testing.T) {
	for line, want := range map[string]string{
		"::: stpe look \"Look\" {time=2}":                   "::: step look \"Look\" {time=2}",
		"::: step look “Look” {time=2}":                     "::: step look \"Look\" {time=2}",
		"::: step look „Look“ {time=2}":                     "::: step look \"Look\" {time=2}",
		"::: step look “Look {time=2}":                      "",
		"::: step look \"Look {time=2}":                     "::: step look \"Look\" {time=2}",
		"::: step look \"Look":                              "::: step look \"Look\"",
		"::: step look \"Look {at} {time=2}":                "",
		"::: step look \"Look\" {time=2":                    "::: step look \"Look\" {time=2}",
		"::: step look \"Look\" {time=2  ":                  "::: step look \"Look\" {time=2}  ",
		"::: step look \"Look\" {time=2 tools=\"spanner}":   "::: step look \"Look\" {time=2 tools=\"spanner\"}",
		"::: step look \"Look\" {tools=\"spanner time=2}":   "",
		"::: step look \"Look\" {time =2}":                  "::: step look \"Look\" {time=2}",
		"::: step look \"Look\" {time = 2 people=2}":        "::: step look \"Look\" {time=2 people=2}",
		"::: step look \"Look\" {time= 2}":                  "::: step look \"Look\" {time=2}",
		"::: step look \"Look\" {time= \"2\"}":              "::: step look \"Look\" {time=\"2\"}",
		"::: step look \"Look\" {time= people=2}":           "",
		"::: step look \"Look\" {tiem=2}":                   "::: step look \"Look\" {time=2}",
		"::: step look \"Look\" {time=2, people=2}":         "::: step look \"Look\" {time=2 people=2}",
		"::: step look \"Look\" {time=2 , people=2}":        "::: step look \"Look\" {time=2  people=2}",
		"::: step look \"Look\" {time=2 min}":               "::: step look \"Look\" {time=\"2 min\"}",
		"::: step look \"Look\" {time=2 tools=“a, b”}":      "::: step look \"Look\" {time=2 tools=\"a, b\"}",
		"::: step look \"Look\" {time=2 tools='a b'}":       "::: step look \"Look\" {time=2 tools=\"a b\"}",
		"::: step look \"Look\" {time=2,5}":                 "::: step look \"Look\" {time=2.5}",
		"::: step look \"Look\" {time=2,500}":               "",
		"::: step look \"Look\" {time=.5}":                  "::: step look \"Look\" {time=0.5}",
		"::: step look \"Look\" {time=\"2 mn\"}":            "",
		"::: step look \"Look\" {time=\"2 MIN\"}":           "::: step look \"Look\" {time=\"2 min\"}",
		"::: step look \"Look\" {time=2 colour=red}":        "",
		"::: step look \"Look\" {time=2 people=2 people=3}": "",
	} {
		f := text.NewFile("a.md", []byte(job+line+"\nWords.\n:::\n"))
		var log diagnostic.Log
		NewReader().Read(f, nil, &log)
		got := ""
		for _, d := range log.Sorted() {
			fix := d.SafeFix()
			if fix == nil {
				continue
			}
			made, err := rewrite.Make(fix.Edits)
			if err != nil {
				t.Fatalf("%s: %v", line, err)
			}
			got = string(made[0].Source[len(job) : len(made[0].Source)-len("\nWords.\n:::\n")])
			break
		}
		if got != want {
			var all []string
			for _, d := range log.Sorted() {
				all = append(all, d.Says().String())
			}
			t.Errorf("%s\n is made %q\n    want %q\n%q", line, got, want, all)
		}
	}
}

const job = "---\nkind: procedure\nid: job\ntitle: A job\nedition: 1\nmachine: m\n---\n\n"
