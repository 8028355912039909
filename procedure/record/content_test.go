package record

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/text"
)

// made is a procedure out of four files: its own, its machine's, one of steps taken in, its refitting's.
func made(own, machine, steps, back string) *procedure.Procedure {
	file := func(name, source string) *text.File { return text.NewFile(name, []byte(source)) }
	p := &procedure.Procedure{ID: "out", File: file("p.md", own), Machine: &procedure.Machine{File: file("m.md", machine)}}
	p.Steps = []*procedure.Step{{ID: "a", Span: p.File.Span(0, 1)}, {ID: "b", Span: file("s.md", steps).Span(0, 1)}, {ID: "c", Span: p.File.Span(1, 2)}}
	if back != "" {
		p.RefitFile = &procedure.RefitFile{File: file("r.md", back)}
	}
	return p
}

func TestContentIsTheHashOfAllFiles(t *testing.T) {
	// The four texts with their lengths before them, eight bytes each, high byte first.
	plain := "\x00\x00\x00\x00\x00\x00\x00\x02pp" + "\x00\x00\x00\x00\x00\x00\x00\x01m" + "\x00\x00\x00\x00\x00\x00\x00\x03sss" + "\x00\x00\x00\x00\x00\x00\x00\x01r"
	sum := sha256.Sum256([]byte(plain))
	p := made("pp", "m", "sss", "r")
	if got, want := Content(p), hex.EncodeToString(sum[:8]); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if back := (&procedure.Procedure{ID: "out-back", Removal: p}); Content(back) != Content(p) {
		t.Error("the refitting has another content than the removal")
	}
}

func TestContentTellsTextsApart(t *testing.T) {
	seen := map[string]string{}
	for name, p := range map[string]*procedure.Procedure{
		"as it was": made("pp", "m", "sss", "r"), "own": made("pq", "m", "sss", "r"), "machine": made("pp", "n", "sss", "r"),
		"steps": made("pp", "m", "sst", "r"), "refitting": made("pp", "m", "sss", "q"), "no refitting": made("pp", "m", "sss", ""),
		"moved": made("ppm", "s", "ss", "r"),
	} {
		c := Content(p)
		if other, ok := seen[c]; ok {
			t.Errorf("%s and %s have one content", name, other)
		}
		seen[c] = name
	}
	renamed := made("pp", "m", "sss", "r")
	renamed.File.Name = "elsewhere/other.md"
	if seen[Content(renamed)] != "as it was" {
		t.Error("the content depends on a file's name")
	}
}
