package highlight

import (
	"fmt"
	"html"
	"strings"

	"github.com/alecthomas/chroma/v2"
)

// look is how one kind of token looks. The light colours are for warm paper, the
// dark ones for a dark page; both have a contrast of 7:1 or more there.
type look struct {
	token       chroma.TokenType
	class       string
	light, dark string
	// more is further CSS.
	more string
	// sgr is what a terminal gets, from the sixteen colours that its owner chose.
	// Source: ECMA-48, SGR.
	sgr string
}

var looks = []look{
	{chroma.Punctuation, "p", "#5a4a32", "#c9bda6", "", "2"},
	{chroma.Keyword, "k", "#14417f", "#9cc3ff", "font-weight:700", "1;34"},
	{chroma.KeywordConstant, "kc", "#14417f", "#9cc3ff", "font-weight:700", "1;34"},
	{chroma.NameFunction, "nf", "#6b1f54", "#f0a6d8", "", "35"},
	{chroma.NameBuiltin, "nb", "#14417f", "#9cc3ff", "", "34"},
	{chroma.NameAttribute, "na", "#5c3a00", "#e8c07a", "", "33"},
	{chroma.NameTag, "nt", "#14417f", "#9cc3ff", "text-decoration:underline", "4"},
	{chroma.OperatorWord, "ow", "#14417f", "#9cc3ff", "font-style:italic", "34"},
	{chroma.LiteralString, "s", "#1c4d2e", "#a5d6b0", "", "32"},
	{chroma.LiteralStringDouble, "s2", "#1c4d2e", "#a5d6b0", "", "32"},
	{chroma.LiteralStringBacktick, "sb", "#1c4d2e", "#a5d6b0", "", "32"},
	{chroma.LiteralNumber, "m", "#7a1f12", "#ffb3a3", "", "31"},
	{chroma.LiteralNumberInteger, "mi", "#7a1f12", "#ffb3a3", "font-weight:700", "1;31"},
	{chroma.GenericHeading, "gh", "#1b1a17", "#f4efe4", "font-weight:700", "1"},
	{chroma.GenericStrong, "gs", "#1b1a17", "#f4efe4", "font-weight:700", "1"},
	{chroma.GenericEmph, "ge", "#1b1a17", "#f4efe4", "font-style:italic", "3"},
	{chroma.Comment, "c", "#4d4a42", "#c4bcae", "font-style:italic", "2"},
}

func lookOf(t chroma.TokenType) (look, bool) {
	for _, l := range looks {
		if l.token == t {
			return l, true
		}
	}
	return look{}, false
}

// tokens takes a source apart; joined, the tokens are the source.
func tokens(state, src string) ([]chroma.Token, error) {
	return chroma.Tokenise(chroma.Coalesce(lexer), &chroma.TokeniseOptions{State: state}, src)
}

// HTML returns a source as a block of code whose words have classes, without any
// style of its own. The error is an invalid pattern of the lexer's, never the source's.
func HTML(src string) (string, error) {
	all, err := tokens("root", src)
	if err != nil {
		return "", fmt.Errorf("highlighting: %w", err)
	}
	var b strings.Builder
	b.WriteString(`<pre class="code"><code>`)
	for _, t := range all {
		words := html.EscapeString(t.Value)
		if l, ok := lookOf(t.Type); ok {
			words = `<span class="` + l.class + `">` + words + `</span>`
		}
		b.WriteString(words)
	}
	b.WriteString("</code></pre>\n")
	return b.String(), nil
}

// CSS returns the colours of the classes, for a light or a dark page. Each rule
// starts with scope, such as `:root[data-theme="dark"]`.
func CSS(scope string, dark bool) string {
	var b strings.Builder
	for _, l := range looks {
		colour := l.light
		if dark {
			colour = l.dark
		}
		rule := "color:" + colour
		if l.more != "" && !dark {
			rule += ";" + l.more
		}
		fmt.Fprintf(&b, "%s\n", strings.TrimSpace(scope+" .code ."+l.class+"{"+rule+"}"))
	}
	return b.String()
}

// Terminal colours one line of a source for a terminal. The line's visible width
// stays the same; a line that cannot be coloured comes back as it is.
func Terminal(line string) string {
	all, err := tokens("line", line)
	if err != nil {
		return line
	}
	var b strings.Builder
	for _, t := range all {
		if l, ok := lookOf(t.Type); ok {
			b.WriteString("\x1b[" + l.sgr + "m" + t.Value + "\x1b[0m")
		} else {
			b.WriteString(t.Value)
		}
	}
	return b.String()
}

// Token is a run of a source that has one meaning; Class is what the Language Server Protocol calls such a one.
type Token struct {
	Start, End int
	Class      string
}

// classes are the protocol's words for what the lexer tells apart.
var classes = map[chroma.TokenType]string{
	chroma.Keyword: "keyword", chroma.KeywordConstant: "keyword", chroma.NameFunction: "function", chroma.NameBuiltin: "keyword", chroma.NameAttribute: "property",
	chroma.NameTag: "type", chroma.OperatorWord: "operator", chroma.LiteralString: "string", chroma.LiteralStringDouble: "string", chroma.LiteralStringBacktick: "string",
	chroma.LiteralNumber: "number", chroma.LiteralNumberInteger: "number", chroma.GenericHeading: "namespace", chroma.Comment: "comment",
}

// Tokens takes a file apart. What has no meaning of its own is left out.
func Tokens(src string) (out []Token) {
	all, err := tokens("root", src)
	if err != nil {
		return nil // an invalid pattern of the lexer's, which its tests show
	}
	at := 0
	for _, t := range all {
		if class := classes[t.Type]; class != "" {
			out = append(out, Token{at, at + len(t.Value), class})
		}
		at += len(t.Value)
	}
	return out
}
