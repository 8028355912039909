package source

import (
	"bytes"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// The forms of the edition before this one are still read: a step as a block, acts as lists in blocks of
// fasteners and actions. Here they are told apart, and written anew in the forms of today so that no page changes.

// OldForms reports the files that are written in older forms, with the fix that writes them anew when the
// library has no errors. It is none of those that are made without asking, since it changes every line.
func (l *Library) OldForms(log *diagnostic.Log) {
	reader := NewReader()
	sound := !log.HasErrors()
	for _, o := range l.old {
		d := o.diagnostic()
		if sound {
			r := reader.of(o.at.File, &diagnostic.Log{})
			if fixed, changed := r.renew(o, l.usersOf(o)); changed {
				d.Fixes = []diagnostic.Fix{{Title: say.That("Write the file in today's form."), Edits: []rewrite.Edit{fixed}}}
			}
		}
		log.Add(d)
	}
}

// OldForm reports a file that is written in older forms.
func (p *Part) OldForm(log *diagnostic.Log) {
	if p.old != nil {
		log.Add(p.old.diagnostic())
	}
}

func (o *oldFile) diagnostic() diagnostic.Diagnostic {
	return newDiagnostic("old-form", o.at, say.That("this is the older form"), say.That("Run `matchmark renew`: it writes the file in today's form and changes no page."))
}

// oldFile is a file with older forms: the place of the first, and the steps that were read from it.
type oldFile struct {
	at    text.Span
	steps []*procedure.Step
}

// oldFileOf returns what a file has of older forms; nil for nothing.
func (r *reader) oldFileOf(s *stepsFile) *oldFile {
	if !r.old.Valid() || s == nil {
		return nil
	}
	return &oldFile{r.old, s.steps}
}

// noteOld notes the place of an older form.
func (r *reader) noteOld(at text.Span) {
	if !r.old.Valid() {
		r.old = at
	}
}

// usersOf lists the procedures that have the steps of a file.
func (l *Library) usersOf(o *oldFile) (out []*procedure.Procedure) {
	for _, p := range l.Procedures {
		if slices.ContainsFunc(p.WrittenSteps(), func(s *procedure.Step) bool { return s.Span.File == o.at.File }) {
			out = append(out, p)
		}
	}
	return out
}

// renewal writes one file anew, line by line.
type renewal struct {
	*reader
	lines []renewed
	// starts holds the offset of each line in the parsed text.
	starts []int
	end    string
	steps  map[int]*procedure.Step // by the offset of the opening line in the file
	users  []*procedure.Procedure
	// headed is set while the step that is written has a heading already.
	headed bool
}

// renewed is what becomes of a line.
type renewed struct {
	text string
	// dropped lines are gone; before asks for an empty line in front, and after for one behind.
	dropped, before, after bool
	// first is put in front of the line.
	first []string
}

// renew returns the edit that writes a file in today's forms, and whether there is anything to write.
func (r *reader) renew(o *oldFile, users []*procedure.Procedure) (rewrite.Edit, bool) {
	m, _, _ := splitMatter(r.file)
	if !r.parseMatter(&m) {
		return rewrite.Edit{}, false
	}
	defer r.standIns(&m)()
	r.base, r.src = m.body, r.file.Source[m.body:]
	in := placeOf(m.kind())
	doc := r.parse(in)
	r.text = string(r.src)
	r.group(doc)
	x := &renewal{reader: r, end: "\n", steps: map[int]*procedure.Step{}, users: users}
	for _, s := range o.steps {
		x.steps[s.Span.Start] = s
	}
	if bytes.Contains(r.src, []byte("\r\n")) {
		x.end = "\r\n"
	}
	at := 0
	for line := range bytes.Lines(r.src) {
		x.starts = append(x.starts, at)
		x.lines = append(x.lines, renewed{text: strings.TrimRight(string(line), "\r\n")})
		at += len(line)
	}
	x.document(doc)
	body := x.String()
	return rewrite.Edit{Span: r.file.Span(m.body, len(r.file.Source)), Text: r.written(body)}, body != r.text
}

// line returns the number of the line that an offset is on.
func (x *renewal) line(at int) int {
	i, found := slices.BinarySearch(x.starts, at)
	if !found {
		i--
	}
	return i
}

// String puts the lines together. An empty line next to one that is gone is left out where another stands already.
func (x *renewal) String() string {
	var out []string
	gone := false
	gap := func() {
		if len(out) > 0 && out[len(out)-1] != "" {
			out = append(out, "")
		}
	}
	for i := range x.lines {
		l := &x.lines[i]
		if len(l.first) > 0 {
			gap()
			out = append(append(out, l.first...), "")
		}
		if l.dropped {
			gone = true
			if l.after || l.before {
				gap()
			}
			continue
		}
		if blank(l.text) && gone && len(out) > 0 && out[len(out)-1] == "" {
			continue
		}
		gone = false
		if l.before && !blank(l.text) {
			gap()
		}
		out = append(out, strings.Split(l.text, "\n")...)
		if l.after {
			gap()
			gone = true
		}
	}
	for len(out) > 1 && out[len(out)-1] == "" && (out[len(out)-2] == "" || gone) {
		out = out[:len(out)-1]
	}
	return strings.Join(out, x.end) + x.end
}

// document writes the steps of a document anew.
func (x *renewal) document(doc ast.Node) {
	first := -1
	inStep := false
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Heading:
			if !x.light && n.Level <= 2 {
				x.markText(n)
			}
		case *fence:
			kind := kindOfLine(x.src[n.infoStart:n.infoEnd])
			if n.heading != nil {
				kind = &stepKind
			}
			switch {
			case kind == nil:
			case kind.Name == stepKind.Name:
				if first < 0 {
					first = x.line(n.start)
				}
				inStep = true
				x.step(n)
			case kind.Name == "include":
				if first < 0 {
					first = x.line(n.start)
				}
				inStep = false
				x.spaced(n)
			case kind.Name == "figure" && inStep && n.heading == nil:
				x.move(n, first)
			default:
				x.spaced(n)
			}
		}
		x.literalBoxes(n)
	}
}

// markText marks a heading of level one or two as text.
func (x *renewal) markText(h *ast.Heading) {
	end := x.endOf(h) - x.base
	if h.Lines().Len() == 0 {
		end = x.starts[x.line(h.Pos())] + len(x.lines[x.line(h.Pos())].text)
	}
	x.insert(end, " "+textMark)
}

// insert writes words at an offset of the parsed text. Lines must be changed from right to left.
func (x *renewal) insert(at int, words string) {
	l := x.line(at)
	if at == x.starts[l] && l > 0 && words[0] == ' ' {
		l--
	}
	col := min(at-x.starts[l], len(x.lines[l].text))
	x.lines[l].text = x.lines[l].text[:col] + words + x.lines[l].text[col:]
}

// literalBoxes keeps boxes that are text from being read as tasks.
func (x *renewal) literalBoxes(n ast.Node) {
	if x.light {
		return
	}
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if p, ok := n.(*ast.ListItem); ok && entering && p.FirstChild() != nil && p.FirstChild().Lines() != nil && p.FirstChild().Lines().Len() > 0 {
			if line := p.FirstChild().Lines().At(0); boxOf(x.src[line.Start:line.Stop]) > 0 {
				x.insert(line.Start, `\`)
			}
		}
		return ast.WalkContinue, nil
	})
}

// move puts a block that stands between steps in front of the first one.
func (x *renewal) move(f *fence, first int) {
	from, to := x.line(f.start), x.line(f.closeStart)
	var words []string
	for i := from; i <= to; i++ {
		words = append(words, x.lines[i].text)
		x.lines[i].dropped = true
	}
	if _, list := f.LastChild().(*ast.List); list {
		words = slices.Insert(words, len(words)-1, "")
	}
	if len(x.lines[first].first) > 0 {
		words = append([]string{""}, words...)
	}
	x.lines[first].first = append(x.lines[first].first, words...)
}

// spaced puts empty lines around a block, and behind a list that ends it, so that no formatter and no viewer joins what stands apart.
func (x *renewal) spaced(f *fence) {
	x.lines[x.line(f.start)].before = true
	l := x.line(f.closeStart)
	if _, list := f.LastChild().(*ast.List); list {
		x.lines[l].before = true
	}
	x.lines[l].after = true
}

// step writes a step as a heading, and the acts in it as task lists.
func (x *renewal) step(f *fence) {
	s := x.steps[f.start+x.base]
	if s == nil {
		return
	}
	if x.headed = f.heading != nil; !x.headed {
		open := x.line(f.start)
		o := x.parseOpening(x.segment(f.infoStart, f.infoEnd))
		var given []string
		found := x.foundFigure(s)
		for i := range o.values {
			if v := &o.values[i]; v.name != "figure" || found != s.Figure.ID {
				given = append(given, v.raw())
			}
		}
		if found != "" && o.get("figure") == nil && len(s.FigureNames()) == 0 {
			given = append(given, "figure="+noneWord)
		}
		x.lines[open].text = "## " + asHeading(o.title) + " " + nameStart + o.argument + "}\n{" + strings.Join(given, " ") + "}"
		x.lines[open].before, x.lines[open].after = true, true
		x.lines[x.line(f.closeStart)] = renewed{dropped: true, after: true}
	}
	x.inside(f, s)
}

// foundFigure returns the figure that is shown with a step that states none, the same in all procedures that have the step: "none" when
// they differ, or when it is not clear; "" when nothing is found, or other figures stand in the step.
func (x *renewal) foundFigure(s *procedure.Step) string {
	for _, b := range s.Blocks {
		if f := b.Shows().Figure; f != nil && f.ID != "" && f.ID != s.Figure.ID {
			return ""
		}
	}
	found := ""
	for i, p := range x.users {
		switch here := figuresWith(s, p); {
		case len(here) > 1, i > 0 && (len(here) == 0) != (found == ""), i > 0 && len(here) == 1 && here[0] != found:
			return noneWord
		case len(here) == 1:
			found = here[0]
		}
	}
	return found
}

// raw is an attribute as its author wrote it, without quotation marks that nothing needs.
func (v *value) raw() string {
	if !v.hasValue {
		return v.name
	}
	if v.text != "" && !strings.ContainsAny(v.text, " \t{}=\"\\,") {
		return v.name + "=" + v.text
	}
	end := v.span.End
	if !v.bare(v.span.File.Source) {
		end++
	}
	return text.Span{File: v.span.File, Start: v.nameSpan.Start, End: end}.Text()
}

// asHeading writes words so that they are read as they stand.
func asHeading(words string) string {
	var b strings.Builder
	for _, c := range words {
		if strings.ContainsRune("\\`*_[]<>&", c) {
			b.WriteByte('\\')
		}
		b.WriteRune(c)
	}
	return b.String()
}

// inside writes the blocks of a step, or of a variant block of one, anew.
func (x *renewal) inside(f *fence, s *procedure.Step) {
	var run []*fence
	for n := f.FirstChild(); n != nil; n = n.NextSibling() {
		b, ok := n.(*fence)
		if !ok {
			x.acts(run, s)
			run = nil
			if q, ok := n.(*ast.Blockquote); ok && !x.light && isKeyPoint(q) {
				x.lines[x.line(x.startOf(q)-x.base)].text = "> <!-- -->\n" + x.lines[x.line(x.startOf(q)-x.base)].text
			}
			if h, ok := n.(*ast.Heading); ok && h.Level <= 2 && f.heading == nil && kindOfLine(x.src[f.infoStart:f.infoEnd]).Name == stepKind.Name {
				x.markText(h)
			}
			continue
		}
		o := x.parseOpening(x.segment(b.infoStart, b.infoEnd))
		if o.kind == "actions" || o.kind == "fasteners" && x.inList(&o, s) {
			run = append(run, b)
			continue
		}
		x.acts(run, s)
		run = nil
		x.block(b, &o, s)
	}
	x.acts(run, s)
}

// inList reports whether a fastener callout needs no block of its own: it shows the figure of its step, or none.
func (x *renewal) inList(o *opening, s *procedure.Step) bool {
	figure := o.ref("figure").ID
	if o.argument != "" {
		figure = o.argument
	}
	return figure == "" || figure == s.Figure.ID
}

// block writes the opening line of a block anew, without what is filled in by itself.
func (x *renewal) block(f *fence, o *opening, s *procedure.Step) {
	l := x.line(f.start)
	i := slices.IndexFunc(s.Blocks, func(b procedure.Block) bool { return b.Place().Start == f.start+x.base })
	switch {
	case o.kind == "variant":
		x.inside(f, s)
	case o.kind == "fasteners":
		if figure := o.get("figure"); figure != nil {
			x.lines[l].text = strings.Repeat(":", f.colons) + " fasteners " + figure.text
		}
		x.boxed(f, '-', nil)
	case o.kind == "key-point":
		x.keyPoint(f, o)
		return
	case i < 0 || x.headed: // what is left out is filled in already
	case o.kind == "caution":
		c := s.Blocks[i].Shows().Warning
		words := strings.Repeat(":", f.colons) + " caution"
		if o.argument != "" && o.argument != string(procedure.CautionWord) {
			words += " " + o.argument
		}
		given := x.filled(o, "about", sameNames(c.About, aboutOf(s, c)), len(c.About) == 0 && len(aboutOf(s, c)) > 0)
		x.lines[l].text = words + given
	case o.kind == "inspect":
		c := s.Blocks[i].Shows().Looks
		of := lookedAt(s, c)
		x.lines[l].text = strings.Repeat(":", f.colons) + " inspect" + x.filled(o, "of", of.ID == c.Of.ID, c.Of.ID == "" && of.ID != "")
	}
	x.spaced(f)
}

// keyPoint writes a key point as a quotation.
func (x *renewal) keyPoint(f *fence, o *opening) {
	open, end := x.line(f.start), x.line(f.closeStart)
	x.lines[open] = renewed{text: "> **" + asHeading(o.title) + "**", before: true}
	for i := open + 1; i < end; i++ {
		if x.lines[i].text = "> " + x.lines[i].text; blank(x.lines[i].text[2:]) {
			x.lines[i].text = ">"
		}
	}
	if first := f.FirstChild(); first != nil && first.Kind() != ast.KindParagraph {
		x.lines[open].text += "\n>"
	}
	x.lines[end] = renewed{dropped: true, after: true}
}

// filled writes attributes without one that is filled in by itself; with none for one that must stay empty.
func (x *renewal) filled(o *opening, name string, same, none bool) string {
	var given []string
	for i := range o.values {
		if v := &o.values[i]; v.name != name || !same {
			given = append(given, v.raw())
		}
	}
	if none {
		given = append(given, name+"="+noneWord)
	}
	if len(given) == 0 {
		return ""
	}
	return " {" + strings.Join(given, " ") + "}"
}

func sameNames(a, b []procedure.Ref) bool {
	return slices.EqualFunc(a, b, func(x, y procedure.Ref) bool { return x.ID == y.ID })
}

// acts writes blocks of acts that follow each other as one task list, or as several where a page would change.
func (x *renewal) acts(run []*fence, s *procedure.Step) {
	if len(run) == 0 {
		return
	}
	apart := s.Figure.ID != "" || s.FindFigure
	tasks := make([][]task, len(run))
	var all []task
	for i, f := range run {
		o := x.parseOpening(x.segment(f.infoStart, f.infoEnd))
		tasks[i] = x.oldTasks(f, &o, s)
		all = append(all, tasks[i]...)
	}
	joined := runsOf(all, apart)
	whole := len(joined) == len(run)
	for i := 0; whole && i < len(run); i++ {
		whole = len(joined[i]) == len(tasks[i])
	}
	marker := byte('-')
	for i, f := range run {
		switch {
		case len(tasks[i]) == 0 || len(runsOf(tasks[i], apart)) > 1:
			x.spaced(f)
			continue // this form alone shows these rows in one list
		case i == 0 || !whole:
			last := f
			if whole {
				last = run[len(run)-1]
			}
			marker = freeMarker(f.PreviousSibling(), last.NextSibling(), marker, i > 0)
		}
		open, end := x.line(f.start), x.line(f.closeStart)
		x.lines[open] = renewed{dropped: true, before: i == 0 || !whole}
		x.lines[end] = renewed{dropped: true, after: i == len(run)-1 || !whole}
		x.boxed(f, marker, tasks[i])
		if i == len(run)-1 || !whole {
			x.endList(f)
		}
	}
}

// freeMarker returns a list marker that keeps a task list apart from the lists right before and behind it.
func freeMarker(previous, next ast.Node, before byte, listBefore bool) byte {
	var taken []byte
	if listBefore {
		taken = append(taken, before)
	}
	for _, n := range []ast.Node{previous, next} {
		if list, ok := n.(*ast.List); ok {
			taken = append(taken, list.Marker)
		}
	}
	for _, m := range []byte("-*+") {
		if !slices.Contains(taken, m) {
			return m
		}
	}
	return '-'
}

// endList keeps what stands behind a task list out of it, where it is set in so far that it would belong to the last task.
func (x *renewal) endList(f *fence) {
	next := x.line(f.closeStart) + 1
	for next < len(x.lines) && blank(x.lines[next].text) {
		next++
	}
	if f.NextSibling() != nil && next < len(x.lines) && (strings.HasPrefix(x.lines[next].text, "  ") || strings.HasPrefix(x.lines[next].text, "\t")) {
		x.lines[next].first = append(x.lines[next].first, "<!-- -->")
	}
}

// oldTasks reads the list of a block as the tasks that it becomes.
func (x *renewal) oldTasks(f *fence, o *opening, s *procedure.Step) (out []task) {
	i := slices.IndexFunc(s.Blocks, func(b procedure.Block) bool { return b.Place().Start == f.start+x.base })
	if i < 0 {
		return nil
	}
	out = tasksOf(s.Blocks[i].Shows().Actions)
	if o.kind != "actions" || len(o.values) == 0 {
		return out
	}
	given := &block{opening: *o}
	lifted := false
	for j := range out {
		if out[j].lifts() {
			out[j].given, lifted = given, true
		}
	}
	if !lifted && len(out) > 0 {
		out[0].given = given
	}
	return out
}

// boxed writes the items of a block's list as tasks.
func (x *renewal) boxed(f *fence, marker byte, tasks []task) {
	for n := f.FirstChild(); n != nil; n = n.NextSibling() {
		list, ok := n.(*ast.List)
		if !ok {
			continue
		}
		for item := list.FirstChild(); item != nil; item = item.NextSibling() {
			first := item.FirstChild()
			if first == nil || first.Lines() == nil || first.Lines().Len() == 0 {
				continue
			}
			start := first.Lines().At(0).Start
			for _, t := range tasks {
				if t.given != nil && t.span.Start == start+x.base {
					x.insert(x.endOf(first)-x.base, x.filled(&t.given.opening, "", false, false))
				}
			}
			l := &x.lines[x.line(start)]
			col := start - x.starts[x.line(start)]
			lead := strings.TrimLeft(l.text[:col], " \t")
			indent := l.text[:col-len(lead)]
			space := strings.TrimLeft(lead, "0123456789.)-*+")
			if !x.isTask(item) {
				space += box + " "
			}
			l.text = indent + string(marker) + space + l.text[col:]
		}
	}
}
