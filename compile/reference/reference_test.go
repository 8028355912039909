package reference_test

import (
	"cmp"
	"html"
	"maps"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/compile/reference"
	"matchmark/compile/reference/guide"
	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
)

// emit writes the pages in a language.
func emit(t *testing.T, language string) map[string][]byte {
	t.Helper()
	theme := pagetest.Theme(t)
	var out output.Memory
	assert.NilError(t, reference.Emit(&procedure.Library{Title: "Shop", Language: language}, theme, &out))
	return out.Files()
}

func TestPages(t *testing.T) {
	files := emit(t, "en")
	want := []string{"assets/code.css", "reference/language.html", "reference/messages.html"}
	for _, topic := range guide.Topics() {
		want = append(want, "reference/"+topic+".html")
	}
	slices.Sort(want)
	assert.DeepEqual(t, slices.Sorted(maps.Keys(files)), want)
	again := emit(t, "en")
	for name, content := range files {
		if string(content) != string(again[name]) {
			t.Errorf("%s comes out differently a second time", name)
		}
	}
}

// The guide stands in every site, in any language of its fixed words: each page is reached from each, and from the language and the messages.
func TestGuide(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		files := emit(t, language)
		for _, topic := range guide.Topics() {
			p := pagetest.Parse(t, files["reference/"+topic+".html"])
			assert.Equal(t, len(p.All(".contents li")), len(guide.Topics()))
			assert.Equal(t, len(p.All(".contents li a")), len(guide.Topics())-1)
			title, in := guide.Title(topic, language)
			assert.Equal(t, len(p.All(`.guide[lang="en"]`)) == 1, language != in, topic)
			assert.Assert(t, strings.Contains(p.Text(), title))
		}
		for _, from := range []string{reference.LanguagePath, reference.MessagesPath} {
			assert.Equal(t, len(pagetest.Parse(t, files[from]).All(`.summary a[href$="first-procedure.html"]`)), 1, from)
		}
	}
}

// The language page has everything that the grammar has.
func TestLanguagePage(t *testing.T) {
	p := pagetest.Parse(t, emit(t, "en")[reference.LanguagePath])
	words := p.Text()
	want := func(where string, all ...string) {
		for _, s := range all {
			if !strings.Contains(words, s) {
				t.Errorf("%s: %q is not on the page", where, s)
			}
		}
	}
	for _, k := range source.BlockKinds() {
		want(k.Name, formOf(k), strings.ReplaceAll(k.Means, "`", ""))
		for _, a := range k.Attributes {
			want(k.Name, a.Name)
		}
		if len(p.All("#block-"+k.Name)) != 1 {
			t.Errorf("%s has no heading", k.Name)
		}
	}
	for _, r := range source.RegisterForms() {
		for _, c := range r.Columns {
			want(string(r.Kind), c.Name)
		}
	}
	for _, f := range source.FileKinds() {
		want(f.Name, strings.ReplaceAll(f.Means, "`", ""))
	}
	for _, v := range procedure.VerbRules {
		want("verbs", string(v.Verb), v.Means)
	}
	for _, u := range measure.Units() {
		want("units", u.Symbol, u.Name)
	}
	contents(t, p)
}

// formOf is how a kind of block begins.
func formOf(k grammar.BlockKind) string { return cmp.Or(k.Form, "::: "+k.Name) }

// The messages page shows each code with its example.
func TestMessagesPage(t *testing.T) {
	p := pagetest.Parse(t, emit(t, "en")[reference.MessagesPath])
	contents(t, p)
	messages := p.All("section.message")
	rules := reference.Rules()
	if len(messages) != len(rules) {
		t.Fatalf("%d messages for %d codes", len(messages), len(rules))
	}
	for i, m := range messages {
		code := string(rules[i].Code)
		if got := m.All("h3")[0].Attributes["id"]; got != code {
			t.Errorf("message %d is %s, want %s", i, got, code)
		}
		if says := m.All(".says pre"); len(says) != 1 || !strings.Contains(strings.ReplaceAll(says[0].Text(), "not checked", "not-checked"), code) {
			t.Errorf("%s does not show its message", code)
		}
		if len(m.All(".good pre.code")) == 0 {
			t.Errorf("%s does not show how it is put right", code)
		}
		if strings.ContainsAny(m.Text(), "«»") {
			t.Errorf("%s shows the marks of the test", code)
		}
	}
}

// contents checks that each link of the page's contents leads to a heading on it, and each heading has its link.
func contents(t *testing.T, p *pagetest.Element) {
	t.Helper()
	headings := map[string]bool{}
	for _, level := range []string{"h2", "h3"} {
		for _, h := range p.All(level) {
			headings["#"+h.Attributes["id"]] = false
		}
	}
	delete(headings, "#contents")
	for _, a := range p.All("nav.contents a") {
		if seen, there := headings[a.Attributes["href"]]; !there || seen {
			t.Errorf("the contents lead to %s, which is not there or listed twice", a.Attributes["href"])
		}
		headings[a.Attributes["href"]] = true
	}
	for h, seen := range headings {
		if !seen {
			t.Errorf("the contents lack %s", h)
		}
	}
}

// On a page of another language the generated words are marked as English.
func TestOtherLanguage(t *testing.T) {
	site := emit(t, "de")
	p := pagetest.Parse(t, site[reference.LanguagePath])
	if got := p.All("html")[0].Attributes["lang"]; got != "de" {
		t.Errorf("the page's language is %q", got)
	}
	for _, selector := range []string{"ol.why", "table.terms tbody", "dl.facts"} {
		for _, e := range p.All(selector) {
			if e.Attributes["lang"] != "en" {
				t.Errorf("%s is not marked as English", selector)
			}
		}
	}
	// What messages mean is said in the page's language; the sample of one is English.
	messages := string(site[reference.MessagesPath])
	words := say.Translation("de")
	for _, r := range reference.Rules() {
		if !strings.Contains(messages, "<strong>"+html.EscapeString(words.Of(r.Title))+".</strong>") {
			t.Errorf("%s is not said in German", r.Code)
		}
	}
	for _, e := range pagetest.Parse(t, site[reference.MessagesPath]).All("dl.facts dd") {
		if e.Attributes["lang"] != "" {
			t.Error("words in the page's language are marked as English")
		}
	}
}

func TestLanguageText(t *testing.T) {
	got := reference.LanguageText()
	for line := range strings.Lines(got) {
		line = strings.TrimSuffix(line, "\n")
		if utf8.RuneCountInString(line) > 80 || strings.TrimRight(line, " ") != line {
			t.Errorf("%d columns: %q", utf8.RuneCountInString(line), line)
		}
	}
	for _, k := range source.BlockKinds() {
		if !strings.Contains(got, "\n"+formOf(k)) || !strings.Contains(got, "    "+strings.ReplaceAll(k.Example, "\n", "\n    ")) && !strings.Contains(k.Example, "\n\n") {
			t.Errorf("%s or its example is missing", k.Name)
		}
	}
}

func TestExplain(t *testing.T) {
	got, ok := reference.Explain("missing-reason", nil)
	want := `error missing-reason: Reason missing
------------------------------------
What is wrong:  A kept fastener or a key point has no reason.
Why it matters: Who does not know why a bolt stays in takes it out.
What to do:     Write the reason.

Wrong, in a step:

    ::: fasteners front
    - [ ] keep 3
    :::

The message:

    procedures/job.md:22:7: error missing-reason: "keep" has no reason
         22 | - [ ] keep 3
            |       ^^^^^^
      do: Say why, after a colon: keep 3: carries the part until the hoist does.

Right, in a step:

    ::: fasteners front
    - [ ] keep 3: carries the gearbox until the hoist does
    :::
`
	if !ok || got != want {
		t.Errorf("got\n%s", got)
	}
	if _, ok := reference.Explain("no-such-code", nil); ok {
		t.Error("a code that is not there is explained")
	}
	for _, r := range reference.Rules() {
		if text, ok := reference.Explain(string(r.Code), nil); !ok || !strings.Contains(text, "The message:") {
			t.Errorf("%s is not explained by an example", r.Code)
		}
	}
}
