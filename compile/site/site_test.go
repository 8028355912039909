package site

import (
	"bytes"
	"encoding/json"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/page"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

func TestOverview(t *testing.T) {
	overview := pagetest.Page(t, emitAll(t, library()), "procedure/out/index.html")
	// By hand: 7 + 3 + 8 + 9 minutes; deviations (b - a) / 6 are 10/6, 0, 1 and 1, together 2.19 if apart and 2.72 with a common pace of 30 %; people 1, 1, 2, 2.
	for i, want := range []string{"27 min ± 3 min", "44 min", "4 steps"} {
		if got := overview.Texts("section.job dl.figures dd")[i]; got != want {
			t.Errorf("figure %d is %q, want %q", i, got, want)
		}
	}
	var rows []string
	for _, row := range overview.All("table.step-list")[0].All("tbody tr") {
		rows = append(rows, row.Text())
	}
	want := []string{
		"1 Undo the <front> feet Danger Safe stop 6 min (4 to 14) 0:00 0:07",
		"2 Take the belts off 3 min 0:07 0:10",
		"3 Put the hoist on 2 people Hold point Safe stop 8 min (5 to 11) 0:10 0:18",
		"4 Lift it out Warning 2 people 9 min (6 to 12) 0:18 0:27",
	}
	if !slices.Equal(rows, want) {
		t.Errorf("steps\n%s\nwant\n%s", strings.Join(rows, "\n"), strings.Join(want, "\n"))
	}
	// Gloves are registered but no step names them; one spanner goes without saying.
	if got, want := overview.All("dl.supplies")[0].Text(), "Tools Spanner 18 mm Containers Drip tray (10 L) Consumables Grease (15 g) Documents and drawings Drawing, revision C Supports Chain hoist (250 kg) Chain sling (400 kg)"; got != want {
		t.Errorf("supplies %q, want %q", got, want)
	}
}

// The overview leads to the sheets that the job has: the fixture tightens nothing, so no torque sheet.
func TestOverviewListsTheSheets(t *testing.T) {
	papers := pagetest.Page(t, emitAll(t, library()), "procedure/out/index.html").All(".papers")[0]
	if got, want := papers.Texts("a"), []string{"Times", "The whole job to print", "Checklist", "Tool and consumables list", "Lift sheet", "Bag and part labels"}; !slices.Equal(got, want) {
		t.Errorf("sheets %q, want %q", got, want)
	}
}

// What only the preview server needs is not written into the site.
func TestAssets(t *testing.T) {
	files := emitAll(t, library())
	for name, want := range map[string]bool{"assets/base.css": true, "assets/order.css": true, "assets/preview.js": false, "assets/preview.balloons.js": false, "assets/preview.css": false} {
		if _, got := files[name]; got != want {
			t.Errorf("%s is there: %v, want %v", name, got, want)
		}
	}
	words := string(files["assets/"+page.WordsAsset("en")])
	if !strings.Contains(words, `"shell":{`) || strings.Contains(words, `"step":{`) || !strings.Contains(string(files["assets/bench.js"]), `step:{`) || strings.Contains(words, `"preview`) {
		t.Errorf("the words for scripts are\n%s", words)
	}
}

// Learners' pages say nothing to authors; the start page leads them to the reference.
func TestAuthorsAreLedFromTheStartPageAlone(t *testing.T) {
	files := emitAll(t, library())
	for at, want := range map[string][]string{
		"index.html":         {"reference/language.html", "reference/messages.html"},
		"machine/mixer.html": nil,
	} {
		var got []string
		for _, a := range one(t, pagetest.Page(t, files, at), "footer").All("a") {
			got = append(got, a.Attributes["href"])
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: links %q, want %q", at, got, want)
		}
	}
}

func TestMachineRegisters(t *testing.T) {
	machine := pagetest.Page(t, emitAll(t, library()), "machine/mixer.html")
	if got, want := machine.Texts("h2"), []string{"Procedures on this machine", "Figures", "Drives", "Parts", "Fasteners", "Connections", "Fluids", "Supports", "Conditions", "Tools and consumables"}; !slices.Equal(got, want) {
		t.Errorf("headings %v, want %v", got, want)
	}
	parts := machine.All("table.register")[1]
	if got, want := parts.Texts("thead th"), []string{"Letter", "Name", "Mass", "Looks like", "Mark before removal", "Stored"}; !slices.Equal(got, want) {
		t.Errorf("columns of the parts %v, want %v: columns that no row fills are left out", got, want)
	}
	// 3400 g is less than 3.5 kg: quantities sort by what they are, not by how they are written.
	if left, right := sortValue(t, machine, "#thing-left-foot"), sortValue(t, machine, "#thing-right-foot"); !(left < right) {
		t.Errorf("3400 g sorts by %v, 3.5 kg by %v", left, right)
	}
	if n := len(machine.All(".balloon.plain")); n != 4 {
		t.Errorf("%d plain balloons, want all four", n)
	}
}

func sortValue(t *testing.T, e *pagetest.Element, row string) float64 {
	t.Helper()
	var v float64
	assert.NilError(t, json.Unmarshal([]byte(e.All(row)[0].All("td")[2].Attributes["data-sort"]), &v))
	return v
}

func TestCourseLeadsToItsPart(t *testing.T) {
	course := pagetest.Page(t, emitAll(t, library()), "course/course.html")
	if got := one(t, course, ".part").Text(); got != "From “Put the hoist on” to “Lift it out”" {
		t.Errorf("the part reads %q", got)
	}
	if got := course.All("a.job")[0].Attributes["href"]; got != "../procedure/out/steps-belt.html#hoist-on" {
		t.Errorf("the course leads to %s", got)
	}
}

// Pages work from a folder: every link is relative, ends in a file that the
// site has, and names a place that is on it. Sheets and quizzes come from other emitters.
func TestLinksLead(t *testing.T) {
	files := emitAll(t, library())
	for at := range files {
		if path.Ext(at) != ".html" {
			continue
		}
		p := pagetest.Page(t, files, at)
		for _, e := range p.All("[href]") {
			checkLink(t, files, at, e.Attributes["href"])
		}
		for _, e := range slices.Concat(p.All("script[src]"), p.All("img[src]")) {
			if !strings.Contains(e.Attributes["src"], "pictures/") {
				checkLink(t, files, at, e.Attributes["src"])
			}
		}
	}
}

var elsewhere = regexp.MustCompile(`^(quiz/.*|procedure/[^/]+/(whole|checklist|tools|labels|torque|lift|times).*|course/[^/]+/plan|reference/.*)\.html$`)

func checkLink(t *testing.T, files map[string][]byte, at, link string) {
	t.Helper()
	u, err := url.Parse(link)
	if err != nil || u.Scheme != "" || u.Host != "" || path.IsAbs(u.Path) {
		t.Errorf("%s: the link %q is not relative", at, link)
		return
	}
	to := at
	if u.Path != "" {
		to = path.Join(path.Dir(at), u.Path)
	}
	if elsewhere.MatchString(to) {
		return
	}
	content, ok := files[to]
	if !ok {
		t.Errorf("%s: the link %q leads to no file", at, link)
		return
	}
	if u.Fragment != "" && !bytes.Contains(content, []byte(` id="`+u.Fragment+`"`)) {
		t.Errorf("%s: the link %q leads to no place on the page", at, link)
	}
}

// The script policy forbids inline scripts and styles; a page that had one would be broken.
func TestPagesKeepToTheScriptPolicy(t *testing.T) {
	for at, content := range emitAll(t, library()) {
		if path.Ext(at) != ".html" {
			continue
		}
		if !bytes.Contains(content, []byte(`http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:;`)) {
			t.Errorf("%s has no script policy", at)
		}
		if bad := regexp.MustCompile(`<[^>]*\s(style|on[a-z]+)=|<style|<script>|javascript:`).Find(content); bad != nil {
			t.Errorf("%s: %s", at, bad)
		}
	}
}

func TestIDsAreUnique(t *testing.T) {
	for at, content := range emitAll(t, library()) {
		if path.Ext(at) != ".html" {
			continue
		}
		seen := map[string]bool{}
		for _, m := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllSubmatch(content, -1) {
			if id := string(m[1]); seen[id] {
				t.Errorf("%s has two elements %q", at, id)
			} else {
				seen[id] = true
			}
		}
	}
}

func TestSameInputSameBytes(t *testing.T) {
	first, second := emitAll(t, library()), emitAll(t, library())
	for at, content := range first {
		if !bytes.Equal(content, second[at]) {
			t.Errorf("%s differs from run to run", at)
		}
	}
}

func TestMissingPictureIsAnError(t *testing.T) {
	theme := pagetest.Theme(t)
	err := emitWith(library(), nil, theme, discard{})
	if err == nil || !strings.Contains(err.Error(), "figures/feet.svg") {
		t.Errorf("error %v does not name the picture", err)
	}
}

type discard struct{}

func (discard) Write(string, []byte) error { return nil }

// Keys that are put together from the domain's own lists are there in every language.
func TestEveryDomainWordIsThere(t *testing.T) {
	theme := pagetest.Theme(t)
	var keys []string
	for _, rule := range procedure.VerbRules {
		keys = append(keys, "verb."+string(rule.Verb))
		if rule.Word != "" {
			keys = append(keys, "with."+rule.Word)
		}
	}
	for _, signal := range []procedure.Signal{procedure.Danger, procedure.WarningWord, procedure.CautionWord, procedure.Notice} {
		keys = append(keys, "signal."+string(signal))
	}
	for _, kind := range procedure.FastenerKinds {
		keys = append(keys, "fastener-kind."+string(kind))
	}
	for _, kind := range procedure.ToolKinds {
		keys = append(keys, "tool-kind."+string(kind))
	}
	for _, kind := range procedure.ConnectionKinds {
		keys = append(keys, "connection-kind."+kind)
	}
	for _, kind := range procedure.SupportKinds {
		keys = append(keys, "support-kind."+kind)
	}
	keys = append(keys, "side.left", "side.right")
	for _, lang := range theme.Languages() {
		words, err := theme.Words(lang)
		assert.NilError(t, err)
		for _, key := range keys {
			if !words.Has(key) {
				t.Errorf("%s has no words for %q", lang, key)
			}
		}
	}
}

// Every verb has its sign among the icons.
func TestEveryVerbHasASign(t *testing.T) {
	styles := string(emitAll(t, library())["assets/icons.css"])
	for _, rule := range procedure.VerbRules {
		if strings.Count(styles, "."+page.IconClass(page.Sign(rule.Verb))+"{") != 1 {
			t.Errorf("no sign for %q", rule.Verb)
		}
	}
}

// The whole site in German: no English word of the table is left over, no key shows.
func TestGermanSite(t *testing.T) {
	lib := library()
	lib.Language = "de"
	for at, content := range emitAll(t, lib) {
		if path.Ext(at) != ".html" {
			continue
		}
		if !bytes.Contains(content, []byte(`<html lang="de">`)) {
			t.Errorf("%s is not marked as German", at)
		}
		for _, word := range []string{"Open the steps", "Leave in", "Hold point", "Next", "[step.", "[verb.", "[column.", "[fact."} {
			if bytes.Contains(content, []byte(word)) {
				t.Errorf("%s: %q stands in the German page", at, word)
			}
		}
	}
	if got := one(t, pagetest.Page(t, emitAll(t, lib), "procedure/out/steps-belt.html"), "#feet-off li.i-drain").Text(); got != "Ablassen Gear oil in Drip tray Ablass: plug 7 Menge: 2,5 L Abfall, kommt in: used-oil drum Gefahr: slippery" {
		t.Errorf("the row reads %q", got)
	}
}
