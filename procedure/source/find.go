package source

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	xast "github.com/yuin/goldmark/extension/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Tasks that find something out, or wait: "read gap in mm: at most 3 mm", "compute shim in mm = gap - wanted", "decide
// stuck: Does the hub move?", "wait 10 min: the oil drains". They are blocks of their own.

// findKinds are the kinds of block that tasks make, by their first word.
var findKinds = map[string]*grammar.BlockKind{}

func init() {
	for word, kind := range map[string]string{"read": "readings", "compute": "readings", "decide": "decide", "wait": "wait", "must": "must"} {
		k := procedure.KindOf(kind).BlockKind
		k.Attributes = slices.DeleteFunc(slices.Clone(k.Attributes), func(a grammar.Attribute) bool {
			return a.Name == "unit" || a.Name == "limits" || word == "compute" && a.Name == "of"
		})
		k.Name, k.Argument, k.Title = word, grammar.Attribute{}, ""
		findKinds[word] = &k
	}
}

// findKind is the kind of a task that finds something out or waits; nil for acts.
func (r *reader) findKind(item ast.Node) *grammar.BlockKind {
	first := item.FirstChild()
	if first == nil || first.Lines() == nil || first.Lines().Len() == 0 {
		return nil
	}
	line := first.Lines().At(0)
	start, end := trim(r.src, line.Start, line.Stop)
	word, _, _ := strings.Cut(string(r.src[start:end]), " ")
	return findKinds[strings.TrimSuffix(word, ":")]
}

// findTask reads a task that finds something out or waits; nil when it cannot be read.
func (r *reader) findTask(item *ast.ListItem, kind *grammar.BlockKind, given *block) procedure.Block {
	if given == nil {
		given = &block{kind: kind}
	}
	head, span, tail := r.head(item)
	bare := bareAttribute(kind, head+" "+tail.Plain())
	if bare != "" {
		r.badTask(span, say.That("%attribute stands outside braces", say.Quote(bare)), say.That("Write {%attribute} at the end of the line.", say.Word(bare)))
		if strings.Contains(tail.Plain(), bare) && kind.Name != "decide" {
			return nil // there it cannot be told from a limit or a reason
		}
	}
	words := strings.TrimSpace(strings.Replace(strings.TrimPrefix(head, kind.Name), bare, "", 1)) // what else the line says is read on
	switch kind.Name {
	case "read":
		return r.readTask(words, span, tail, given)
	case "compute":
		return r.computeTask(words, span, tail, given)
	case "decide":
		return r.decideTask(words, span, tail, given)
	case "must":
		return r.mustTask(words, span, tail, given)
	}
	return r.waitTask(words, span, tail, given)
}

// bareAttribute is an attribute of the kind that its author wrote without braces, "chance=30"; empty when there is none.
func bareAttribute(kind *grammar.BlockKind, words string) string {
	for _, word := range strings.Fields(words) {
		name, value, found := strings.Cut(word, "=")
		if found && value != "" && slices.ContainsFunc(kind.Attributes, func(a grammar.Attribute) bool { return a.Name == name }) {
			return word
		}
	}
	return ""
}

func (r *reader) badTask(span text.Span, what, do say.Text, fixes ...diagnostic.Fix) procedure.Block {
	r.report("find-form", span, what, do, fixes...)
	return nil
}

var (
	readForm   = say.That("Write read NAME in UNIT, and after a colon the limits: read play in mm: at most 0.1 mm.")
	computeDo  = say.That("Write compute NAME in UNIT = NAME - NAME, such as compute shim in mm = found - wanted.")
	seriesForm = regexp.MustCompile(`^(.*\S)\s+every\s+(.+?)\s+for\s+(.+)$`)
)

func (r *reader) readTask(words string, span text.Span, tail procedure.Prose, given *block) procedure.Block {
	x := procedure.Reading{Span: span, Chance: r.percent(given)}
	if m := seriesForm.FindStringSubmatch(words); m != nil {
		words = m[1]
		every, for_ := r.quantity(m[2], span, measure.Time), r.quantity(m[3], span, measure.Time)
		x.Every, x.For = every, for_
		if every.IsZero() || for_.IsZero() {
			return nil
		}
		if n := x.Points(); every.Sign() <= 0 || n < 2 || n > mostPoints {
			return r.badTask(span, say.That("a series of %count values is none", say.Count(max(n, 0))), say.That("Write an interval that goes into the time 2 to %most times.", say.Count(mostPoints)))
		}
	}
	if !r.nameAndUnit(&x, words, span, readForm) {
		return nil
	}
	r.titled(&x, given)
	if !tail.Empty() && !r.accepts(&x, tail.Plain(), tail.Span) {
		return nil
	}
	if v := given.get("chance"); v != nil && x.Limits == nil {
		r.report("idle-attribute", v.nameSpan, say.That(`"chance" does nothing where there are no limits`), say.That("Write the limits behind its unit: at most 0.1 mm."))
	}
	return &procedure.Readings{Common: procedure.Common{Span: span}, Of: given.ref("of"), Rows: []procedure.Reading{x}}
}

// mostPoints is how many values a series may have: more are a logger's work.
const mostPoints = 60

// nameAndUnit reads "NAME in UNIT".
func (r *reader) nameAndUnit(x *procedure.Reading, words string, span text.Span, do say.Text) bool {
	name, unit, found := strings.Cut(words, " in ")
	name, unit = strings.TrimSpace(name), strings.TrimSpace(unit)
	switch {
	case !found || unit == "":
		r.badTask(span, say.That("this value has no unit"), do)
		return false
	case !isName(name) || name == "not" || name == "and" || name == "or":
		r.badTask(span, say.That("%name is not a name", say.Quote(name)), do)
		return false
	}
	q := r.quantity("1 "+unit, span)
	if q.IsZero() {
		return false
	}
	x.Name, x.Unit = name, q.Unit()
	return true
}

// titled gives a value its words: those of its title, or those of its name.
func (r *reader) titled(x *procedure.Reading, given *block) {
	if x.Words = given.words("title"); x.Words == "" {
		x.Words = strings.ToUpper(x.Name[:1]) + strings.ReplaceAll(x.Name[1:], "-", " ")
	}
}

// accepts reads the limits of a value, which must be in its dimension.
func (r *reader) accepts(x *procedure.Reading, words string, span text.Span) bool {
	l := limits(words, r.numbers)
	if l == nil {
		r.badTask(span, say.That("%words are no limits", say.Quote(words)), say.That("Write 12 mm to 13 mm, at least 3 mm, or at most 0.1 mm; what is no number is something to inspect."))
		return false
	}
	for _, end := range []*measure.Quantity{l.Low, l.High} {
		if end == nil {
			continue
		}
		if _, err := end.In(x.Unit); err != nil {
			r.badTask(span, say.That("the limits are in %unit, the value in %other", say.Word(end.Unit()), say.Word(x.Unit)), say.That("Give both in units of one dimension."))
			return false
		}
	}
	r.twoUnits(l, span)
	x.Accept, x.Limits = words, l
	return true
}

func (r *reader) computeTask(words string, span text.Span, tail procedure.Prose, given *block) procedure.Block {
	x := procedure.Reading{Span: span, Chance: r.percent(given)}
	left, sum, found := strings.Cut(words, "=")
	if !found {
		return r.badTask(span, say.That("this value is not worked out from anything"), computeDo)
	}
	if !r.nameAndUnit(&x, strings.TrimSpace(left), span, computeDo) {
		return nil
	}
	r.titled(&x, given)
	var plain []string
	term := true // a name comes next
	for _, word := range strings.Fields(sum) {
		switch {
		case term && isName(word):
			plain, term = append(plain, word), false
		case term && isFactor(word):
			plain = append(plain, word)
		case term && word == "×" || term && word == "*" || term && word == "x":
		case !term && (word == "+" || word == "-" || word == "−"):
			plain, term = append(plain, strings.Replace(word, "−", "-", 1)), true
		default:
			return r.badTask(span, say.That("%word does not belong into a sum", say.Quote(word)), computeDo)
		}
	}
	if term || len(plain) == 0 {
		return r.badTask(span, say.That("this sum is not complete"), computeDo)
	}
	x.Sum = strings.Join(plain, " ")
	if !tail.Empty() && !r.accepts(&x, tail.Plain(), tail.Span) {
		return nil
	}
	return &procedure.Readings{Common: procedure.Common{Span: span}, Rows: []procedure.Reading{x}}
}

// isFactor reports whether a word is a whole number that a value is taken times.
func isFactor(s string) bool {
	n, err := strconv.Atoi(s)
	return err == nil && n > 1 && n < 1000 && s[0] != '+'
}

func (r *reader) decideTask(words string, span text.Span, question procedure.Prose, given *block) procedure.Block {
	switch {
	case !isName(words) || words == "not" || words == "and" || words == "or":
		return r.badTask(span, say.That("%name is not a name", say.Quote(words)), say.That("Write decide NAME, and after a colon the question: decide worn: Is the belt worn?"))
	case question.Empty():
		return r.badTask(span, say.That("this decision has no question"), say.That("Write it after a colon: decide %name: Is the belt worn?", say.Name(words)))
	}
	return &procedure.Decision{Common: procedure.Common{Span: span}, Name: words, Question: question, Chance: r.percent(given)}
}

func (r *reader) waitTask(words string, span text.Span, reason procedure.Prose, given *block) procedure.Block {
	do := say.That("Write wait TIME, and after a colon what for: wait 10 min: the oil drains.")
	if words == "" {
		return r.badTask(span, say.That("this wait has no time"), do)
	}
	time := r.quantity(words, span, measure.Time)
	switch {
	case time.IsZero():
		return nil
	case time.Sign() <= 0 || time.Float("h") > 7*24:
		return r.badTask(span, say.That("%time is no wait", say.Word(time.String())), say.That("Write a time of at most a week."))
	case reason.Empty():
		return r.badTask(span, say.That("this wait does not say what for"), do)
	}
	w := &procedure.Wait{Common: procedure.Common{Span: span}, Time: time, For: reason, On: given.refs("on")}
	if given.get("people") != nil {
		w.People = r.people(given, 0)
	}
	return w
}

// longestMust is how many characters what has to be kept to may have: two lines of a sheet.
const longestMust = 160

func (r *reader) mustTask(words string, span text.Span, what procedure.Prose, given *block) procedure.Block {
	do := say.That("Write must, and after a colon what has to be kept to: must: Never over 120 °C.")
	switch {
	case words != "":
		return r.badTask(span, say.That("%words stands in front of the colon", say.Quote(words)), do)
	case what.Empty():
		return r.badTask(span, say.That("this must does not say what has to be kept to"), do)
	case utf8.RuneCountInString(what.Plain()) > longestMust:
		return r.badTask(what.Span, say.That("this must has %count characters; sheets show %most", say.Count(utf8.RuneCountInString(what.Plain())), say.Count(longestMust)), say.That("Say it in fewer words here, and the rest in the text of the step."))
	}
	return &procedure.Must{Common: procedure.Common{Span: span}, Prose: what, OutOnly: given.flag("out-only")}
}

// percent reads how likely something is; 0 when it is not stated.
func (r *reader) percent(b *block) int {
	v := b.get("chance")
	if v == nil {
		return 0
	}
	n, err := strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(v.text), "%"))
	if err != nil || n < 1 || n > 99 {
		r.report("attribute-value", v.span, say.That("%value is no chance", say.Quote(v.text)), say.That("Write a whole number of percent from 1 to 99; what is sure needs no condition."))
		return 0
	}
	return n
}

// condition reads a condition; empty when it cannot be read, which is reported.
func (r *reader) condition(s string, span text.Span) procedure.When {
	c, wrong, ok := procedure.ParseWhen(s)
	if !ok {
		what := say.That("this condition is not complete")
		if wrong != "" {
			what = say.That("%word does not belong into a condition", say.Quote(wrong))
		}
		r.report("find-form", span, what, say.That("Write NAME, not NAME, NAME out, NAME within or NAME fails, joined by and, or."))
		return ""
	}
	if n := len(c.Names()); n > procedure.MostFinders {
		r.report("find-form", span, say.That("this condition has %count names", say.Count(n)), say.That("Use at most %most.", say.Count(procedure.MostFinders)))
		return ""
	}
	return c
}

// readingsTable reads a block with a table of values: places by directions.
func (r *reader) readingsTable(b *block, common procedure.Common) procedure.Block {
	out := &procedure.Readings{Common: common, Name: b.argument, Title: b.title, Of: b.ref("of")}
	unit := b.get("unit")
	if unit == nil {
		r.report("missing-attribute", b.span, say.That("this table of readings has no unit"), say.That(`Add {unit=mm}.`))
		return nil
	}
	whole := procedure.Reading{Chance: r.percent(b)}
	q := r.quantity("1 "+unit.text, unit.span)
	if q.IsZero() {
		return nil
	}
	whole.Unit = q.Unit()
	if v := b.get("limits"); v != nil && !r.accepts(&whole, v.text, v.span) {
		return nil
	}
	out.Unit, out.Limits, out.Chance = whole.Unit, whole.Accept, whole.Chance
	if out.Title == "" {
		out.Title = strings.ToUpper(out.Name[:min(1, len(out.Name))]) + strings.ReplaceAll(out.Name[min(1, len(out.Name)):], "-", " ")
	}
	tables := 0
	r.eachBlock(b.node, grammar.Place(b.kind.Name), func(n ast.Node) {
		t, ok := n.(*xast.Table)
		if tables++; !ok || tables > 1 {
			r.report("find-form", r.spanOf(n), say.That("this block holds one table and nothing else"), say.That("Write single values as - [ ] read NAME in UNIT, without a block."))
			return
		}
		r.readingCells(t, out, whole)
	}, func(*block) {})
	if len(out.Rows) == 0 {
		r.report("empty-block", b.span, say.That("this block asks for no value"), say.That("Write a table: places down, directions across."))
		return nil
	}
	return out
}

func (r *reader) readingCells(t *xast.Table, out *procedure.Readings, whole procedure.Reading) {
	var columns []cell
	taken := map[string]bool{}
	for n := t.FirstChild(); n != nil; n = n.NextSibling() {
		if head, ok := n.(*xast.TableHeader); ok {
			columns = r.headingCells(head)
			continue
		}
		i, place := 0, cell{}
		for c := n.FirstChild(); c != nil; c, i = c.NextSibling(), i+1 {
			at := r.cell(c)
			if i == 0 {
				place = at
				continue
			}
			if i >= len(columns) || at.text == "-" {
				continue
			}
			x := whole
			x.Row, x.Column, x.Span = place.text, columns[i].text, at.span
			x.Name = out.Name + "-" + placeName(x.Row) + "-" + placeName(x.Column)
			if x.Row == "" || x.Column == "" || taken[x.Name] {
				r.report("find-form", place.span, say.That("this row or its column has no heading of its own"), say.That("Give every row and every column a heading that no other has."))
				continue
			}
			taken[x.Name] = true
			if at.text != "" && !r.accepts(&x, at.text, at.span) {
				continue
			}
			out.Rows = append(out.Rows, x)
		}
		r.extraCell(n)
	}
}

// placeName makes a part of a name of a heading: "3 o'clock" becomes "3-o-clock".
func placeName(words string) string {
	return strings.Trim(notInNames.ReplaceAllString(strings.ToLower(words), "-"), "-")
}

var notInNames = regexp.MustCompile(`[^a-z0-9]+`)
