package pagetest

import (
	"testing"
)

const page = `<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>A &amp; B</title></head>
<body class="x sheet"><ul id="list"><li class="row">one <strong>two</strong></li>
<li
class="row last" data-n="3" hidden>three&nbsp;four</li></ul><br><p>af<i>ter</i></p><table><tr><td>1</td><td>2</td></tr></table></body></html>`

func TestAll(t *testing.T) {
	Expect(t, Parse(t, []byte(page)), map[string][]string{
		"title":                {"A & B"},
		"li":                   {"one two", "three four"},
		".sheet .row.last":     {"three four"},
		"#list li strong":      {"two"},
		"li[hidden]":           {"three four"},
		"li[data-n=3]":         {"three four"},
		"li[data-n=4]":         nil,
		"body ul li[class]":    {"one two", "three four"},
		"p":                    {"after"},
		"table":                {"1 2"},
		"meta[charset=utf-8]":  {""},
		"strong li":            nil,
		"html body.x.nothing ": nil,
	})
}

func TestPagesThatDoNotClose(t *testing.T) {
	for _, broken := range []string{"<p>one", "<p><b>one</p></b>", "<ul></li></ul>"} {
		if _, err := parse([]byte(broken)); err == nil {
			t.Errorf("%q was taken", broken)
		}
	}
}
