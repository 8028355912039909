package diagnostic

import (
	"bytes"
	"cmp"
	"regexp"
	"slices"

	"matchmark/procedure/text"
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
	from, to     int
	used         bool
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
					Message: `nothing here is reported as "` + a.code + `", or it is an error`, Do: allowUnused.Do,
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
		if a.to != a.from {
			out[a.to] = append(out[a.to], a)
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
				Code: allowForm.Code, Severity: allowForm.Severity, Span: span, Message: "this does not say what is allowed, and why", Do: allowForm.Do,
			})
			continue
		}
		line := f.LineOf(at[0])
		a := &allowance{code: string(parts[1]), reason: string(parts[2]), span: span, from: line, to: line}
		if start, end := f.LineBounds(line); len(bytes.TrimSpace(f.Source[start:at[0]])) == 0 && len(bytes.TrimSpace(f.Source[at[1]:end])) == 0 {
			a.to = nextLine(f, line, known)
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
