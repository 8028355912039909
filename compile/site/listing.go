package site

import (
	"cmp"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/compile/page"
)

// lineCount is how many lines a page lists at most. A longer list becomes pages of
// its own, by first letter, so that no page grows with the library.
const lineCount = 40

// listing is a list of pages, by first letter. It stays as lines come and go, and
// knows which of its own pages were written with what.
type listing struct {
	title   string
	folder  string      // of its own pages, when it is long
	above   *page.Crumb // the page that it belongs to, by site path; nil for the start page
	letters map[string]*letter
	written map[string]listPage
}

// line is a line of a list. Its links are site paths.
type line struct {
	folded string // its title as lines are sorted
	at     rank
	entry  entryView
}

// listPage is what a list's own page was written with.
type listPage struct {
	letters string
	lines   []*line
}

// rank is the place of something in the library: by what it is, its file, and
// the number in there.
type rank struct {
	kind   int
	file   string
	number int
}

func (a rank) compare(b rank) int {
	return cmp.Or(cmp.Compare(a.kind, b.kind), strings.Compare(a.file, b.file), cmp.Compare(a.number, b.number))
}

func newListing(title, folder string) *listing {
	return &listing{title: title, folder: folder, letters: map[string]*letter{}}
}

// next is a copy that can be changed without the old one changing.
func (l *listing) next() *listing {
	out := *l
	out.letters = make(map[string]*letter, len(l.letters))
	for key, x := range l.letters {
		out.letters[key] = &letter{x.key, x.name, slices.Clone(x.lines)}
	}
	return &out
}

func newLine(at rank, entry entryView) *line {
	var words []string
	eachWord(entry.Title, func(word []byte) { words = append(words, string(word)) })
	return &line{strings.Join(words, " "), at, entry}
}

func (l *listing) add(x *line) {
	key, name := letterOf(x.folded)
	at := l.letters[key]
	if at == nil {
		at = &letter{key: key, name: name}
		l.letters[key] = at
	}
	at.lines = append(at.lines, x)
}

// remove takes a line like x out of a list whose lines are sorted.
func (l *listing) remove(x *line) {
	key, _ := letterOf(x.folded)
	at := l.letters[key]
	i, _ := slices.BinarySearchFunc(at.lines, x, (*line).compare)
	if at.lines = slices.Delete(at.lines, i, i+1); len(at.lines) == 0 {
		delete(l.letters, key)
	}
}

// sort puts lines that were added into their places.
func (l *listing) sort() {
	for _, x := range l.letters {
		slices.SortFunc(x.lines, (*line).compare)
	}
}

func (x *line) compare(y *line) int {
	return cmp.Or(strings.Compare(x.folded, y.folded), x.at.compare(y.at))
}

func (l *listing) count() int {
	n := 0
	for _, x := range l.letters {
		n += len(x.lines)
	}
	return n
}

// inOrder are all lines in the library's order.
func (l *listing) inOrder() []*line {
	var out []*line
	for _, x := range l.letters { // sorted below
		out = append(out, x.lines...)
	}
	slices.SortFunc(out, func(x, y *line) int { return x.at.compare(y.at) })
	return out
}

// listView is a list as a page shows it: its lines, or the letters that lead to them.
type listView struct {
	ID, Title string
	Entries   []entryView
	Letters   []letterView
}

// letterView leads to the lines that begin with a letter.
type letterView struct {
	Letter, Link string
	Count        int
	Here         bool
}

// lettersView is a page of the lines that begin with one letter.
type lettersView struct {
	page.Shell
	Letters []letterView
	Pages   []pageLink
	Entries []entryView
}

// pageLink leads to one of the pages of a letter. Gap is true where pages are left out before it.
type pageLink struct {
	Number    int
	Link      string
	Here, Gap bool
}

// list is the view of a list on a page; of a long one it also writes those of the list's
// own pages that have changed. gone are pages that were written before and are no more.
func (e *emitter) list(s page.Shell, id string, l *listing) (v listView, gone []string, err error) {
	l.sort()
	v = listView{ID: id, Title: l.title}
	now := map[string]listPage{}
	if l.count() <= lineCount {
		for _, x := range l.inOrder() {
			v.Entries = append(v.Entries, x.entry.on(s))
		}
	} else {
		letters := l.sorted()
		for _, x := range letters {
			v.Letters = append(v.Letters, letterView{Letter: x.name, Link: s.Link(l.path(x, 1)), Count: len(x.lines)})
		}
		for i := range letters {
			if err := e.emitLetter(l, letters, i, now); err != nil {
				return v, nil, err
			}
		}
	}
	for path := range l.written { // sorted below
		if _, stays := now[path]; !stays {
			gone = append(gone, path)
		}
	}
	slices.Sort(gone)
	l.written = now
	return v, gone, nil
}

// letter is the lines whose titles begin with it, by title.
type letter struct {
	key, name string
	lines     []*line
}

// path is the place of a page of a letter; pages count from 1.
func (l *listing) path(x *letter, number int) string {
	if number == 1 {
		return l.folder + "/" + x.key + ".html"
	}
	return fmt.Sprintf("%s/%s-%d.html", l.folder, x.key, number)
}

// sorted are the letters in order: digits first, then letters, then whatever else.
func (l *listing) sorted() []*letter {
	return slices.SortedFunc(maps.Values(l.letters), func(a, b *letter) int { return strings.Compare(a.name, b.name) })
}

// letterOf is the letter that a folded title begins with, as a part of a file's name and as it is shown.
func letterOf(folded string) (key, name string) {
	first, size := utf8.DecodeRuneInString(folded)
	switch {
	case size == 0:
		return "other", "…"
	case unicode.IsNumber(first):
		return "0", "0–9"
	case 'a' <= first && first <= 'z':
		return folded[:1], strings.ToUpper(folded[:1])
	default:
		return "u" + hex.EncodeToString([]byte(folded[:size])), strings.ToUpper(folded[:size])
	}
}

// emitLetter writes the pages of one letter, but for those that stand as they are, and takes all of them down.
func (e *emitter) emitLetter(l *listing, letters []*letter, at int, now map[string]listPage) error {
	var counts strings.Builder
	for _, x := range letters {
		fmt.Fprintf(&counts, "%s %d ", x.name, len(x.lines))
	}
	x := letters[at]
	pages := (len(x.lines) + lineCount - 1) / lineCount
	for number := 1; number <= pages; number++ {
		path := l.path(x, number)
		lines := x.lines[(number-1)*lineCount : min(number*lineCount, len(x.lines))]
		before, there := l.written[path]
		if there && before.letters == counts.String() && slices.Equal(before.lines, lines) {
			now[path] = before
			continue
		}
		now[path] = listPage{counts.String(), slices.Clone(lines)}
		title := e.words.T("list.title", l.title, x.name)
		if pages > 1 {
			title = e.words.T("list.page", title, number, pages)
		}
		v := lettersView{Shell: e.shell(path, title)}
		v.Body = "list-page"
		v.Styles, v.Scripts = []string{"site.css"}, []string{"variant.js", "going.js"}
		if l.above != nil {
			v.Crumbs = append(v.Crumbs, page.Crumb{Title: l.above.Title, Link: v.Link(l.above.Link)})
		}
		for i, y := range letters {
			v.Letters = append(v.Letters, letterView{Letter: y.name, Link: v.Link(l.path(y, 1)), Count: len(y.lines), Here: i == at})
		}
		last := 0
		for other := 1; other <= pages && pages > 1; other++ {
			if !offered(other, number, pages) {
				continue
			}
			v.Pages = append(v.Pages, pageLink{Number: other, Link: v.Link(l.path(x, other)), Here: other == number, Gap: other > last+1})
			last = other
		}
		for _, y := range lines {
			v.Entries = append(v.Entries, y.entry.on(v.Shell))
		}
		if err := e.write(path, lettersPage(v)); err != nil {
			return err
		}
	}
	return nil
}

// offered reports whether a page of many has a link to another one: the first, the
// last, the ones beside it, and every tenth part between.
func offered(other, here, pages int) bool {
	return other == 1 || other == pages || other >= here-2 && other <= here+2 || other%max(1, pages/10) == 0
}
