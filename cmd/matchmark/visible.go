package main

import (
	"io"
	"unicode/utf8"

	"matchmark/procedure/text"
)

// visible is a writer to a terminal that lets through text and nothing that the terminal would
// act on: names of files and people's words come from anywhere. What the program itself
// has to say to a terminal, colours and the line of progress, goes to the writer below.
type visible struct {
	to io.Writer
	// part is a character that has not come to its end.
	part []byte
}

// Write implements io.Writer.
func (v *visible) Write(content []byte) (int, error) {
	all := append(v.part, content...)
	whole := len(all)
	for back := 1; back < utf8.UTFMax && back <= len(all); back++ {
		if at := len(all) - back; utf8.RuneStart(all[at]) {
			if !utf8.FullRune(all[at:]) {
				whole = at
			}
			break
		}
	}
	v.part = append([]byte(nil), all[whole:]...)
	_, err := io.WriteString(v.to, text.Visible(string(all[:whole]), "\n\t"))
	return len(content), err
}

// below is the terminal itself, for what the program has to say to it.
func below(w io.Writer) io.Writer {
	if v, is := w.(*visible); is {
		return v.to
	}
	return w
}

// careful is a console that shows what it is given and does nothing else.
func (c *console) careful() *console {
	out := *c
	out.out, out.err = &visible{to: c.out}, &visible{to: c.err}
	return &out
}
