package render

import (
	"errors"
	"html/template"
	"io"
	"strings"
	"sync"
	"testing"
)

type inner struct {
	Text   string
	Number int
}

type base struct{ Site string }

func (b base) Heading() string { return "<" + b.Site + ">" }

type view struct {
	base
	Title, Empty  string
	Signal        word
	Markup        template.HTML
	Link          string
	Yes, No       bool
	Zero, One     int
	Small         count
	Long          int64
	Size          float64
	Struct        inner
	Pointer, None *inner
	List          []inner
	Pointers      []*inner
	Words, Nobody []string
	Lists         [][]int
	Table         map[string]string
	Any           any
	private       string
}

func (v view) Twice(s string) string { return s + s + v.Title }
func (v view) Fails(fail bool) (string, error) {
	return "x", map[bool]error{true: errors.New("it fails")}[fail]
}
func (v view) Panics() string     { panic("it panics") }
func (v *view) ByPointer() string { return v.Title }
func (i *inner) Loud() string     { return strings.ToUpper(i.Text) }

func sample() view {
	return view{
		base: base{"Shop & co"}, Title: "A <b>", Signal: "danger", Markup: "<em>m</em>", Link: "../a b.html?x=1&y=2", Yes: true, One: 1, Small: -3, Long: 9, Size: 2.5,
		Struct: inner{"s<", 4}, Pointer: &inner{"p<", 5}, List: []inner{{"one", 1}, {"two", 2}, {"", 3}}, Pointers: []*inner{{"first", 1}, {"second", 0}},
		Words: []string{"w", "<x>"}, Lists: [][]int{{1, 2}, nil, {3}}, Table: map[string]string{"k": "v"}, Any: "any", private: "not for templates",
	}
}

// made are templates that a program can run; each is run by html/template, too.
var made = []string{
	``, `plain`, `{{.Title}}`, `{{.Empty}}`, `a{{.One}}b{{.Long}}{{.Small}}c{{.Size}}{{.Yes}}`, `{{.Markup}} <p title="{{.Signal}}">`, `<a href="{{.Link}}#{{.Title}}">`,
	`{{.Site}} {{.Heading}} {{$.Heading}}`, `{{.Twice "x"}} {{.Twice .Empty}}`, `{{.Fails false}}`, `{{.Struct.Text}}{{.Pointer.Number}}{{.Pointer.Loud}}`,
	`{{"<constant>"}}{{1}}{{true}}`, `{{t "a"}}{{t "a" .Title}}{{t "a" 1 .Size .Signal .Yes}}{{t .Title "b"}}<i title="{{t "<" "\""}}">`, `{{n "k" 2}}{{n "k" .One}}{{n .Title (len .List)}}`,
	`{{if .Yes}}y{{end}}{{if .No}}y{{else}}n{{end}}{{if .Empty}}e{{else if .Title}}t{{else}}-{{end}}`,
	`{{if .Zero}}0{{end}}{{if .One}}1{{end}}{{if .Size}}s{{end}}{{if .Pointer}}p{{end}}{{if .None}}n{{end}}{{if .Struct}}s{{end}}{{if .Nobody}}n{{end}}{{if .Words}}w{{end}}{{if .Table}}t{{end}}`,
	`{{with .Title}}{{.}}{{end}}{{with .Pointer}}{{.Text}}{{$.Title}}{{end}}{{with .None}}{{.Text}}{{else}}none{{end}}{{with .Struct}}{{.Loud}}{{end}}`,
	`{{with $x := .Pointer}}{{$x.Text}}{{.Number}}{{end}}{{if $x := .Title}}{{$x}}{{end}}`,
	`{{range .List}}{{.Text}}{{.Loud}}{{$.Title}},{{else}}none{{end}}{{range .Nobody}}x{{else}}none {{.Title}}{{end}}`,
	`{{range $i, $x := .Pointers}}{{if $i}}, {{end}}{{$i}}{{$x.Text}}{{.Number}}{{$x.Loud}}{{end}}{{range $w := .Words}}{{$w}}{{.}}{{end}}`,
	`{{range $i, $all := .Lists}}{{range $j, $x := $all}}{{$i}}{{$j}}{{$x}} {{else}}- {{end}}{{end}}`,
	`{{$first := true}}{{range .Words}}{{if not $first}}, {{end}}{{$first = false}}{{.}}{{end}}{{$first}}`,
	`{{$x := .Title}}{{if .Yes}}{{$x := .Link}}{{$x}}{{end}}{{$x}}{{range .Words}}{{$x = .}}{{end}}{{$x}}`,
	`{{if and .Yes .Title}}a{{end}}{{if or .No .Empty .Words}}b{{end}}{{if and .Yes (not .No) .Empty}}c{{end}}{{or .Empty "else"}}{{or .Empty .Title}}{{and .Title .Link}}{{or .No .Yes}}`,
	`{{if eq .Signal "danger"}}a{{end}}{{if eq .Title "x" "A <b>"}}b{{end}}{{if ne .Title .Link}}c{{end}}{{if lt .Zero .One}}d{{end}}{{if ge .Long 9}}e{{end}}{{if gt .Small 1}}f{{end}}{{if le .One 1}}g{{end}}{{eq .One 1}}`,
	`{{len .List}}{{len .Title}}{{len .Table}}{{printf "%.1f %s" .Size .Title}}{{printf "%d" (len .Words)}}`,
	`{{define "x"}}[{{.Text}}{{$.Number}}]{{end}}{{template "x" .Struct}}{{template "x" .Pointer}}{{range .List}}{{template "x" .}}{{end}}{{range .Pointers}}{{template "x" .}}{{end}}`,
	`{{define "x"}}<{{.}}{{$y := .}}{{$y}}>{{end}}{{$y := "outer"}}{{template "x" .Title}}{{template "x" (t "a")}}{{template "x" .One}}{{$y}}`,
	`{{define "x"}}same{{end}}{{template "x"}}{{template "x" .}}`,
	`{{define "x"}}{{range .}}({{.}}){{end}}{{end}}{{template "x" .Words}}{{range .Lists}}{{template "x" .}}{{end}}`,
	`{{/* a comment */}}{{- .Title -}} x`, `<script type="application/json">{{.List}}</script>`, `<script type="application/json">{{.One}}</script>`, `<script type="application/json">{{.Table}}</script>`,
}

func TestProgramsMakeWhatHTMLTemplateMakes(t *testing.T) {
	for _, source := range made {
		for _, data := range []any{sample(), pointer(sample()), view{}} {
			if strings.Contains(source, ".Pointer") && data.(interface{ Heading() string }).Heading() == "<>" {
				continue // an empty view has nothing to point to
			}
			for _, why := range both(t, source, data) {
				t.Errorf("%s\nleft to html/template: %s", source, why)
			}
		}
	}
}

func pointer[T any](x T) *T { return &x }

// What a program cannot do, and what fails, is as html/template has it, the error included.
func TestTheRestIsLeftToHTMLTemplate(t *testing.T) {
	for _, source := range []string{
		`{{.Nothing}}`, `{{.private}}`, `{{.Any}}`, `{{if .Any}}x{{end}}`, `{{.Table.k}}`, `{{.Table.none}}`, `{{index .Words 1}}`, `{{index .Words 9}}`, `{{.Words}}`, `{{.Struct}}`, `{{.Pointer}}`,
		`{{.None.Text}}`, `{{.None.Loud}}`, `{{range .Table}}{{.}}{{end}}`, `{{range 3}}{{.}}{{end}}`, `{{range $i, $x := .Words}}{{if $i}}{{break}}{{end}}{{$x}}{{end}}`, `{{range .Words}}{{continue}}{{end}}`, `{{range .Title}}{{end}}`,
		`{{.Title | printf "%q"}}`, `{{.Title | html}}`, `{{urlquery .Title}}`, `{{1.5}}`, `{{0x10}}`, `{{'a'}}`, `{{1i}}`, `{{nil}}`, `{{other .Title}}`, `{{t "missing"}}`, `{{t "missing" .Title}}`, `{{if .No}}{{t "missing"}}{{end}}`,
		`{{t .Signal}}`, `{{n "a" .Long}}`, `{{t "a" .Words}}`, `{{.Fails true}}`, `{{.Panics}}`, `{{.ByPointer}}`, `{{.Twice 1}}`, `{{.Twice}}`, `{{.Title "x"}}`, `{{or .Empty .One}}`, `{{t "a" (or .Empty .One)}}`,
		`{{eq .One .Title}}`, `{{eq .Size 2.5}}`, `{{eq .Yes true}}`, `{{gt .Size 1}}`, `{{eq .One}}`, `{{len .One}}`, `{{not}}`, `{{$x := .One}}{{$x = .Title}}{{$x}}`, `{{(.Struct).Text}}`, `{{(len .Words)}}`,
		`{{template "nowhere"}}`, `{{define "x"}}{{.Text}}{{end}}{{template "x"}}`, `{{define "x"}}{{.Text}}{{end}}{{template "x" .None}}`, `{{define "x"}}{{.}}{{end}}<p title="{{template "x" .Title}}">`,
		`<p title="{{.Markup}}">`, `<a {{if .Yes}}href="{{end}}x">`, `<script>{{if .Yes}}"{{end}}</script>`, `{{define "x"}}{{template "x" .}}{{end}}{{if .No}}{{template "x" .}}{{end}}`,
		`{{define "x"}}{{if .Yes}}{{.Title}}{{else}}{{template "x" .}}{{end}}{{end}}{{template "x" .}}`, `{{block "b" .Title}}{{.}}{{end}}`,
	} {
		both(t, source, sample())
		both(t, source, pointer(sample()))
	}
	for _, data := range []any{nil, (*view)(nil), 5, []string{"a"}} {
		both(t, `{{.Title}}`, data)
		both(t, `{{.}}`, data)
		both(t, `{{$}}{{if .}}x{{end}}{{with .}}y{{end}}`, data)
	}
}

func TestWhatIsLeftIsSaid(t *testing.T) {
	why := both(t, "{{.Title}}\n{{index .Words 1}}", sample())
	if len(why) != 1 || !strings.Contains(why[0], "page:2:") || !strings.Contains(why[0], "index") {
		t.Errorf("left: %q", why)
	}
}

func TestWriterAndRecursion(t *testing.T) {
	set := New(parsed(t, `{{define "x"}}{{template "x" .}}{{end}}{{.}}`), funcs)
	broken := errors.New("no room")
	if err := set.ExecuteTemplate(refusing{broken}, "page", "x"); err != broken {
		t.Errorf("error %v, want the writer's", err)
	}
	// A template without end: html/template gives up after 100,000 calls, and the program before it.
	if err := set.ExecuteTemplate(io.Discard, "x", "x"); err == nil || !strings.Contains(err.Error(), "exceeded maximum template depth") {
		t.Errorf("error %v", err)
	}
	if err := set.ExecuteTemplate(io.Discard, "nowhere", "x"); err == nil {
		t.Error("a template that is not there was run")
	}
}

type refusing struct{ err error }

func (w refusing) Write([]byte) (int, error) { return 0, w.err }

// A set serves several goroutines, and a page holds nothing of the one before it.
func TestPagesSideBySide(t *testing.T) {
	source := `{{define "x"}}{{$y := .Text}}{{$y}}{{end}}{{range .List}}{{template "x" .}}{{end}}{{index .Words 0}}`
	for _, source := range []string{source, strings.ReplaceAll(source, "{{index .Words 0}}", "{{.Title}}")} {
		set := New(parsed(t, source), funcs)
		var all sync.WaitGroup
		for i := range 8 {
			all.Go(func() {
				v := sample()
				v.List = v.List[:i%3]
				for range 50 {
					var got, want strings.Builder
					if err := set.ExecuteTemplate(&got, "page", v); err != nil {
						t.Error(err)
					}
					if err := set.Templates().ExecuteTemplate(&want, "page", v); err != nil {
						t.Error(err)
					}
					if got.String() != want.String() {
						t.Errorf("%q, want %q", got.String(), want.String())
					}
				}
			})
		}
		all.Wait()
	}
}
