package text

import "testing"

func TestPosition(t *testing.T) {
	for _, c := range []struct {
		name, src    string
		offset       int
		line, column int
	}{
		{"start", "abc", 0, 1, 1},
		{"empty file", "", 0, 1, 1},
		{"end without newline", "ab\ncd", 5, 2, 3},
		{"end behind the last newline", "ab\n", 3, 2, 1},
		{"newline itself", "ab\ncd", 2, 1, 3},
		{"beyond the end", "ab", 9, 1, 3},
		{"before the start", "ab", -1, 1, 1},
		{"CRLF ends one line", "a\r\nb", 3, 2, 1},
		{"carriage return is behind the line", "a\r\nb", 1, 1, 2},
		{"byte-order mark has no width", "\uFEFFab", 3, 1, 1},
		{"behind a byte-order mark", "\uFEFFab", 4, 1, 2},
		{"byte-order mark inside a file is a character", "a\uFEFFb", 4, 1, 3},
		{"tab is one character", "\t\tx", 2, 1, 3},
		{"character of two bytes", "äöx", 4, 1, 3},
		{"character of four bytes", "🔩x", 4, 1, 2},
		{"combining mark is a character", "e\u0301x", 3, 1, 3},
		{"bytes that are no characters count each", "\xff\xfex", 2, 1, 3},
	} {
		f := NewFile("a.md", []byte(c.src))
		if got, want := f.Position(c.offset), (Position{File: "a.md", Line: c.line, Column: c.column}); got != want {
			t.Errorf("%s: %+v, want %+v", c.name, got, want)
		}
	}
}

func TestLines(t *testing.T) {
	f := NewFile("a.md", []byte("one\r\n\ntwo"))
	if f.LineCount() != 3 {
		t.Errorf("%d lines", f.LineCount())
	}
	for line, want := range []string{1: "one", 2: "", 3: "two", 4: ""} {
		if line == 0 {
			continue
		}
		start, end := f.LineBounds(line)
		if got := string(f.Source[start:end]); got != want {
			t.Errorf("line %d is %q, want %q", line, got, want)
		}
	}
	if start, end := f.LineBounds(0); start != 9 || end != 9 {
		t.Errorf("line 0 is %d to %d", start, end)
	}
}

func TestSpan(t *testing.T) {
	f := NewFile("a.md", []byte("one\ntwo"))
	if got := f.Span(4, 99); got.Text() != "two" || got.At() != (Position{File: "a.md", Line: 2, Column: 1}) {
		t.Errorf("%+v %q", got, got.Text())
	}
	if got := f.Span(5, 2); got.Start != 5 || got.End != 5 {
		t.Errorf("a span that ends before it starts: %+v", got)
	}
	if got := f.Span(0, 7).Sub(4, 6); got.Text() != "tw" {
		t.Errorf("%q", got.Text())
	}
	var none Span
	if none.Valid() || none.Text() != "" || none.At() != (Position{}) {
		t.Errorf("a span that points nowhere: %+v", none.At())
	}
	if got := (Span{File: f, Start: 3, End: 99}).Text(); got != "" {
		t.Errorf("a span out of the file has the text %q", got)
	}
}
