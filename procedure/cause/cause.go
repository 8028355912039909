// Package cause finds which messages follow from which: a row that cannot be read
// makes every use of its name one that leads nowhere. Only the cause needs mending.
package cause

import (
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/guess"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Link notes with each message that follows from another one which that is. It
// needs the bytes of the files that the messages lie in.
func Link(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	l := &linker{all: all, because: make([]int, len(all))}
	for i := range l.because {
		l.because[i] = -1
	}
	if !slices.ContainsFunc(all, func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Error }) {
		return all
	}
	for i := range all {
		if all[i].Severity == diagnostic.Error && all[i].Span.File != nil {
			l.errors = append(l.errors, origin{i, guess.Region(all[i])})
		}
	}
	for i := range all {
		l.link(i)
	}
	l.repeated()
	out := slices.Clone(all)
	for i := range out {
		if root := l.root(i); root != i {
			out[i].Because = &all[root]
		}
	}
	return out
}

// origin is an error and what of its file it keeps from being read.
type origin struct {
	index  int
	region text.Span
}

type linker struct {
	all     []diagnostic.Diagnostic
	because []int
	errors  []origin
}

func (l *linker) root(i int) int {
	for n := 0; l.because[i] >= 0 && n < len(l.all); n++ {
		i = l.because[i]
	}
	return i
}

func undefined(d diagnostic.Diagnostic) bool { return strings.HasPrefix(string(d.Code), "undefined-") }
func unused(d diagnostic.Diagnostic) bool    { return strings.HasPrefix(string(d.Code), "unused-") }

// link looks for the error that a message follows from.
func (l *linker) link(i int) {
	d := l.all[i]
	if d.Span.File == nil || d.Fault != nil {
		return
	}
	name := strings.TrimSpace(d.Span.Text())
	for _, o := range l.errors {
		if o.index == i || l.root(o.index) == i {
			continue
		}
		c := l.all[o.index]
		var follows bool
		switch {
		case d.Code == "stray-fence":
			follows = c.Code == "unclosed-block" && c.Span.File == d.Span.File && c.Span.Start < d.Span.Start
		case d.Code == "undefined-name":
			follows = !undefined(c) && isWhole(c, o) && says(c, o, name)
		case undefined(d):
			follows = !undefined(c) && (registers(c, o.region, name) || isWhole(c, o) && mentions(o.region, name))
		case unused(d) && undefined(c):
			follows = diagnostic.Nearest(strings.TrimSpace(c.Span.Text()), []string{name}) != "" || near(c.Span, name)
		case unused(d):
			follows = sameLine(c.Span, d.Span) || c.Span.File != d.Span.File && mentions(o.region, name)
		case d.Severity == diagnostic.Warning:
			follows = c.Code == "bad-quantity" && slices.ContainsFunc(d.See, func(r diagnostic.Related) bool { return sameLine(r.Span, c.Span) })
		}
		if follows {
			l.because[i] = o.index
			return
		}
	}
	if d.Code == "unused-figure" { // of a machine that nobody works on
		for j, other := range l.all {
			if other.Code != "unused-row" || other.Span.File != d.Span.File {
				continue
			}
			if _, row := firstCell(other.Span.File, other.Span.At().Line); !row { // the machine itself
				l.because[i] = j
			}
		}
	}
}

// repeated links what several messages say in the same words to the first of them:
// a file that is not there, a name that is used here and there and is registered under another
// one, a condition that ended and that one step after the other needs.
func (l *linker) repeated() {
	first := map[string][]int{}
	for i, d := range l.all {
		if d.Code != "condition-not-held" || l.because[i] >= 0 {
			continue
		}
		like := func(x diagnostic.Diagnostic) bool {
			return x.Code == d.Code && x.Refitting == d.Refitting && slices.Equal(x.Variants, d.Variants) && x.Span.File == d.Span.File && say.SameButSteps(x.Wrong, d.Wrong)
		}
		if j := slices.IndexFunc(l.all[:i], like); j >= 0 {
			l.because[i] = j
		}
	}
	for i, d := range l.all {
		if undefined(d) && l.because[i] < 0 || d.Severity == diagnostic.NotChecked {
			key := string(d.Code) + d.Says().String()
			first[key] = append(first[key], i)
		}
	}
	for _, same := range first {
		least := 3
		if d := l.all[same[0]]; d.Code == "undefined-name" || d.Severity == diagnostic.NotChecked {
			least = 2
		}
		if len(same) < least {
			continue
		}
		for _, i := range same[1:] {
			l.because[i] = same[0]
		}
	}
}

func sameLine(a, b text.Span) bool {
	return a.File != nil && b.File != nil && a.File.Name == b.File.Name && a.At().Line == b.At().Line
}

// isWhole reports whether nothing of the error's file is read.
func isWhole(c diagnostic.Diagnostic, o origin) bool {
	return o.region.Start == 0 && o.region.End == len(c.Span.File.Source)
}

// says reports whether a file that is not read is the one of that name.
func says(c diagnostic.Diagnostic, o origin, name string) bool {
	id := regexp.MustCompile(`(?m)^id:[ \t]*["']?` + regexp.QuoteMeta(name) + `["']?[ \t]*\r?$`)
	return id.MatchString(o.region.Text()) || strings.TrimSuffix(path.Base(c.Span.File.Name), path.Ext(c.Span.File.Name)) == name
}

// mentions reports whether a name stands in a region as a word.
func mentions(region text.Span, name string) bool {
	s := region.Text()
	inName := func(b byte) bool {
		return b == '-' || b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b >= '0' && b <= '9'
	}
	for from := 0; name != ""; {
		at := strings.Index(s[from:], name)
		if at < 0 {
			return false
		}
		start, end := from+at, from+at+len(name)
		if (start == 0 || !inName(s[start-1])) && (end == len(s) || !inName(s[end])) {
			return true
		}
		from = end
	}
	return false
}

// near reports whether a name that leads nowhere stands in a line that names a thing much like it.
func near(at text.Span, name string) bool {
	return len(name) >= 3 && strings.Contains(at.Text(), name)
}

// registers reports whether a row of a table in the region is, or was likely meant to be, that of the name.
func registers(c diagnostic.Diagnostic, region text.Span, name string) bool {
	f := region.File
	if f == nil {
		return false
	}
	for n := f.LineOf(region.Start); n <= f.LineCount(); n++ {
		if start, _ := f.LineBounds(n); start >= region.End {
			return false
		}
		cell, row := firstCell(f, n)
		if !row {
			continue
		}
		digits := strings.TrimFunc(cell, func(r rune) bool { return r < '0' || r > '9' })
		wrong := cell != "" && c.Span.Text() == cell // the name itself is at fault
		if cell == name || wrong && (digits == name || diagnostic.Nearest(name, []string{cell}) != "") || cell == "" && follows(f, n, name) {
			return true
		}
	}
	return false
}

// firstCell is the first cell of a table's row on a line.
func firstCell(f *text.File, line int) (cell string, row bool) {
	if line < 1 || line > f.LineCount() {
		return "", false
	}
	start, end := f.LineBounds(line)
	cells, row := strings.CutPrefix(strings.TrimSpace(string(f.Source[start:end])), "|")
	if !row {
		return "", false
	}
	cell, _, _ = strings.Cut(cells, "|")
	return strings.TrimSpace(cell), true
}

// follows reports whether a row without a name likely has this one: the number
// behind that of the row above, or the words of its next cell.
func follows(f *text.File, line int, name string) bool {
	above, _ := firstCell(f, line-1)
	if n, err := strconv.Atoi(above); err == nil {
		return strconv.Itoa(n+1) == name
	}
	if _, err := strconv.Atoi(name); err == nil {
		return false
	}
	start, end := f.LineBounds(line)
	cells := strings.Split(string(f.Source[start:end]), "|")
	if len(cells) < 3 {
		return false
	}
	likely := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(cells[2])), " ", "-")
	return likely == name || diagnostic.Nearest(name, []string{likely}) != ""
}
