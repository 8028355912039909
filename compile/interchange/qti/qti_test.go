package qti

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/compile/library"
	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/compile/picture"
	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/prose"
	"matchmark/procedure/quiz"
)

// demo is the demo's first quiz and the files of its package.
func demo(t *testing.T, address string) (*procedure.Quiz, map[string][]byte) {
	t.Helper()
	var log diagnostic.Log
	lib, err := compile.Load(content.Library(), &log)
	if err != nil || log.HasErrors() {
		t.Fatal(err, log.Sorted())
	}
	lib.Address = address
	theme := pagetest.Theme(t)
	var prepared output.Memory
	pictures := map[string]*picture.Picture{}
	names := library.Pictures(library.Figures(lib))
	for i, r := range picture.PrepareAll(content.Library(), names, &prepared, nil) {
		if r.Err != nil {
			t.Fatal(r.Err)
		}
		pictures[names[i]] = &r.Picture
	}
	q := lib.Quizzes[slices.IndexFunc(lib.Quizzes, func(q *procedure.Quiz) bool { return q.ID == "mixer-quiz" })]
	files, err := Files(lib, q, pictures, prepared.Files(), theme)
	assert.NilError(t, err)
	return q, files
}

// node is an element of the outcome processing.
type node struct {
	XMLName  xml.Name
	ID       string `xml:"identifier,attr"`
	Variable string `xml:"variable-identifier,attr"`
	Text     string `xml:",chardata"`
	Children []node `xml:",any"`
}

// machine carries out outcome processing, as far as tests of quizzes use it.
//
// Source: 1EdTech, QTI 3.0, outcome processing and expressions (from memory).
type machine struct {
	t *testing.T
	// items holds the items' SCORE by identifier, values the test's own outcomes.
	items  map[string]float64
	values map[string]string
}

func (m *machine) run(rules []node) {
	for _, r := range rules {
		switch r.XMLName.Local {
		case "qti-set-outcome-value":
			m.values[r.ID] = m.value(r.Children[0])
		case "qti-outcome-condition":
			for _, branch := range r.Children {
				if branch.XMLName.Local == "qti-outcome-else" {
					m.run(branch.Children)
				} else if m.value(branch.Children[0]) == "true" {
					m.run(branch.Children[1:])
					break
				}
			}
		default:
			m.t.Fatalf("rule %s", r.XMLName.Local)
		}
	}
}

func (m *machine) value(e node) string {
	switch e.XMLName.Local {
	case "qti-base-value":
		return strings.TrimSpace(e.Text)
	case "qti-variable":
		if item, isItem := strings.CutSuffix(e.ID, ".SCORE"); isItem {
			score, there := m.items[item]
			if !there {
				m.t.Fatalf("there is no item %q", item)
			}
			return number(score)
		}
		return m.values[e.ID]
	case "qti-sum":
		if len(e.Children) != 1 || e.Children[0].XMLName.Local != "qti-test-variables" || e.Children[0].Variable != "SCORE" {
			m.t.Fatalf("sum of %+v", e.Children)
		}
		sum := 0.0
		for _, score := range m.items {
			sum += score
		}
		return number(sum)
	case "qti-gte":
		return strconv.FormatBool(m.float(e.Children[0]) >= m.float(e.Children[1]))
	case "qti-and":
		return strconv.FormatBool(!slices.ContainsFunc(e.Children, func(c node) bool { return m.value(c) != "true" }))
	}
	m.t.Fatalf("expression %s", e.XMLName.Local)
	return ""
}

func (m *machine) float(e node) float64 {
	f, err := strconv.ParseFloat(m.value(e), 64)
	if err != nil {
		m.t.Fatal(err)
	}
	return f
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }

// The test's outcome processing grades as package quiz marks, for any pattern of right answers.
func TestGradeIsTheQuizs(t *testing.T) {
	q, files := demo(t, "")
	var test struct {
		Rules struct {
			Children []node `xml:",any"`
		} `xml:"qti-outcome-processing"`
	}
	assert.NilError(t, xml.Unmarshal(files[testFile], &test))
	draw := rand.New(rand.NewPCG(7, 11))
	passed := 0
	for range 500 {
		answers, items := map[string]quiz.Answer{}, map[string]float64{}
		for _, question := range q.Questions {
			items[question.ID] = 0
			if draw.IntN(20) > 0 {
				answers[question.ID] = rightAnswer(question)
				items[question.ID] = float64(question.Points)
			}
		}
		m := machine{t: t, items: items, values: map[string]string{}}
		m.run(test.Rules.Children)
		want := quiz.Mark(q, answers)
		if grade := map[bool]string{true: "passed", false: "failed"}[want.Passed]; m.values["GRADE"] != grade || m.values["SCORE"] != strconv.Itoa(want.Points) {
			t.Fatalf("%v gives %v, want %+v", items, m.values, want)
		}
		if want.Passed {
			passed++
		}
	}
	if passed < 50 || passed > 450 {
		t.Errorf("%d of 500 pass: the draw says little", passed)
	}
}

func rightAnswer(q *procedure.Question) quiz.Answer {
	switch q.Kind {
	case procedure.NumberAnswer:
		return quiz.Answer{Number: strings.Fields(q.Number.String())[0], Unit: q.Number.Unit()}
	case procedure.PointAnswer:
		return quiz.Answer{Target: q.Target.ID}
	}
	return quiz.Answer{Chosen: quiz.RightChoices(q)}
}

// Items and their choices stand in the order of the paper form.
func TestOrderIsThePaperForms(t *testing.T) {
	q, files := demo(t, "")
	at := 0
	for _, place := range quiz.Arrange(q, 1) {
		question := q.Questions[place.Question]
		next := bytes.Index(files[testFile], []byte(`href="items/`+question.ID+`.xml"`))
		if next <= at {
			t.Errorf("%s stands at %d, the one before at %d", question.ID, next, at)
		}
		at = next
		within := 0
		for _, c := range place.Choices {
			next := bytes.Index(files[itemFile(question.ID)], []byte(`<qti-simple-choice identifier="`+choiceID(c+1)+`"`))
			if next <= within {
				t.Errorf("%s: choice %d stands at %d, the one before at %d", question.ID, c+1, next, within)
			}
			within = next
		}
	}
}

func TestLinksToSteps(t *testing.T) {
	if _, files := demo(t, ""); bytes.Contains(files["items/why-rear-bolt.xml"], []byte("<a ")) {
		t.Error("an item links to a site that nobody serves")
	}
	_, files := demo(t, "https://workshop.test/site/")
	if !bytes.Contains(files["items/why-rear-bolt.xml"], []byte(`<a href="https://workshop.test/site/procedure/mixer-gearbox-out/steps-belt.html#left-foot-off">`)) {
		t.Errorf("the item does not link to its step:\n%s", files["items/why-rear-bolt.xml"])
	}
}

func TestMarkup(t *testing.T) {
	web := func(link string) string {
		if strings.HasPrefix(link, "https:") {
			return link
		}
		return ""
	}
	tests := []struct {
		name   string
		in     []prose.Node
		blocks bool
		want   string
	}{
		{"kept", []prose.Node{
			{Kind: prose.Paragraph, Inside: 7}, {Kind: prose.Text, Text: "Turn "}, {Kind: prose.Emphasis, Inside: 1}, {Kind: prose.Text, Text: "it"},
			{Kind: prose.Text, Text: " & \"so\" "}, {Kind: prose.Code, Text: "x<y"}, {Kind: prose.HardBreak}, {Kind: prose.Text, Text: "on"},
		}, true, "<p>Turn <em>it</em> &amp; \"so\" <code>x&lt;y</code><br/>\non</p>"},
		{"no blocks in a choice", []prose.Node{
			{Kind: prose.Paragraph, Inside: 1}, {Kind: prose.Text, Text: "One."}, {Kind: prose.Rule},
			{Kind: prose.Paragraph, Inside: 2}, {Kind: prose.Strong, Inside: 1}, {Kind: prose.Text, Text: "2"},
		}, false, "One. \n \n<strong>2</strong> "},
		{"the start of a list stays", []prose.Node{
			{Kind: prose.NumberedList, To: "3", Inside: 3}, {Kind: prose.Item, Inside: 2}, {Kind: prose.Line, Inside: 1}, {Kind: prose.Text, Text: "Three"},
		}, true, "<ol start=\"3\">\n<li>Three</li>\n</ol>"},
		{"classes and titles go", []prose.Node{
			{Kind: prose.Mention, To: "4", Text: "bolt"}, {Kind: prose.WebLink, To: "https://a.example", Text: "title", Inside: 1}, {Kind: prose.Text, Text: "a"},
		}, true, `<em>bolt</em><a href="https://a.example">a</a>`},
		{"links to nowhere leave their words", []prose.Node{{Kind: prose.StepLink, To: "x", Inside: 1}, {Kind: prose.Text, Text: "step"}}, true, "step"},
		{"line breaks stay", []prose.Node{
			{Kind: prose.CodeBlock, To: "text", Inside: 3}, {Kind: prose.Text, Text: "a"}, {Kind: prose.SoftBreak}, {Kind: prose.Text, Text: "b"},
		}, true, "<pre><code>a\nb</code></pre>"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := &document{}
			d.markup(procedure.Prose{Nodes: tt.in}, tt.blocks, web)
			if got := d.String(); got != tt.want {
				t.Errorf("got %s, want %s", got, tt.want)
			}
		})
	}
}

// No spot reaches into the half that lies nearer to another balloon's, and every right one is right.
func TestSpotsKeepApart(t *testing.T) {
	q, files := demo(t, "")
	n := 0
	for _, question := range q.Questions {
		if question.Kind != procedure.PointAnswer {
			continue
		}
		n++
		var item struct {
			Spots []struct {
				Label  string `xml:"hotspot-label,attr"`
				Coords string `xml:"coords,attr"`
			} `xml:"qti-item-body>qti-hotspot-interaction>qti-hotspot-choice"`
		}
		assert.NilError(t, xml.Unmarshal(files[itemFile(question.ID)], &item))
		for i, a := range item.Spots {
			for _, b := range item.Spots[i+1:] {
				p, o := numbers(t, a.Coords), numbers(t, b.Coords)
				dx, dy, reach := p[0]-o[0], p[1]-o[1], p[2]+o[2]
				// Centres are rounded to whole pixels: up to 1.5 pixels of overlap are no fault.
				if a.Label != b.Label && dx*dx+dy*dy < (reach-1.5)*(reach-1.5) {
					t.Errorf("%s: spots %s and %s overlap", question.ID, a.Coords, b.Coords)
				}
			}
		}
		if len(item.Spots) < 4 {
			t.Errorf("%s has %d spots", question.ID, len(item.Spots))
		}
	}
	if n == 0 {
		t.Error("the demo has no question that points")
	}
}

// A photo goes into the figure in the smallest size that fills the box.
func TestInlinedSize(t *testing.T) {
	e := &emitter{prepared: map[string][]byte{"p-400.jpg": []byte("small"), "p-800.jpg": []byte("middle"), "p-1600.jpg": []byte("large")}}
	size := func(widths ...int) (p picture.Picture) {
		for _, w := range widths {
			p.Sizes = append(p.Sizes, picture.Size{Path: "p-" + strconv.Itoa(w) + ".jpg", Width: w})
		}
		return p
	}
	for _, tt := range []struct {
		picture picture.Picture
		want    string
	}{{size(400, 800, 1600), "middle"}, {size(400), "small"}, {size(1600), "large"}} {
		got, err := e.inlined(&tt.picture)
		if want := "data:image/jpeg;base64," + base64.StdEncoding.EncodeToString([]byte(tt.want)); err != nil || got != want {
			t.Errorf("%v gives %s, %v; want %s", tt.picture.Sizes, got, err, want)
		}
	}
	missing := size(500)
	if _, err := e.inlined(&missing); err == nil {
		t.Error("a picture that was not prepared was taken")
	}
}

func numbers(t *testing.T, coords string) (out []float64) {
	t.Helper()
	for _, s := range strings.Split(coords, ",") {
		f, err := strconv.ParseFloat(s, 64)
		assert.NilError(t, err)
		out = append(out, f)
	}
	return out
}
