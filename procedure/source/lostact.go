package source

import (
	"bytes"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Somebody who comes from a word processor writes acts with other marks than a box, as headings or into cells. Markdown
// shows such lines as text, and nothing is done; so each line that reads like an act is reported, wherever it stands.

// lostAct is a line that reads like an act.
type lostAct struct {
	// at is where the act starts in the line, behind its marks; act is how it is written in a task.
	at  int
	act string
	// sure is true behind a box, a tick or a bullet, which nothing else was meant by.
	sure bool
}

// lostActs reports the lines of a block of text that read like acts.
func (r *reader) lostActs(n ast.Node) {
	if p := n.Parent(); !r.light || p != nil && r.isTask(p) {
		return // a box that stands in the wrong place is reported for itself
	}
	lines := n.Lines()
	if t, ok := n.FirstChild().(*ast.Text); ok && len(bytes.TrimSpace(r.src[lines.At(0).Start:max(lines.At(0).Start, t.Segment.Start)])) > 0 {
		return // the words behind the colon of an act or an inspection: what stands before them is read already
	}
	ended := true // the words before do not go on in this line
	for i := range lines.Len() {
		line := lines.At(i)
		start, end := trim(r.src, line.Start, line.Stop)
		if start == end {
			ended = true
			continue
		}
		found := actIn(r.src[start:end])
		if found.act != "" && (found.at > 0 || ended && (i+1 == lines.Len() || actIn(bytes.TrimSpace(r.src[lines.At(i+1).Start:lines.At(i+1).Stop])).act != "")) {
			r.reportLost(n, r.segment(start, end), found)
			ended = true
			continue
		}
		ended = bytes.IndexByte([]byte(".:;!?"), r.src[end-1]) >= 0
	}
}

// lostRow reports the row of a table that reads like an act when its cells are put together: remove | 4.
func (r *reader) lostRow(row ast.Node) {
	if !r.light {
		return
	}
	var words [][]byte
	for c := row.FirstChild(); c != nil; c = c.NextSibling() {
		if c.Lines().Len() == 0 {
			continue
		}
		line := c.Lines().At(0)
		cell := bytes.TrimSpace(r.src[line.Start:line.Stop])
		if actIn(cell).act != "" {
			return // reported with the cell
		}
		if len(cell) > 0 {
			words = append(words, cell)
		}
	}
	if len(words) > 1 && isCallout(string(words[0])) {
		words = words[1:] // the number of the row
	}
	if len(words) > 1 {
		if found := actIn(bytes.Join(words, []byte(" "))); found.act != "" {
			r.reportLost(row.FirstChild(), r.spanOf(row), found)
		}
	}
}

// reportLost reports a line that reads like an act, by what it is in Markdown.
func (r *reader) reportLost(n ast.Node, span text.Span, x lostAct) {
	mark := span.Sub(0, x.at)
	item := n.Parent() != nil && n.Parent().Kind() == ast.KindListItem && n.Parent().FirstChild() == n && r.startOf(n) == span.Start
	do := say.That("Write - [ ] %act, or other words.", say.Name(x.act))
	what := say.That("this reads like an act, but has no box: it is shown as text")
	switch n.Kind() {
	case ast.KindHeading:
		what, do = say.That("this heading reads like an act, and nothing is done"), say.That("Write it below the heading of a step: - [ ] %act. Or use other words.", say.Name(x.act))
	case extast.KindTableCell:
		what, do = say.That("this cell reads like an act, and nothing is done"), say.That("Write it as a list instead of a table: - [ ] %act. Or use other words.", say.Name(x.act))
	case ast.KindCodeBlock, ast.KindFencedCodeBlock:
		r.report("task-form", span, say.That("this line stands in a block of code, so nothing is done"), say.That("Write - [ ] %act at the left margin, without marks for code.", say.Name(x.act)))
		return
	default:
		if x.sure && !item {
			what = say.That("this line is no list item, so nothing is done")
		}
		if !r.holdsActs(n) {
			do = say.That("Acts stand in the step itself: - [ ] %act. Or use other words.", say.Name(x.act))
			r.report(codeOf(x), span, what, do)
			return
		}
		if x.sure && item {
			r.report("task-form", span, say.That("this item has no box, so nothing is done"), say.That("Write it as - [ ] %act.", say.Name(x.act)), diagnostic.Replace(mark, box+" ", true))
			return
		}
		if x.sure {
			r.report("task-form", span, what, say.That("Write it as - [ ] %act.", say.Name(x.act)), diagnostic.Replace(mark, "- "+box+" ", true))
			return
		}
		if item && x.at == 0 {
			r.report("act-without-box", span, what, do, diagnostic.Insert(span, box+" ", false))
			return
		}
	}
	r.report(codeOf(x), span, what, do)
}

func codeOf(x lostAct) diagnostic.Code {
	if x.sure {
		return "task-form"
	}
	return "act-without-box"
}

// lostItem reports an item of a task list that has another mark than a box, and whether it does.
func (r *reader) lostItem(first ast.Node) bool {
	line := first.Lines().At(0)
	start, end := trim(r.src, line.Start, line.Stop)
	if start == end {
		return false
	}
	found := actIn(r.src[start:end])
	if found.act == "" || found.at == 0 {
		return false
	}
	found.sure = true // it stands between boxes
	r.reportLost(first, r.segment(start, end), found)
	return true
}

// holdsActs reports whether a task could stand where some text stands: in no quotation, and in no block but those that hold tasks.
func (r *reader) holdsActs(n ast.Node) bool {
	for p := n.Parent(); p != nil; p = p.Parent() {
		switch p := p.(type) {
		case *ast.Blockquote:
			return false
		case *fence:
			if p.heading != nil {
				return true
			}
			kind := kindOfLine(r.src[p.infoStart:p.infoEnd])
			return kind == nil || kind.Name == "only" || slices.Contains(actHolders, kind.Name)
		}
	}
	return true
}

// actIn finds the act that a line is, behind whatever marks; the zero value for any other text.
func actIn(line []byte) (x lostAct) {
	if len(line) == 0 || len(line) > longestAct {
		return x
	}
	for x.at < len(line) {
		n, sure := markOf(line[x.at:])
		if n == 0 {
			break
		}
		x.at += n
		x.sure = x.sure || sure
	}
	words := line[x.at:]
	verb, n := verbOf(words)
	if n == 0 {
		return x
	}
	rest := words[n:]
	if at := bytes.Index(rest, []byte("](")); at >= 0 {
		rest = rest[:at] // a link
	}
	if bytes.IndexByte(rest, '{') < 0 { // a brace at the end closes attributes
		rest = bytes.TrimRight(rest, closingMarks)
	}
	if own := procedure.Verb(words[:n]); own == verb && x.sure {
		if _, ok := own.Rule(); ok { // behind a box there is an act, however badly it is written
			x.act = string(words[:n]) + string(rest)
			return x
		}
	}
	if names := thingsOf(verb, string(words[:n]), string(rest)); names != "" {
		x.act = string(verb) + " " + names
	}
	return x
}

// closingMarks are what may stand behind an act: the ends of emphasis, quotations and brackets, an empty box.
const closingMarks = "*_~`\"'”’»)[]}☐ \t\u00a0"

// longestAct bounds the lines that are looked at: a longer one tells something.
const longestAct = 300

// verbOf reads the verb that some words start with, in whatever case and language, and how long it is as it is written; 0 for none.
func verbOf(words []byte) (procedure.Verb, int) {
	n := 0
	for n < len(words) && words[n] != ' ' && words[n] != '\t' {
		if n++; n > 16 {
			return "", 0 // longer than any verb
		}
	}
	if n < 3 || n == len(words) || words[n-1] < utf8.RuneSelf && !isLetter(words[n-1]) {
		return "", 0
	}
	if verb, ok := verbsByWord[string(words[:n])]; ok {
		return verb, n
	}
	if c := words[0]; c >= 'A' && c <= 'Z' {
		var small [17]byte
		for i, c := range words[:n] {
			if small[i] = c; c >= 'A' && c <= 'Z' {
				small[i] |= 0x20
			}
		}
		if verb, ok := verbsByWord[string(small[:n])]; ok {
			return verb, n
		}
	}
	for _, phrase := range verbPhrases {
		if len(words) > len(phrase.words) && words[len(phrase.words)] == ' ' && strings.EqualFold(string(words[:len(phrase.words)]), phrase.words) {
			return phrase.verb, len(phrase.words)
		}
	}
	return "", 0
}

// verbsByWord are our verbs, and words that people write for them.
var verbsByWord = map[string]procedure.Verb{}

// otherVerbs are words that people write for our verbs, in the languages of the words table.
var otherVerbs = map[procedure.Verb][]string{
	procedure.Remove:     {"unscrew", "unbolt", "detach", "dismount", "withdraw", "entfernen", "entferne", "abnehmen", "ausbauen", "abschrauben", "herausdrehen"},
	procedure.Loosen:     {"slacken", "unloosen", "lösen", "lockern"},
	procedure.Fit:        {"install", "refit", "mount", "insert", "einbauen", "einsetzen", "anbauen", "montieren"},
	procedure.Tighten:    {"torque", "retighten", "anziehen", "festziehen"},
	procedure.Disconnect: {"unplug", "trennen", "abklemmen", "abstecken"},
	procedure.Connect:    {"reconnect", "anschließen", "verbinden", "anklemmen"},
	procedure.Drain:      {"ablassen"},
	procedure.Fill:       {"refill", "füllen", "einfüllen", "auffüllen"},
	procedure.Flush:      {"spülen"},
	procedure.Mark:       {"label", "markieren", "kennzeichnen"},
	procedure.Hang:       {"stützen", "abstützen"},
	procedure.Lift:       {"raise", "hoist", "heben", "anheben"},
	procedure.Inspect:    {"check", "prüfen", "kontrollieren"},
	procedure.Clean:      {"wipe", "reinigen", "säubern"},
}

// verbPhrases are verbs of two words.
var verbPhrases = []struct {
	words string
	verb  procedure.Verb
}{{string(procedure.SetDown), procedure.SetDown}, {"take off", procedure.Remove}, {"take out", procedure.Remove}, {"screw out", procedure.Remove}, {"screw in", procedure.Fit}, {"put back", procedure.Fit}}

func init() {
	for verb, words := range otherVerbs {
		for _, word := range words {
			verbsByWord[word] = verb
		}
	}
	for _, rule := range procedure.VerbRules {
		verbsByWord[string(rule.Verb)] = rule.Verb
	}
}

// fastenerWords stand in front of a callout number where they are not needed.
var fastenerWords = []string{"the", "all", "both", "no", "no.", "nr", "nr.", "bolt", "bolts", "screw", "screws", "nut", "nuts", "fastener", "fasteners", "part", "item", "number", "numbers", "schraube", "schrauben", "mutter", "muttern", "die", "der", "das"}

// thingsOf returns what stands behind a verb when it is names as an act has them, and "" for anything else. A verb of our own takes
// names of all kinds; another word, or a fastener's before its number, could be plain text: then there is a callout number.
func thingsOf(verb procedure.Verb, written, rest string) string {
	rule, ok := verb.Rule()
	if !ok {
		return ""
	}
	rest = strings.TrimRight(strings.TrimSpace(rest), ".,;!")
	for word, more, ok := strings.Cut(rest, " "); ok && slices.Contains(fastenerWords, strings.ToLower(word)); word, more, ok = strings.Cut(more, " ") {
		rest, written = more, "" // a number must come
	}
	names, _, _ := strings.Cut(rest, ": ")
	names, _, _ = strings.Cut(names, " {")
	with := ""
	if at := wordAt(" "+names, rule.Word); at >= 0 {
		names, with = names[:at], strings.TrimSpace((" " + names)[at+len(rule.Word)+1:])
	} else if rule.NeedsWith {
		return ""
	}
	own := strings.EqualFold(written, string(verb))
	count := 0
	for ref := range refsIn(strings.ReplaceAll(names, "#", ""), text.Span{}) {
		id := ref.ID
		if at := counted.FindStringSubmatchIndex(id); at != nil {
			id = id[at[4]:at[5]]
		}
		if !isCallout(id) && (!own || !isName(id) || isAdverb(id)) {
			return ""
		}
		count++
	}
	if count == 0 || strings.Contains(with, " ") && !strings.Contains(with, ",") {
		return ""
	}
	return rest
}

// isAdverb reports whether a word behind a verb says how or where it is done, so that the line is a sentence.
func isAdverb(s string) bool {
	return strings.HasSuffix(s, "ly") || slices.Contains([]string{"together", "up", "down", "out", "off", "in", "on", "away", "it", "them", "both", "all", "everything", "again", "first", "last", "now", "here", "there", "well", "slack"}, s)
}

// bullets are the marks that word processors put in front of list items; Markdown takes them for text.
const bullets = "•◦▪‣·●○■□☐–—-*+"

// ticks are marks for what is done or is to be done.
const ticks = "☐☑☒✓✔✅✗✘❌❎⬜⬛🔲🔳🗹"

// markOf is the length of a mark that a line starts with, and whether it was surely meant as a box or a bullet; 0 for none.
func markOf(s []byte) (n int, sure bool) {
	if c := s[0]; isLetter(c) || '0' <= c && c <= '9' {
		return numbering(s), false
	}
	if n := boxOf(s); n > 0 {
		return n, true
	}
	if n := roundBox(s); n > 0 {
		return n, s[0] != '(' || !isLetter(s[1]) && !isDigit(s[1]) || s[1]|0x20 == 'x'
	}
	c, size := utf8.DecodeRune(s)
	switch {
	case c == utf8.RuneError && size < 2:
		return 0, false
	case c == '*' || c == '+':
		return size, len(s) > 1 && isSpace(s[1])
	case strings.ContainsRune(bullets, c), strings.ContainsRune(ticks, c):
		return size, true
	case unicode.IsLetter(c), unicode.IsDigit(c):
		return 0, false
	}
	return size, false // a space, a quotation mark, an arrow, what joins signs to one
}

// roundBox is the length of brackets with one sign in them, or none: ( ), [a], ［ ］, 【】.
func roundBox(s []byte) int {
	open, n := utf8.DecodeRune(s)
	pairs := []rune("()[]{}<>［］【】（）〔〕")
	at := slices.Index(pairs, open)
	if at < 0 || at%2 == 1 {
		return 0
	}
	for inside := 0; n < len(s); {
		c, size := utf8.DecodeRune(s[n:])
		n += size
		if c == pairs[at+1] {
			return n
		}
		if c != ' ' && c != '\u00a0' && c != '\u3000' && c != '\ufe0f' {
			inside++
		}
		if inside > 1 || n > 16 {
			break
		}
	}
	return 0
}

// numbering is the length of the number or letter of a list as word processors write it: a), 1., iv), 2.1; 0 for none.
func numbering(s []byte) int {
	n := 0
	for n < len(s) && n < 6 && (isDigit(s[n]) || n > 0 && s[n] == '.' && isDigit(s[n-1])) {
		n++
	}
	if n == 0 {
		for n < len(s) && n < 4 && (n == 0 || strings.IndexByte("ivx", s[0]|0x20) >= 0 && strings.IndexByte("ivx", s[n]|0x20) >= 0) && isLetter(s[n]) {
			n++
		}
	}
	switch {
	case n == 0 || n == len(s):
		return 0
	case s[n] == ')' || s[n] == '.' || s[n] == ':' || s[n] == ']':
		return n + 1
	case isDigit(s[0]) && isSpace(s[n]):
		return n // 2.1 remove 4
	}
	return 0
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }
