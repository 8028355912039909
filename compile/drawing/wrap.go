package drawing

import (
	"strings"
	"unicode"
)

// Wrap breaks a title into lines of at most a width, at most so many. What does
// not fit ends in an ellipsis. Widths are those of a wide typeface, so that the
// lines fit in the others too; letters is the letter height.
func Wrap(title string, width, letters float64, lines int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(title) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if line != "" && wide(longer)*letters > width {
			out = append(out, line)
			longer = word
		}
		line = longer
	}
	if line != "" {
		out = append(out, line)
	}
	if len(out) > lines {
		out[lines-1] = strings.Join(out[lines-1:], " ")
		out = out[:lines]
	}
	for i, line := range out {
		out[i] = cut(line, width/letters)
	}
	return out
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
//
// Source: advance widths of DejaVu Sans as Chromium measures them, rounded up by groups of letters.
func wide(text string) float64 {
	w := 0.0
	for _, r := range text {
		switch {
		case strings.ContainsRune("iljI|.,:;'", r):
			w += 0.34
		case strings.ContainsRune("frt ()[]-/!", r):
			w += 0.41
		case strings.ContainsRune("mwMW@%…—×+", r):
			w += 1
		case unicode.IsUpper(r) || r == '&':
			w += 0.79
		case r > 0x2e80: // letters of one square
			w += 1
		default:
			w += 0.64
		}
	}
	return w
}
