package writing

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// A browser's text ends each line with one \n and begins without a byte-order mark. What a file has beside that is put back
// when it is written, so that no line changes that nobody touched.

const mark = "\ufeff"

// shown is a file's text as a browser has it.
func shown(source []byte) string {
	return strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.TrimPrefix(string(source), mark))
}

// written is a browser's text as the file that it was read from has it: lines that stand at the beginning or the end of both
// keep their ends, new ones get the end that most lines of the file have.
func written(text string, old []byte) []byte {
	before := linesOf(strings.TrimPrefix(string(old), mark))
	after := linesOf(text)
	head := 0
	for head < len(before) && head < len(after) && body(before[head]) == body(after[head]) {
		head++
	}
	tail := 0
	for tail < len(before)-head && tail < len(after)-head && body(before[len(before)-1-tail]) == body(after[len(after)-1-tail]) {
		tail++
	}
	usual := usualEnd(before)
	var out bytes.Buffer
	if strings.HasPrefix(string(old), mark) {
		out.WriteString(mark)
	}
	for i, line := range after {
		from := -1
		switch {
		case i < head:
			from = i
		case i >= len(after)-tail:
			from = len(before) - (len(after) - i)
		}
		out.WriteString(body(line))
		switch {
		case !strings.HasSuffix(line, "\n"):
		case from >= 0 && body(before[from]) != before[from]:
			out.WriteString(before[from][len(body(before[from])):])
		default:
			out.WriteString(usual)
		}
	}
	return out.Bytes()
}

// linesOf are the lines of a text with their ends; what follows the last end is a line too, if only an empty one.
func linesOf(text string) (out []string) {
	start := 0
	for i := 0; i < len(text); i++ {
		if text[i] == '\r' && i+1 < len(text) && text[i+1] == '\n' {
			i++
		} else if text[i] != '\n' && text[i] != '\r' {
			continue
		}
		out = append(out, text[start:i+1])
		start = i + 1
	}
	return append(out, text[start:])
}

// body is a line without its end.
func body(line string) string { return strings.TrimRight(line, "\r\n") }

// usualEnd is the end that most lines have.
func usualEnd(all []string) string {
	count := map[string]int{}
	for _, line := range all {
		count[line[len(body(line)):]]++
	}
	best := "\n"
	for _, end := range []string{"\r\n", "\r"} {
		if count[end] > count[best] {
			best = end
		}
	}
	return best
}

// Places in a text are counted as browsers do: in UTF-16 units, each end of a line as one, a byte-order mark as none.

// unitsAt is the place of a byte of a source.
func unitsAt(source []byte, offset int) (units int) {
	walk(source, func(at, sum int) bool {
		units = sum
		return at < offset
	})
	return units
}

// byteAt is the byte of a source at a place.
func byteAt(source []byte, units int) (offset int) {
	walk(source, func(at, sum int) bool {
		if sum <= units {
			offset = at
		}
		return sum < units
	})
	return offset
}

// walk calls f at the begin of each character and at the end, until f says no.
func walk(source []byte, f func(at, units int) bool) {
	at, units := 0, 0
	if bytes.HasPrefix(source, []byte(mark)) {
		at = len(mark)
	}
	for f(at, units) && at < len(source) {
		r, size := utf8.DecodeRune(source[at:])
		if r == '\r' && at+1 < len(source) && source[at+1] == '\n' {
			size = 2
		}
		at += size
		units++
		if r >= 0x10000 {
			units++
		}
	}
}
