package source

import (
	"bytes"

	"matchmark/procedure/say"
)

// What no procedure needs, and what makes a reader of Markdown take time that grows with the square of the text.
const (
	// longestLine bounds a line, in bytes.
	longestLine = 16 << 10
	// deepestLine bounds how many lists and quotations one line opens.
	deepestLine = 32
	// mostSigns bounds the signs of emphasis, code and links in one paragraph, table row or list item.
	mostSigns = 400
	// deepestMatter bounds brackets in brackets, and lists in lists on one line, in front matter.
	deepestMatter = 16
)

// proportionate reports text that is out of all proportion: one fault is enough,
// because a file that has one was not written by hand.
func (r *reader) proportionate() bool {
	src := r.file.Source
	signs, table := 0, false
	for at := 0; at < len(src); {
		line := lineFrom(src, at)
		if len(line) > longestLine {
			return r.tooMuch(at, say.That("this line is longer than %most KB", say.Count(longestLine>>10)), say.That("Break it into lines."))
		}
		depth, content := openers(line)
		if depth > deepestLine {
			return r.tooMuch(at, say.That("this line opens more than %most lists and quotations", say.Count(deepestLine)), say.That("Take out what does not belong there."))
		}
		switch {
		case blank(content):
			signs, table = 0, false
		case delimiterRow(content):
			signs, table = 0, true
		case table || depth > 0 || content[0] == '#' || content[0] == ':':
			signs = 0 // a row, an item, a heading or a fence: a text of its own
		}
		if signs += signsIn(content); signs > mostSigns {
			return r.tooMuch(at, say.That("up to here, one paragraph has more than %most signs of emphasis, code and links", say.Count(mostSigns)), say.That("Put an empty line between paragraphs, or take out the signs that mean nothing."))
		}
		at += len(line) + 1
	}
	return true
}

func (r *reader) tooMuch(at int, wrong, advice say.Text) bool {
	r.report("file-too-large", r.file.Span(at, at), wrong, advice)
	return false
}

// openers counts the marks of quotations and list items that a line begins with, and returns what stands after them.
func openers(line []byte) (depth int, content []byte) {
	for {
		start, _ := trim(line, 0, len(line))
		line = line[start:]
		n := marker(line)
		// A line of stars or hyphens alone is a rule across the page.
		if n == 0 || depth == 0 && len(bytes.Trim(line, "*-_ \t\r")) == 0 {
			return depth, line
		}
		depth++
		line = line[n:]
	}
}

// marker is the length of the mark of a quotation or a list item that the text begins with; 0 for none.
func marker(s []byte) int {
	if len(s) == 0 {
		return 0
	}
	if s[0] == '>' {
		return 1
	}
	n := 0
	for n < len(s) && n < 9 && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	if n < len(s) && (n == 0 && bytes.IndexByte([]byte("-+*"), s[n]) >= 0 || n > 0 && (s[n] == '.' || s[n] == ')')) && (n+1 == len(s) || s[n+1] == ' ' || s[n+1] == '\t') {
		return n + 1
	}
	return 0
}

// delimiterRow reports whether a line is the one below the heading of a table.
func delimiterRow(s []byte) bool {
	return len(bytes.Trim(s, "|:- \t\r")) == 0 && bytes.Contains(s, []byte("-")) && bytes.Contains(s, []byte("|"))
}

// signsIn counts signs of emphasis, code, links and HTML; several of one kind in a row count
// once, but for brackets.
func signsIn(s []byte) int {
	n := 0
	for i, c := range s {
		switch counts[c] {
		case countEach:
			n++
		case countOnce:
			if i == 0 || s[i-1] != c {
				n++
			}
		}
	}
	return n
}

// counts says how a byte counts as a sign: each time, once in a row, or not at all.
var counts = [256]byte{'[': countEach, '<': countEach, '*': countOnce, '_': countOnce, '`': countOnce}

const (
	countEach = iota + 1
	countOnce
)

// nested reports whether YAML nests deeper than front matter has any use for.
func nested(yaml []byte) bool {
	open := 0
	for line := range bytes.Lines(yaml) {
		if depth, _ := openers(line); depth > deepestMatter {
			return true
		}
		for _, c := range line {
			switch c {
			case '[', '{':
				open++
			case ']', '}':
				open--
			}
			if open > deepestMatter {
				return true
			}
		}
	}
	return false
}
