package page

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"html/template"
	"io"
	"strconv"
	"sync"

	"github.com/a-h/templ"

	"matchmark/compile/output"
)

//go:generate go tool templ generate -path ..

// Render writes the page that a component makes. It writes it in one piece, which the
// writer must not keep, and nothing on an error.
func Render(w io.Writer, page templ.Component) error {
	b := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(b)
	b.Reset()
	if err := page.Render(context.Background(), b); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// Write renders a page and hands it to the sink.
func Write(out output.Sink, at string, page templ.Component) error {
	return Render(file{out, at}, page)
}

// file is a page's place in a sink.
type file struct {
	out output.Sink
	at  string
}

// Write implements io.Writer for a page in one piece.
func (f file) Write(page []byte) (int, error) {
	if err := f.out.Write(f.at, page); err != nil {
		return 0, fmt.Errorf("page %s: %w", f.at, err)
	}
	return len(page), nil
}

// Raw writes markup that is safe on a page as it is: nothing but what was made safe has the type.
func Raw(parts ...template.HTML) SafeMarkup { return parts }

// SafeMarkup is markup in pieces, as a component.
type SafeMarkup []template.HTML

// Render implements templ.Component.
func (m SafeMarkup) Render(_ context.Context, w io.Writer) error {
	for _, part := range m {
		if _, err := io.WriteString(w, string(part)); err != nil {
			return err
		}
	}
	return nil
}

// Text is text as a component. A page's own way, { "text" }, copies it twice, which shows in
// the time of a compile where a job has thousands of them: there it is @Text("text").
func Text(s string) PlainText { return PlainText(s) }

// PlainText is text as a component.
type PlainText string

// Render implements templ.Component.
func (t PlainText) Render(_ context.Context, w io.Writer) error {
	_, err := io.WriteString(w, html.EscapeString(string(t)))
	return err
}

// Bold is a word that stands out. Where it stands in a hundred places it is made once.
func Bold(word string) templ.Component {
	return Raw(template.HTML("<b>" + html.EscapeString(word) + "</b>"))
}

// styleElement holds a page's styles. No component can: what stands in a style element of one is not looked into.
func styleElement(css template.CSS) templ.Component {
	return Raw("<style>\n", template.HTML(css), "</style>")
}

// Pixels is a length in whole pixels.
func Pixels(length float64) string { return strconv.FormatFloat(length, 'f', 0, 64) }

// Titled is a title with what it is about, if anything is said.
func Titled(title, about string) string {
	if about == "" {
		return title
	}
	return title + ": " + about
}
