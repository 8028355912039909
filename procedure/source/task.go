package source

import (
	"bytes"
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	gtext "github.com/yuin/goldmark/text"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/position"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// What is done stands in a task list, in the order of work: "- [ ] remove 4". The box is
// that of GFM; attributes stand in braces at the end of the line.

// box is what a task begins with.
const box = "[ ]"

// whitespace is what may stand between a box and its text.
const whitespace = " \t\r\n"

// boxes is the transformer that takes the box and the attributes off the text of a task, so
// that the text is read like that of any list item. What it took is found again in the source.
type boxes struct{}

// Transform implements parser.ParagraphTransformer.
func (boxes) Transform(node *ast.Paragraph, reader gtext.Reader, pc parser.Context) {
	item, ok := node.Parent().(*ast.ListItem)
	if !ok || item.FirstChild() != ast.Node(node) || !isLightContext(pc) {
		return
	}
	src, lines := reader.Source(), node.Lines()
	first := lines.At(0)
	mark := boxOf(src[first.Start:first.Stop])
	if mark == 0 {
		return
	}
	start, _ := trim(src, first.Start+mark, first.Stop)
	if start == first.Stop && lines.Len() > 1 {
		lines.SetSliced(1, lines.Len()) // the act begins on the next line; goldmark's reader never ends on a line of no length
	} else {
		lines.Set(0, first.WithStart(start))
	}
	if at := bracesAt(src, lines); at >= 0 {
		cutAt(src, lines, at)
	}
}

// nearBox is a box, or what was likely meant as one: [], [x], [ ]remove, [ remove.
var nearBox = regexp.MustCompile(`^(?:\[[ \t\x{00a0}]*[xX_✓✔]?[ \t\x{00a0}]*\]|\[[ \t\x{00a0}])[ \t\x{00a0}]*`)

// boxOf is the length of the box that a text begins with, or of what was likely meant as one; 0 for none.
func boxOf(s []byte) int {
	if len(s) < 2 || s[0] != '[' {
		return 0
	}
	if string(s) == box+" " {
		return len(s)
	}
	if bytes.HasPrefix(s, []byte(box+" ")) && len(s) > len(box)+1 && s[len(box)+1] > ' ' && s[len(box)+1] < utf8.RuneSelf {
		return len(box) + 1 // as nearly all are
	}
	found := nearBox.Find(s)
	if n := len(found); n > 1 && (n == len(s) || s[n] != '(' && s[n] != '[' && s[n] != ':') {
		return n
	}
	return 0
}

// bracesAt returns where the attributes at the end of a text start; -1 for none.
func bracesAt(src []byte, lines *gtext.Segments) int {
	last := lines.At(lines.Len() - 1)
	if _, end := trim(src, last.Start, last.Stop); end == last.Start || src[end-1] != '}' {
		return -1
	}
	for i := lines.Len() - 1; i >= 0; i-- {
		line := lines.At(i)
		if at := bytes.LastIndexByte(src[line.Start:line.Stop], '{'); at >= 0 {
			return line.Start + at
		}
	}
	return -1
}

// cutAt ends a text before an offset.
func cutAt(src []byte, lines *gtext.Segments, at int) {
	for i := range lines.Len() {
		line := lines.At(i)
		if at > line.Stop {
			continue
		}
		_, end := trim(src, line.Start, at)
		lines.Set(i, line.WithStop(end))
		lines.SetSliced(0, i+1)
		return
	}
}

// isTask reports whether a list item begins with a box, or with what was likely meant as one.
func (r *reader) isTask(item ast.Node) bool { return r.boxSpan(item).Valid() }

// boxSpan is the place of a task's box, up to its text; the zero Span for none.
func (r *reader) boxSpan(item ast.Node) text.Span {
	first := item.FirstChild()
	if first == nil || first.Lines() == nil || first.Lines().Len() == 0 {
		return text.Span{}
	}
	end := first.Lines().At(0).Start
	line := bytes.LastIndexByte(bytes.TrimRight(r.src[:end], whitespace), '\n') + 1 // the act may begin on the line behind its box
	at := bytes.LastIndexByte(r.src[line:end], '[')
	if at < 0 || boxOf(r.src[line+at:end]) == 0 {
		return text.Span{}
	}
	return r.segment(line+at, end)
}

// isTasks reports whether a list is one of tasks: one of its items begins with a box.
func (r *reader) isTasks(list *ast.List) bool {
	for i := list.FirstChild(); i != nil; i = i.NextSibling() {
		if r.isTask(i) {
			return true
		}
	}
	return false
}

// allTasks reports whether all items of a block begin with a box.
func (r *reader) allTasks(b *block) bool {
	for n := b.node.FirstChild(); n != nil; n = n.NextSibling() {
		list, ok := n.(*ast.List)
		if !ok {
			continue
		}
		for i := list.FirstChild(); i != nil; i = i.NextSibling() {
			if !r.isTask(i) {
				return false
			}
		}
	}
	return true
}

// task is one line of a task list: the actions that it stands for, with their attributes.
type task struct {
	actions []*procedure.Action
	given   *block
	span    text.Span
	// block is what a task is that finds something out or waits; it has no actions then.
	block procedure.Block
}

// tasks reads a task list.
func (r *reader) tasks(list *ast.List) []task {
	var out []task
	for i := list.FirstChild(); i != nil; i = i.NextSibling() {
		item, ok := i.(*ast.ListItem)
		if !ok {
			continue
		}
		if r.isTask(item) {
			r.checkBox(item)
		} else {
			if first := item.FirstChild(); first != nil && first.Type() == ast.TypeBlock && first.Lines().Len() > 0 && r.lostItem(first) {
				continue
			}
			at := r.spanOf(item)
			r.report("task-form", at, say.That("this item of a task list has no box"), say.That("Write - [ ] and what is done; text belongs in a list of its own."),
				diagnostic.Insert(at, box+" ", false))
		}
		t := task{span: r.spanOf(item)}
		if kind := r.findKind(item); kind != nil {
			given := r.tasksBraces(item, kind)
			if t.block = r.findTask(item, kind, given); t.block != nil {
				out = append(out, t)
			}
			continue
		}
		t.given = r.tasksBraces(item, taskKind)
		t.actions = r.action(nil, item)
		r.placed(t.given, t.actions)
		if len(t.actions) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// strayBox reports a box in a list that is none of tasks.
func (r *reader) strayBox(item *ast.ListItem) {
	if at := r.boxSpan(item); r.light && at.Valid() {
		r.report("task-form", at.Sub(0, len(strings.TrimRight(at.Text(), whitespace))), say.That("a box stands here, where nothing is done"), say.That("Take the box out; acts stand in the step itself."), diagnostic.Remove(at, true))
	}
}

// checkBox reports a box that does not have its form.
func (r *reader) checkBox(item *ast.ListItem) {
	at := r.boxSpan(item)
	words := strings.TrimRight(at.Text(), whitespace)
	if words == box && len(words) < len(at.Text()) {
		return
	}
	what := say.That("this box does not have its form")
	if strings.ContainsAny(words, "xX✓✔") {
		what = say.That("this box is ticked")
	}
	r.report("task-form", at.Sub(0, max(len(words), 1)), what, say.That("Write [ ] and a space; the learner ticks it at the bench."), diagnostic.Replace(at, box+" ", true))
}

// tasksBraces reads the attributes at the end of a task; nil for none.
func (r *reader) tasksBraces(item *ast.ListItem, kind *grammar.BlockKind) *block {
	first := item.FirstChild()
	if first == nil || first.Lines() == nil || first.Lines().Len() == 0 {
		return nil
	}
	start := first.Lines().At(first.Lines().Len() - 1).Stop
	from := start
	start, _ = trim(r.src, start, len(r.src))
	if start >= len(r.src) || r.src[start] != '{' || bytes.Count(r.src[from:start], []byte("\n")) > 1 {
		return nil // what stands behind an empty line belongs to no task
	}
	end := start
	for end < len(r.src) && !closesBraces(r.src[start:end]) {
		end++
	}
	b := &block{kind: kind}
	b.span = r.segment(start, end)
	s := &scanner{src: b.span.Text(), span: b.span}
	r.parseAttributes(s, &b.opening)
	r.checkOpening(b)
	return b
}

// taskKind has the attributes that a task may have.
var taskKind = &grammar.BlockKind{Name: "act", Attributes: procedure.KindOf("actions").Attributes}

// placed gives acts the places that their line or block states.
func (r *reader) placed(b *block, actions []*procedure.Action) {
	if b == nil {
		return
	}
	if who := b.refs("who"); who != nil {
		for _, a := range actions {
			a.Who = who
		}
	}
	r.locks(b.get("locks"), actions)
	for _, x := range []struct {
		name string
		to   func(a *procedure.Action) *position.List
	}{
		{"at", func(a *procedure.Action) *position.List { return &a.At }},
		{"hook", func(a *procedure.Action) *position.List { return &a.Hook }},
	} {
		v := b.get(x.name)
		if v == nil {
			continue
		}
		l := r.places("attribute-value", v.text, v.span)
		if x.name == "hook" && len(l.Points()) > 1 {
			r.report("attribute-value", v.span, say.That("%value are several places, and a hook hangs at one", say.Quote(v.text)), say.That("Write one place."))
			continue
		}
		used := false
		for _, a := range actions {
			if a.Verb == procedure.Hang || x.name == "at" && a.Verb == procedure.SetDown {
				*x.to(a), used = l, true
			}
		}
		if len(actions) > 0 && !used {
			r.report("idle-attribute", v.span, say.That("%name does nothing here: nothing is supported", say.Quote(x.name)), say.That("Write it behind what is supported: - [ ] support gearbox with jack {at=420}."))
		}
	}
}

// locks gives the acts that keep energy away, or end that, the locks that their line or block states.
func (r *reader) locks(v *value, actions []*procedure.Action) {
	if v == nil {
		return
	}
	l := procedure.Locks{Each: v.text == "each", Span: v.span}
	if n, err := strconv.Atoi(v.text); err == nil && n > 0 {
		l.N = n
	}
	if !l.Stated() {
		r.report("attribute-value", v.span, say.That("%value is no number of locks", say.Quote(v.text)), say.That("Write how many, locks=2, or locks=each for one of everybody who works on the machine."))
		return
	}
	used := false
	for _, a := range actions {
		if a.Verb == procedure.Establish || a.Verb == procedure.Undo {
			a.Locks, used = l, true
		}
	}
	if len(actions) > 0 && !used {
		r.report("idle-attribute", v.span, say.That("%name does nothing here: nothing is established or undone", say.Quote("locks")), say.That("Write it behind what keeps energy away: - [ ] establish isolated {locks=each}."))
	}
}

// places reads places on the machine.
func (r *reader) places(code diagnostic.Code, s string, span text.Span) position.List {
	l, err := position.Parse(s)
	if err == nil {
		return l
	}
	do := say.That("Write millimetres: 420, or x, y, z as 420, 0, 310; with a slash between several places.")
	switch {
	case errors.Is(err, position.ErrNumbers):
		do = say.That("A place has one number or three: 420, or x, y, z as 420, 0, 310. Decimals have a point, and a slash stands between several places.")
	case errors.Is(err, position.ErrMixed):
		do = say.That("Write all places with one number, or all with three.")
	case errors.Is(err, position.ErrFar):
		do = say.That("Write millimetres, at most 100 m from your origin.")
	case errors.Is(err, position.ErrMany):
		do = say.That("Write at most 12 places.")
	}
	r.report(code, span, say.That("%value is no place on the machine", say.Quote(s)), do)
	return ""
}

// lift is the geometry that the attributes of a task state.
func (r *reader) lift(b *block) (h procedure.HandLift) {
	if b == nil {
		return h
	}
	list := &procedure.ActionList{}
	procedure.EachField(list, func(f *procedure.Field, value any) {
		if _, actions := value.(*[]*procedure.Action); !actions {
			r.field(b, list.Kind(), f, value)
		}
	})
	return list.Lift
}

// acts makes blocks of a task list. With a figure beside it, fasteners that are turned are a
// callout of their own. A task that lifts by hand otherwise than the one before it starts a new block.
func (r *reader) acts(list *ast.List, common procedure.Common, figure procedure.Ref) []procedure.Block {
	var out []procedure.Block
	tasks := r.tasks(list)
	for _, run := range runsOf(tasks, figure.ID != "") {
		if b := run[0].block; b != nil {
			out = joined(out, b, common)
			continue
		}
		var lift procedure.HandLift
		for _, t := range run {
			if t.geometry() != "" {
				lift = r.lift(t.given)
			}
		}
		out = append(out, blockOf(run, common, figure, lift))
	}
	return out
}

// joined adds a block that a task is; values of one thing that follow each other are one block.
func joined(out []procedure.Block, b procedure.Block, common procedure.Common) []procedure.Block {
	if n := len(out); n > 0 {
		last, next := out[n-1].Shows().Readings, b.Shows().Readings
		if last != nil && next != nil && last.Name == "" && (last.Of.ID == next.Of.ID || next.Of.ID == "") {
			last.Rows = append(last.Rows, next.Rows...)
			return out
		}
	}
	common.Span = b.Place()
	*b.Base() = common
	return append(out, b)
}

// blockOf makes one block of a run of tasks.
func blockOf(run []task, common procedure.Common, figure procedure.Ref, lift procedure.HandLift) procedure.Block {
	common.Span = run[0].span
	var actions []*procedure.Action
	for _, t := range run {
		actions = append(actions, t.actions...)
	}
	if figure.ID != "" && slices.ContainsFunc(run, task.turns) {
		return &procedure.Callout{Common: common, Figure: figure, Actions: actions}
	}
	return &procedure.ActionList{Common: common, Actions: actions, Lift: lift}
}

// tasksOf puts actions together that stand on one line.
func tasksOf(actions []*procedure.Action) (out []task) {
	for _, a := range actions {
		if n := len(out); n > 0 && out[n-1].span == a.Span {
			out[n-1].actions = append(out[n-1].actions, a)
			continue
		}
		out = append(out, task{actions: []*procedure.Action{a}, span: a.Span})
	}
	return out
}

// turns reports whether a task turns fasteners, given by their numbers.
func (t task) turns() bool {
	switch t.actions[0].Verb {
	case procedure.Remove, procedure.Loosen, procedure.Keep, procedure.Fit, procedure.Tighten:
		return t.numbers()
	}
	return false
}

// numbers reports whether all things of a task are given by callout numbers.
func (t task) numbers() bool {
	return !slices.ContainsFunc(t.actions, func(a *procedure.Action) bool { return !isCallout(a.Object.ID) })
}

// lifts reports whether a task may lift a part by hand.
func (t task) lifts() bool {
	v := t.actions[0].Verb
	return (v == procedure.Remove || v == procedure.Fit) && !t.numbers()
}

// runsOf cuts a task list into the runs that are one block each. With apart, what turns fasteners stands apart from the rest;
// what else is done to fasteners stays with its neighbours.
func runsOf(tasks []task, apart bool) [][]task {
	var runs [][]task
	start := 0
	cut := func(at int) {
		if at > start {
			runs, start = append(runs, tasks[start:at]), at
		}
	}
	for i, t := range tasks {
		run := tasks[start:i]
		switch {
		case len(run) == 0:
		case t.block != nil || run[0].block != nil:
			cut(i)
		case apart && t.turns() && slices.ContainsFunc(run, func(x task) bool { return !x.numbers() }),
			apart && !t.numbers() && slices.ContainsFunc(run, task.turns):
			cut(i)
		case t.lifts() || t.geometry() != "":
			for _, x := range run {
				if (x.lifts() || x.geometry() != "") && x.geometry() != t.geometry() {
					cut(i)
					break
				}
			}
		}
	}
	cut(len(tasks))
	return runs
}

// geometry is what the attributes of a task say of a lift by hand, in one line.
func (t task) geometry() string {
	if t.given == nil {
		return ""
	}
	var b strings.Builder
	for _, v := range t.given.values {
		if v.name != "at" && v.name != "hook" && v.name != "who" && v.name != "locks" { // those stand with each act
			b.WriteString(v.name + "=" + v.text + "\n")
		}
	}
	return b.String()
}
