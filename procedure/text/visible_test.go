package text

import (
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func TestVisible(t *testing.T) {
	for in, want := range map[string]string{
		"":                           "",
		"Öl 3.6 L · 45 N·m ☐":        "Öl 3.6 L · 45 N·m ☐",
		"a\x1b[31mred":               `a\u001b[31mred`,
		"\x1b]0;title\a":             `\u001b]0;title\u0007`,
		"over\rwritten\b\x7f":        `over\u000dwritten\u0008\u007f`,
		"one\u009b31m":               `one\u009b31m`,
		"byte \x9b31m":               `byte \x9b31m`,
		"\u202egpj.exe\u2066":        `\u202egpj.exe\u2066`,
		"line\nand\ttab":             "line\nand\ttab",
		"a replacement \ufffd stays": "a replacement \ufffd stays",
		"cut \xc3":                   `cut \xc3`,
	} {
		if got := Visible(in, "\n\t"); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
	if got := Visible("a\nb", ""); got != `a\u000ab` {
		t.Errorf("%q", got)
	}
}

func TestVisibleOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		out := Visible(string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")), "")
		if strings.ContainsFunc(out, func(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }) || strings.ToValidUTF8(out, "") != out {
			t.Errorf("%q", out)
		}
	})
}
