package site

import (
	"encoding/json"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

// pieces are the pieces of a search index that call a function of search.js, with their arguments.
func pieces(t *testing.T, files map[string][]byte, function string) map[string][]json.RawMessage {
	t.Helper()
	out := map[string][]json.RawMessage{}
	for at, content := range files {
		arguments, ok := strings.CutPrefix(string(content), "matchmark.search."+function+"(")
		if !ok {
			continue
		}
		var values []json.RawMessage
		if err := json.Unmarshal([]byte("["+strings.TrimSuffix(arguments, ");\n")+"]"), &values); err != nil {
			t.Fatalf("%s: %v", at, err)
		}
		out[at] = values
	}
	return out
}

// index is all that a search can find: kind, title, where, link.
func index(t *testing.T, files map[string][]byte) [][4]string {
	t.Helper()
	var documents []json.RawMessage
	for _, arguments := range pieces(t, files, "group") {
		var group []json.RawMessage
		assert.NilError(t, json.Unmarshal(arguments[1], &group))
		documents = append(documents, group...)
	}
	slices.SortFunc(documents, func(a, b json.RawMessage) int { return strings.Compare(string(a), string(b)) })
	kinds := pieces(t, files, "index")["assets/search/index.js"][0]
	text, err := json.Marshal(documents)
	assert.NilError(t, err)
	var entries [][4]string
	pagetest.Script(t, []string{"search.js"}, fmt.Sprintf(`return [].concat.apply([], %s.map(function (d) { return matchmark.search.entriesOf(d, %s); }))
		.map(function (e) { return [e.kind, e.title, e.where, e.link]; });`, text, kinds), &entries)
	return entries
}

func TestSearchIndex(t *testing.T) {
	lib := library()
	bare := &procedure.Machine{ID: "bare", Title: "Nothing on it yet"}
	bare.Index()
	lib.Machines = append(lib.Machines, bare)
	lib.Procedures[0].Sheets = []procedure.SheetOf{{Kind: "torque", Page: "torque-belt.html"}}
	files := emitAll(t, lib)
	entries := index(t, files)
	for _, want := range [][4]string{
		{"Fluid", "Gear oil, 2.5 L", lib.Machines[0].Title, "machine/" + lib.Machines[0].ID + ".html#thing-oil"},
		{"Sheet", "Torque sheet", "Take the gearbox out", "procedure/out/torque-belt.html"},
	} {
		if !slices.Contains(entries, want) {
			t.Errorf("%v is missing in %v", want, entries)
		}
	}
	count := map[string]int{}
	for _, e := range entries {
		count[e[0]]++
	}
	want := map[string]int{"Course": 1, "Procedure": 1, "Machine": 2, "Quiz": 1, "Step": 4, "Part": 3, "Fastener": 3, "Connection": 1, "Fluid": 1, "Sheet": 1}
	for kind, n := range want {
		if count[kind] != n {
			t.Errorf("%d entries of kind %s, want %d", count[kind], kind, n)
		}
	}
	if !slices.Contains(entries, [4]string{"Step", "Take the belts off", "Take the gearbox out", "procedure/out/steps-belt.html#belts-off"}) {
		t.Errorf("the belts' step is missing in %v", entries)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e[3], "quiz/") && e[0] != "Sheet" { // their pages are written elsewhere
			checkLink(t, files, "index.html", e[3])
		}
	}
}

// What is asked for is found with a letter wrong, missing, too many or turned around; a number is not.
func TestSearchForgivesSlips(t *testing.T) {
	const words = `["gearbox", "gear", "belts", "hoist", "m10", "m12", "schraube", "schrauben", "getriebe"]`
	cases := map[string][]string{
		"gearbx":    {"gearbox"}, // one missing
		"haerbox":   {},          // two wrong in seven letters
		"gaerbox":   {"gearbox"}, // turned around
		"hoiist":    {"hoist"},   // one too many
		"bletd":     {},
		"schruabne": {"schraube", "schrauben"}, // two in nine letters
		"m11":       {},                        // a thread is right or wrong
		"gea":       {},                        // too short to be a slip
		"getreibe":  {"getriebe"},
	}
	programs := map[string]string{}
	for asked := range cases {
		programs[asked] = `return matchmark.search.near(` + words + `, ` + strconv.Quote(asked) + `);`
	}
	for asked, got := range outcomes[[]string](t, []string{"search.js"}, programs) {
		if want := cases[asked]; !slices.Equal(got, want) {
			t.Errorf("%q comes near %v, want %v", asked, got, want)
		}
	}
}

func TestSearchFinds(t *testing.T) {
	const index = `[["Step", "Café-Öl ablassen", "Große Maschine", "1"], ["Fastener", "4 Front bolt, M12×1.25 × 40 mm", "Mixer", "2"],
		["Part", "Front foot", "Mixer with a bolt", "3"], ["Machine", "Smørebrød-Anlage", "", "4"]]`
	cases := map[string][]string{
		"cafe ol":      {"1"},      // accents do not count
		"GROSSE":       {"1"},      // nor case, nor the sharp s
		"smorebrod":    {"4"},      // nor letters with a stroke
		"ront":         {},         // a word counts from its beginning
		"fro bo":       {"2", "3"}, // every word must be there; hits in the title come first
		"front hammer": {},
		"m12x1.25":     {"2"}, // written with x, shown with a cross
		"step":         {"1"}, // the kind counts as a word
	}
	programs := map[string]string{}
	for asked := range cases {
		programs[asked] = `var s = matchmark.search, kinds = ["Machine", "Step", "Part", "Fastener"], lines = ` + index + `;
			var all = [].concat.apply([], lines.map(function (l) { return s.entriesOf([kinds.indexOf(l[0]), l[1], l[2], l[3]], kinds); }));
			return s.find(all, ` + strconv.Quote(asked) + `, kinds).map(function (e) { return e.link; });`
	}
	for asked, got := range outcomes[[]string](t, []string{"search.js"}, programs) {
		if want := cases[asked]; !slices.Equal(got, want) {
			t.Errorf("%q finds %v, want %v", asked, got, want)
		}
	}
}

// A word that the index was made with is the word that a search asks for.
func TestWordsAreTakenApartAlike(t *testing.T) {
	texts := []string{
		"Café-Öl ablassen", "Große STRASSE, 3 mm", "M12x1.25 × 40 mm", "Smørebrød Łódź đak ıŞİk", "ΣΊΣΥΦΟΣ", "10x8x40 ax2 2xb", "½ N·m ² ³ Ⅷ ﬁlter ™",
		"e\u0301te\u0301 naïve", "滑块 スペース 한국어", "don't_stop-it…now", "", "  ", "a\u0300x3 3x\u03003", "𝐀𝐁 mathematical",
	}
	asked, err := json.Marshal(texts)
	assert.NilError(t, err)
	var want [][]string
	pagetest.Script(t, []string{"search.js"}, "return "+string(asked)+".map(matchmark.search.split);", &want)
	for i, text := range texts {
		got := []string{}
		eachWord(text, func(word []byte) { got = append(got, string(word)) })
		if !slices.Equal(got, want[i]) {
			t.Errorf("%q: %q, the script has %q", text, got, want[i])
		}
	}
}

// A search loads the lists that can hold a word with the asked beginning, and no others.
func TestListsForABeginning(t *testing.T) {
	const keys = `["a ", "ab", "ac", "b", "u"]`
	cases := map[string][]string{
		"a": {"a ", "ab", "ac"}, "ab": {"ab"}, "abc": {"ab"}, "ad": {}, "bolt": {"b"}, "b": {"b"}, "x": {},
	}
	programs := map[string]string{}
	for prefix := range cases {
		programs[prefix] = "return matchmark.search.listsFor(" + keys + ", " + strconv.Quote(prefix) + ");"
	}
	for prefix, got := range outcomes[[]string](t, []string{"search.js"}, programs) {
		if want := cases[prefix]; !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", prefix, got, want)
		}
	}
	lists := newWordLists(9)
	long := strings.Repeat("z", 200)
	for i := range 400 { // more than a list holds, all with one letter
		lists.add([]byte(fmt.Sprintf("a%d%s", i, long)), i%9)
	}
	lists.add([]byte("a"), 1)
	lists.add([]byte("öl"), 8)
	sum := 0
	cut, err := lists.write(func(key string, list json.RawMessage) error {
		if len(list) > listSize {
			t.Errorf("list %q has %d bytes", key, len(list))
		}
		var words map[string]any
		sum++
		if err := json.Unmarshal(list, &words); err != nil {
			return err
		}
		for word := range words {
			if !strings.HasPrefix(word, strings.TrimSuffix(key, " ")) {
				t.Errorf("%q stands in the list of %q", word, key)
			}
		}
		return nil
	})
	if err != nil || len(cut) != sum || !slices.Contains(cut, "a ") || !slices.Contains(cut, "ö") || !slices.IsSorted(cut) {
		t.Errorf("%d lists, keys %q, %v", sum, cut, err)
	}
}

// Groups are written as numbers or as bits, and read back the same.
func TestGroupsOfAWord(t *testing.T) {
	cases := map[string][]int{
		"one": {0}, "few": {7, 8, 300}, "many": {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 13, 15, 17, 31},
	}
	programs := map[string]string{}
	for name, groups := range cases {
		lists := newWordLists(512)
		for _, g := range groups {
			lists.add([]byte("bolt"), g)
		}
		if _, err := lists.write(func(_ string, list json.RawMessage) error {
			programs[name] = "return Array.from(matchmark.search.groupsIn(" + string(list) + `, "bo"));`
			return nil
		}); err != nil {
			t.Fatal(err)
		}
	}
	for name, got := range outcomes[[]int](t, []string{"search.js"}, programs) {
		if want := cases[name]; !slices.Equal(got, want) {
			t.Errorf("%v comes back as %v", want, got)
		}
	}
}

// large is a library of n procedures on n/10 machines, whose titles share most of their words.
func large(n int) *procedure.Library {
	lib := &procedure.Library{Title: "Large", Language: "en"}
	for i := range n / 10 {
		m := &procedure.Machine{ID: fmt.Sprintf("machine-%d", i), Title: fmt.Sprintf("Machine %d", i)}
		m.Index()
		lib.Machines = append(lib.Machines, m)
	}
	for i := range n {
		p := &procedure.Procedure{ID: fmt.Sprintf("job-%d", i), Title: fmt.Sprintf("Take the covers off, job %d", i), Summary: "Ten covers, thirty bolts", Machine: lib.Machines[i/100%len(lib.Machines)], Edition: "1"}
		for s := range 30 {
			p.Steps = append(p.Steps, &procedure.Step{ID: fmt.Sprintf("step-%d", s), Title: fmt.Sprintf("Undo bolt %d of cover %d", s, s/3), Number: s + 1, Time: procedure.Estimate{Optimistic: 1, Likely: 2, Pessimistic: 3}, People: 1})
		}
		lib.Procedures = append(lib.Procedures, p)
	}
	return lib
}

// No page and no piece of the index grows with the library: what a library of ten
// times as many procedures adds are more of them.
func TestBoundsOfALargeSite(t *testing.T) {
	theme := pagetest.Theme(t)
	bounds := []struct {
		prefix string
		bytes  int
	}{
		{"index.html", 16 << 10}, {"list/", 60 << 10},
		{"assets/search/index.js", 8 << 10}, {"assets/search/w", listSize + 64}, {"assets/search/g", 4 * groupSize},
	}
	for _, n := range []int{300, 3000} {
		var out output.Memory
		assert.NilError(t, emitOverall(large(n), theme, &out))
		largest := make([]int, len(bounds))
		for at, content := range out.Files() {
			for i, b := range bounds {
				if strings.HasPrefix(at, b.prefix) {
					largest[i] = max(largest[i], len(content))
					break
				}
			}
		}
		for i, b := range bounds {
			if largest[i] == 0 || largest[i] > b.bytes {
				t.Errorf("%d procedures: the largest of %s has %d bytes, want at most %d", n, b.prefix, largest[i], b.bytes)
			}
		}
	}
}

// One procedure's new title changes its group, its page of the list, and the lists of the words that came and went.
func TestOneEditTouchesFewPieces(t *testing.T) {
	theme := pagetest.Theme(t)
	emit := func(change func(*procedure.Library)) map[string][]byte {
		lib := large(1000)
		change(lib)
		var out output.Memory
		assert.NilError(t, emitOverall(lib, theme, &out))
		return out.Files()
	}
	before := emit(func(*procedure.Library) {})
	after := emit(func(lib *procedure.Library) { lib.Procedures[500].Steps[3].Title = "Undo the zinc bolt" })
	var changed []string
	for at, content := range after {
		if string(before[at]) != string(content) {
			changed = append(changed, at)
		}
	}
	if len(changed) > 2 || len(after) < 50 {
		t.Errorf("of %d files %v changed", len(after), changed)
	}
}

// A long list is reached without a script: from the start page by the letter, then page by page.
func TestLongListsByLetter(t *testing.T) {
	theme := pagetest.Theme(t)
	lib := large(500)
	lib.Procedures[3].Title = "Öl ablassen"
	lib.Procedures[4].Title = "3 bolts"
	var out output.Memory
	assert.NilError(t, emitOverall(lib, theme, &out))
	files := out.Files()
	start := pagetest.Page(t, files, "index.html")
	if got, want := start.Texts("section[aria-labelledby=procedures] .letters a"), []string{"0–9 1", "O 1", "T 498"}; !slices.Equal(got, want) {
		t.Errorf("letters %q, want %q", got, want)
	}
	seen := map[string]bool{}
	var follow func(at string)
	follow = func(at string) {
		if seen[at] {
			return
		}
		seen[at] = true
		p := pagetest.Page(t, files, at)
		if n := len(p.All(".entry")); n > lineCount {
			t.Errorf("%s lists %d", at, n)
		}
		for _, a := range p.All(".entry-title") {
			seen[a.Attributes["href"]] = true
		}
		for _, a := range p.All(".letters a") {
			follow(path.Join(path.Dir(at), a.Attributes["href"]))
		}
	}
	follow("index.html")
	for _, p := range lib.Procedures {
		if !seen["../../procedure/"+p.ID+"/index.html"] {
			t.Errorf("%s stands in no list", p.ID)
		}
	}
	for at := range files {
		if strings.HasPrefix(at, "list/") && !seen[at] {
			t.Errorf("nothing leads to %s", at)
		}
	}
}
