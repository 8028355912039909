package reference

import (
	"html/template"
	"strings"

	"github.com/a-h/templ"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/reference/guide"
	"matchmark/procedure"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/say"
	"matchmark/procedure/source/highlight"
	"matchmark/themes"
)

// codeStyles holds the colours of code, which highlight makes.
const codeStyles = "code.css"

// Emit writes the pages of the language, of the messages and of the guide, and the colours of the code on them.
func Emit(lib *procedure.Library, theme *themes.Theme, out output.Sink) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	if err := out.Write(page.AssetPath(codeStyles), []byte(styles())); err != nil {
		return err
	}
	e := emitter{lib: lib, words: words, out: out}
	if err := e.language(); err != nil {
		return err
	}
	if err := e.messages(); err != nil {
		return err
	}
	return e.guide()
}

type emitter struct {
	lib   *procedure.Library
	words *themes.Words
	out   output.Sink
}

// shell returns the shell of one of the pages. Foreign is the language of what
// is generated from the grammar when it is not the page's own.
func (e emitter) shell(at, title string) (s page.Shell, foreign string) {
	s = page.NewShell(e.lib, e.words, at, title)
	s.Body = "reference"
	s.Styles = []string{codeStyles, "reference.css"}
	if s.Lang != "en" {
		foreign = "en"
	}
	return s, foreign
}

// languageView is the page of the language.
type languageView struct {
	page.Shell
	// Foreign is the language of what is generated from the grammar; empty when it is the page's own.
	Foreign       string
	MessagesLink  string
	GuideLink     string
	Why, Markdown []template.HTML
	Files, Blocks []entryView
	Questions     []entryView
	Registers     []entryView
	Verbs         []verb
	Values        termsView
	Units         []unitGroup
}

// entryView is a kind of file, a block, a type of question or a register.
type entryView struct {
	ID, Name string
	Foreign  string
	Means    template.HTML
	Form     string // of a block's opening line; empty for others
	Places   string
	Holds    template.HTML
	Pages    string // of a block that stands in a step
	Back     template.HTML
	Terms    termsView
	Example  template.HTML
}

// termsView is a table of names and what they mean.
type termsView struct {
	Foreign string
	Title   string // the heading of the column of names
	Rows    []termView
}

type termView struct {
	Name     string
	Means    template.HTML
	Required bool
}

func (e emitter) language() error {
	shell, foreign := e.shell(LanguagePath, e.words.T("reference.language"))
	l := newLanguage()
	v := languageView{
		Shell: shell, Foreign: foreign, MessagesLink: shell.Link(MessagesPath), GuideLink: shell.Link(GuidePath), Verbs: l.Verbs, Units: l.Units,
		Values: e.termsView("value", l.Values, foreign),
	}
	for _, s := range l.Why {
		v.Why = append(v.Why, inline(s))
	}
	for _, s := range l.Markdown {
		v.Markdown = append(v.Markdown, inline(s))
	}
	for _, f := range l.Files {
		example, err := coloured(f.Example)
		if err != nil {
			return err
		}
		v.Files = append(v.Files, entryView{
			ID: f.ID, Name: f.Name, Foreign: foreign, Means: inline(f.Means), Example: example, Terms: e.termsView("line", f.Fields, foreign),
		})
	}
	for _, b := range l.Blocks {
		example, err := coloured(b.Example)
		if err != nil {
			return err
		}
		v.Blocks = append(v.Blocks, entryView{
			ID: b.ID, Name: b.Name, Foreign: foreign, Means: inline(b.Means), Form: b.Form, Places: b.Places, Holds: inline(b.Holds), Pages: b.Pages, Back: inline(b.Back),
			Example: example, Terms: e.termsView("attribute", b.terms(), foreign),
		})
	}
	for _, q := range l.Questions {
		example, err := coloured(q.Example)
		if err != nil {
			return err
		}
		v.Questions = append(v.Questions, entryView{ID: q.ID, Name: q.Name, Foreign: foreign, Means: inline(q.Means), Example: example})
	}
	for _, r := range l.Registers {
		v.Registers = append(v.Registers, entryView{
			ID: r.ID, Name: r.Name, Foreign: foreign, Means: inline(r.Means), Terms: e.termsView("column", r.Columns, foreign),
		})
	}
	return page.Write(e.out, LanguagePath, languagePage(v))
}

// coloured returns a source with its words in classes.
func coloured(src string) (template.HTML, error) {
	code, err := highlight.HTML(src)
	return template.HTML(code), err
}

// termsView is a table of what the page calls lines, attributes, columns or values.
func (e emitter) termsView(of string, list []term, foreign string) termsView {
	v := termsView{Title: e.words.T("reference.head." + of), Foreign: foreign}
	for _, t := range list {
		v.Rows = append(v.Rows, termView{t.Name, inline(t.Means), t.Required})
	}
	return v
}

// messagesView is the page of the messages.
type messagesView struct {
	page.Shell
	Foreign      string
	LanguageLink string
	GuideLink    string
	Sets         []setView
}

type setView struct {
	ID, Title string
	Messages  []messageView
}

// messageView is one code.
type messageView struct {
	Foreign        string
	Code, Title    string
	Severity, Word string // the severity as a class and in the page's language
	Wrong, Why, Do template.HTML
	Remark         string
	Bad, Good      []partView
	Message        string
}

// partView is some lines of a case, coloured.
type partView struct {
	Place string
	Code  template.HTML
}

func (e emitter) messages() error {
	cases, err := examples.All()
	if err != nil {
		return err
	}
	byCode := map[string]examples.Case{}
	for _, c := range cases {
		byCode[c.Code] = c
	}
	shell, foreign := e.shell(MessagesPath, e.words.T("reference.messages"))
	l := say.Translation(shell.Lang)
	v := messagesView{Shell: shell, Foreign: foreign, LanguageLink: shell.Link(LanguagePath), GuideLink: shell.Link(GuidePath)}
	for _, s := range ruleSets() {
		set := setView{ID: "set-" + s.Name, Title: e.words.T("reference.set." + s.Name)}
		for _, r := range s.Rules {
			m := messageView{
				Code: string(r.Code), Title: l.Of(r.Title), Severity: r.Severity.String(), Word: e.words.T("reference.severity." + r.Severity.String()),
				Wrong: inline(l.Of(r.Wrong)), Why: inline(l.Of(r.Why)), Do: inline(l.Of(r.Do)),
			}
			if l == nil {
				m.Foreign = foreign
			}
			c := byCode[m.Code]
			m.Remark, m.Message = c.Remark, c.Message
			if m.Bad, err = e.parts(c, c.Bad); err != nil {
				return err
			}
			if m.Good, err = e.parts(c, c.Good); err != nil {
				return err
			}
			set.Messages = append(set.Messages, m)
		}
		v.Sets = append(v.Sets, set)
	}
	return page.Write(e.out, MessagesPath, messagesPage(v))
}

func (e emitter) parts(c examples.Case, parts []examples.Part) ([]partView, error) {
	var out []partView
	for _, p := range parts {
		code, err := coloured(c.Shown(p))
		if err != nil {
			return nil, err
		}
		out = append(out, partView{e.words.T("reference.place."+placeKind(p), p.Place), code})
	}
	return out, nil
}

// guideView is a page of the guide.
type guideView struct {
	page.Shell
	// Foreign is the language of the guide; empty when it is the page's own.
	Foreign                    string
	LanguageLink, MessagesLink string
	Trainers, Others           []topicView
	Text                       template.HTML
}

// topicView is the way to a page of the guide; Here for the page itself.
type topicView struct {
	Title, Link string
	// Foreign is the language of the title; empty when it is the page's own.
	Foreign string
	Here    bool
}

// guide writes the pages for trainers, then the others.
func (e emitter) guide() error {
	for _, topic := range guide.Topics() {
		text, err := guide.HTML(topic, e.words.Lang)
		if err != nil {
			return err
		}
		title, in := guide.Title(topic, e.words.Lang)
		shell, foreign := e.shell(guidePath(topic), title)
		if in == shell.Lang {
			foreign = ""
		}
		if err := page.Write(e.out, guidePath(topic), guidePage(guideView{
			Shell: shell, Foreign: foreign, LanguageLink: shell.Link(LanguagePath), MessagesLink: shell.Link(MessagesPath),
			Trainers: e.topicsFrom(shell, guide.ForTrainers(), topic), Others: e.topicsFrom(shell, guide.ForOthers(), topic), Text: text,
		})); err != nil {
			return err
		}
	}
	return nil
}

func guidePath(topic string) string { return "reference/" + topic + ".html" }

func (e emitter) topicsFrom(shell page.Shell, topics []string, here string) (out []topicView) {
	for _, topic := range topics {
		title, in := guide.Title(topic, e.words.Lang)
		v := topicView{Title: title, Link: shell.Link(guidePath(topic)), Here: topic == here}
		if in != shell.Lang {
			v.Foreign = in
		}
		out = append(out, v)
	}
	return out
}

// inline turns the plain words of the grammar and the rules into HTML: what stands in code marks becomes code.
func inline(s string) template.HTML {
	var b strings.Builder
	for i, part := range strings.Split(s, "`") {
		part = template.HTMLEscapeString(part)
		if i%2 == 1 {
			part = "<code>" + part + "</code>"
		}
		b.WriteString(part)
	}
	return template.HTML(b.String())
}

// styles are the colours of code for light and dark pages, and none on paper.
func styles() string {
	var b strings.Builder
	b.WriteString(highlight.CSS("", false))
	b.WriteString("@media (prefers-color-scheme: dark) {\n" + highlight.CSS(`:root:not([data-theme="light"])`, true) + "}\n")
	b.WriteString(highlight.CSS(`:root[data-theme="dark"]`, true))
	b.WriteString("@media print {\n.code span { color: #000 !important; }\n}\n")
	return b.String()
}

// in marks what is not in the page's language; nothing for what is.
func in(lang string) templ.Attributer {
	if lang == "" {
		return templ.OrderedAttributes{}
	}
	return templ.OrderedAttributes{{Key: "lang", Value: lang}}
}
