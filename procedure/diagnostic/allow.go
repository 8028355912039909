package diagnostic

import (
	"bytes"
	"cmp"
	"regexp"
	"slices"

	"matchmark/procedure/text"

	"matchmark/procedure/say"
)

// The rules on allowances themselves.
var (
	allowForm = Rule{
		Code: "allow-form", Severity: Error, Title: "Allowance unreadable",
		Wrong: "A comment starts with allow but does not name a code and give a reason.",
		Why:   "A fault that somebody chose to live with must say why.",
		Do:    "Write <!-- allow CODE: the reason -->.",
	}
	allowUnused = Rule{
		Code: "allow-unused", Severity: Warning, Title: "Allowance for nothing",
		Wrong: "An allowance stands where its code reports nothing that may be allowed. While other errors stand, some checks do not run, and nothing is said of this.",
		Why:   "It hides the next fault of that kind.",
		Do:    "Take the comment out. Errors cannot be allowed.",
	}
)

// AllowRules documents the codes of this package.
func AllowRules() []Rule { return []Rule{allowForm, allowUnused} }

// Allowed is a diagnostic that the author allows, with the reason given.
type Allowed struct {
	Diagnostic
	Reason string
	// By is the comment that allows it.
	By text.Span
}

// allowance is a comment "<!-- allow CODE: reason -->" and the lines that it covers:
// its own, and the next one that is not blank when it stands alone.
type allowance struct {
	code, reason string
	span         text.Span
	// from is the comment's line, to the line that it stands over, and through the last of the attributes below that.
	from, to, through int
	used              bool
	// denied is true when it covers an error of its code.
	denied bool
}

var (
	allowComment = regexp.MustCompile(`<!--\s*allow\b([^\n]*?)-->`)
	allowParts   = regexp.MustCompile(`^\s+([a-z][a-z0-9-]*)\s*:\s*(\S.*?)\s*$`)
)

// Allow takes the diagnostics that the files' comments allow out of the log, and
// adds those on the comments themselves. Errors are never taken out; one keeps
// other checks from running, so what nothing uses is then reported only where the
// error itself is what the comment means.
func (l *Log) Allow(files []*text.File) {
	byFile := map[*text.File][]*allowance{}
	byLine := map[*text.File]map[int][]*allowance{}
	for _, f := range files {
		if !bytes.Contains(f.Source, []byte("allow")) {
			continue
		}
		found, faults := allowances(f)
		byFile[f] = found
		byLine[f] = linesOf(found)
		l.mu.Lock()
		l.all = append(l.all, faults...)
		l.mu.Unlock()
	}
	errors := false
	l.mu.Lock()
	l.all = slices.DeleteFunc(l.all, func(d Diagnostic) bool {
		a := allowing(byLine[d.Span.File], d)
		if d.Severity == Error {
			errors = true
		}
		switch {
		case a == nil:
			return false
		case d.Severity == Error:
			a.denied = true
			return false
		}
		a.used = true
		l.allowed = append(l.allowed, Allowed{d, a.reason, a.span})
		return true
	})
	l.mu.Unlock()
	for _, f := range files {
		for _, a := range byFile[f] {
			if !a.used && (a.denied || !errors) {
				l.Add(Diagnostic{
					Code: allowUnused.Code, Severity: allowUnused.Severity, Span: a.span,
					Wrong: say.That("nothing here is reported as %code, or it is an error", say.Quote(a.code)), Advice: say.That(allowUnused.Do),
					Fixes: []Fix{unused(a.span)},
				})
			}
		}
	}
}

// AllowedSorted returns what the authors allow, by place, each once.
func (l *Log) AllowedSorted() []Allowed {
	l.mu.Lock()
	defer l.mu.Unlock()
	out := slices.Clone(l.allowed)
	slices.SortStableFunc(out, func(a, b Allowed) int { return compare(a.Diagnostic, b.Diagnostic) })
	return slices.CompactFunc(out, func(a, b Allowed) bool { return compare(a.Diagnostic, b.Diagnostic) == 0 })
}

// linesOf lists allowances by the lines that they speak of.
func linesOf(all []*allowance) map[int][]*allowance {
	out := map[int][]*allowance{}
	for _, a := range all {
		out[a.from] = append(out[a.from], a)
		for line := max(a.to, a.from+1); line <= a.through; line++ {
			out[line] = append(out[line], a)
		}
	}
	return out
}

func allowing(lines map[int][]*allowance, d Diagnostic) *allowance {
	if len(lines) == 0 || d.Span.File == nil {
		return nil
	}
	for _, a := range lines[d.Span.File.LineOf(d.Span.Start)] {
		if a.code == string(d.Code) {
			return a
		}
	}
	return nil
}

func allowances(f *text.File) (found []*allowance, faults []Diagnostic) {
	known := map[int]int{}
	for _, at := range slices.Backward(allowComment.FindAllSubmatchIndex(f.Source, -1)) {
		span := f.Span(at[0], at[1])
		parts := allowParts.FindSubmatch(f.Source[at[2]:at[3]])
		if parts == nil {
			faults = append(faults, Diagnostic{
				Code: allowForm.Code, Severity: allowForm.Severity, Span: span, Wrong: say.That("this does not say what is allowed, and why"), Advice: say.That(allowForm.Do),
			})
			continue
		}
		line := f.LineOf(at[0])
		a := &allowance{code: string(parts[1]), reason: string(parts[2]), span: span, from: line, to: line, through: line}
		if start, end := f.LineBounds(line); len(bytes.TrimSpace(f.Source[start:at[0]])) == 0 && len(bytes.TrimSpace(f.Source[at[1]:end])) == 0 {
			a.to = nextLine(f, line, known)
			a.through = attributesBelow(f, a.to)
		}
		found = append(found, a)
	}
	slices.SortFunc(found, func(a, b *allowance) int { return cmp.Compare(a.span.Start, b.span.Start) })
	return found, faults
}

// nextLine returns the first line after the given one that is neither blank nor
// another allowance. known holds what was found for the allowances below.
func nextLine(f *text.File, line int, known map[int]int) int {
	for next := line + 1; next <= f.LineCount(); next++ {
		if found, ok := known[next]; ok {
			known[line] = found
			return found
		}
		start, end := f.LineBounds(next)
		content := bytes.TrimSpace(f.Source[start:end])
		if len(content) > 0 && !allowComment.Match(content) {
			known[line] = next
			return next
		}
	}
	known[line] = line
	return line
}

// attributesBelow returns the last of the lines of attributes below a line that is a heading, else the line itself.
func attributesBelow(f *text.File, line int) int {
	if start, end := f.LineBounds(line); !bytes.HasPrefix(bytes.TrimLeft(f.Source[start:end], " "), []byte("#")) {
		return line
	}
	last, open := line, false
	for next := line + 1; next <= f.LineCount(); next++ {
		start, end := f.LineBounds(next)
		switch content := bytes.TrimSpace(f.Source[start:end]); {
		case len(content) == 0 && !open:
			continue
		case open || bytes.HasPrefix(content, []byte("{")):
			last, open = next, !bytes.HasSuffix(content, []byte("}"))
		}
		if !open {
			break
		}
	}
	return last
}

// unused takes out an allowance that allows nothing, with its line when it stands alone. That is
// safe unless two paragraphs would become one, or the comment is code that is to be shown.
func unused(span text.Span) Fix {
	f := span.File
	line := f.LineOf(span.Start)
	start, end := f.LineBounds(line)
	before, after := f.Source[start:span.Start], f.Source[span.End:end]
	alone := len(bytes.TrimSpace(before)) == 0 && len(bytes.TrimSpace(after)) == 0
	safe := !inCode(f, line)
	switch {
	case alone && line < f.LineCount():
		next, _ := f.LineBounds(line + 1)
		span = text.Span{File: f, Start: start, End: next}
		safe = safe && (divides(f, line-1) || divides(f, line+1))
	case len(bytes.TrimSpace(after)) == 0:
		// Two spaces that are left at the end of a line would break it.
		span = text.Span{File: f, Start: start + len(bytes.TrimRight(before, " \t")), End: end}
	}
	fix := Remove(span, safe)
	fix.Title = say.That("Take the comment out.")
	return fix
}

// divides reports whether a line keeps what stands before it apart from what comes after it: it
// is blank, or opens or closes a block, or there is none.
func divides(f *text.File, line int) bool {
	if line < 1 {
		return true
	}
	start, end := f.LineBounds(line)
	content := bytes.TrimSpace(f.Source[start:end])
	return len(content) == 0 || bytes.HasPrefix(content, []byte(":::"))
}

// inCode reports whether a line may be code that is shown: set in, with code marks, or behind an open code fence.
func inCode(f *text.File, line int) bool {
	start, end := f.LineBounds(line)
	content := f.Source[start:end]
	if bytes.ContainsRune(content, '`') || bytes.HasPrefix(content, []byte("    ")) || bytes.HasPrefix(content, []byte("\t")) {
		return true
	}
	fences := 0
	for before := range bytes.Lines(f.Source[:start]) {
		before = bytes.TrimSpace(before)
		if bytes.HasPrefix(before, []byte("```")) || bytes.HasPrefix(before, []byte("~~~")) {
			fences++
		}
	}
	return fences%2 == 1
}
