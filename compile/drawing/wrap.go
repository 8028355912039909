package drawing

import (
	"strings"
	"unicode"
)

// Wrap breaks a title into lines of at most a width, at most so many. What does
// not fit ends in an ellipsis. Widths are those of a wide typeface, so that the
// lines fit in the others too; letters is the letter height.
func Wrap(title string, width, letters float64, lines int) []string {
	if strings.Contains(title, "  ") || strings.TrimSpace(title) != title || strings.ContainsAny(title, "\t\r\n") {
		title = strings.Join(strings.Fields(title), " ") // one space between words, as below
	}
	room := width / letters
	out := make([]string, 0, lines)
	for title != "" && len(out) < lines-1 {
		end := fitting(title, room)
		out = append(out, cut(title[:end], room))
		title = strings.TrimPrefix(title[end:], " ")
	}
	if title != "" {
		out = append(out, cut(title, room))
	}
	return out
}

// fitting is the length of the words at the start of a text that fit into a width in
// letter heights: one word at least.
func fitting(text string, room float64) int {
	fits, w := 0, 0.0
	for i, r := range text {
		if r == ' ' {
			if fits > 0 && w > room {
				return fits
			}
			fits = i
		}
		w += letterWidth(r)
	}
	if fits > 0 && w > room {
		return fits
	}
	return len(text)
}

// cut shortens a line to a width in letter heights, between words where it can.
func cut(line string, width float64) string {
	if wide(line) <= width {
		return line
	}
	letters := []rune(line)
	for len(letters) > 0 && wide(string(letters)+"…") > width {
		letters = letters[:len(letters)-1]
	}
	short := string(letters)
	if space := strings.LastIndex(short, " "); space > len(short)/2 {
		short = short[:space]
	}
	return strings.TrimRight(short, " ,;:") + "…"
}

// wide estimates how wide a text is, in letter heights.
func wide(text string) float64 {
	w := 0.0
	for _, r := range text {
		w += letterWidth(r)
	}
	return w
}

// letterWidth estimates how wide a letter is, in letter heights.
//
// Source: advance widths of DejaVu Sans as Chromium measures them, rounded up by groups of letters.
func letterWidth(r rune) float64 {
	switch {
	case strings.ContainsRune("iljI|.,:;'", r):
		return 0.34
	case strings.ContainsRune("frt ()[]-/!", r):
		return 0.41
	case strings.ContainsRune("mwMW@%…—×+", r):
		return 1
	case unicode.IsUpper(r) || r == '&':
		return 0.79
	case r > 0x2e80: // letters of one square
		return 1
	}
	return 0.64
}
