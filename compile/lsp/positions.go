package lsp

import (
	"unicode/utf8"

	"matchmark/procedure/text"
)

// lines is a text with the places at which its lines start, as the protocol counts them: a line ends with \n, \r\n or \r.
type lines struct {
	src    []byte
	starts []int
	// wide is true where characters are counted in UTF-16 units, as all clients can; else they are bytes.
	wide bool
}

func linesOf(src []byte, wide bool) *lines {
	l := &lines{src: src, starts: []int{0}, wide: wide}
	for i, c := range src {
		if c == '\n' || c == '\r' && (i+1 == len(src) || src[i+1] != '\n') {
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

// end is where a line ends, without what ends it.
func (l *lines) end(line int) int {
	end := len(l.src)
	if line+1 < len(l.starts) {
		end = l.starts[line+1] - 1
		if end > l.starts[line] && l.src[end] == '\n' && l.src[end-1] == '\r' {
			end--
		}
	}
	return end
}

// offset is the byte of a position. A position behind the end of a line is its end, as the protocol says.
func (l *lines) offset(p position) int {
	if p.Line < 0 {
		return 0
	}
	if p.Line >= len(l.starts) {
		return len(l.src)
	}
	at, end := l.starts[p.Line], l.end(p.Line)
	if !l.wide {
		return min(at+max(p.Character, 0), end)
	}
	for left := p.Character; left > 0 && at < end; {
		r, size := utf8.DecodeRune(l.src[at:end])
		left--
		if r >= 0x10000 {
			left--
		}
		if left < 0 {
			break // between the halves of a character
		}
		at += size
	}
	return at
}

// position is the place of a byte.
func (l *lines) position(offset int) position {
	offset = min(max(offset, 0), len(l.src))
	line, high := 0, len(l.starts)
	for high-line > 1 {
		if mid := (line + high) / 2; l.starts[mid] <= offset {
			line = mid
		} else {
			high = mid
		}
	}
	offset = min(offset, l.end(line))
	if !l.wide {
		return position{line, offset - l.starts[line]}
	}
	n := 0
	for at := l.starts[line]; at < offset; {
		r, size := utf8.DecodeRune(l.src[at:])
		at += size
		n++
		if r >= 0x10000 {
			n++
		}
	}
	return position{line, n}
}

func (l *lines) place(s text.Span) area {
	return area{l.position(s.Start), l.position(s.End)}
}
