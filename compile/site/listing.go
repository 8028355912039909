package site

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/compile/page"
	"matchmark/procedure"
)

// lineCount is how many lines a page lists at most. A longer list becomes pages of
// its own, by first letter, so that no page grows with the library.
const lineCount = 40

// listing is a list of pages, in the library's order.
type listing struct {
	title  string
	folder string      // of its own pages, when it is long
	above  *page.Crumb // the page that it belongs to, by site path; nil for the start page
	lines  []line
}

// line is a line of a list. Its view is made for the page that it stands on.
type line struct {
	title string
	view  func(s page.Shell) entryView
}

func (l *listing) add(title string, view func(s page.Shell) entryView) {
	l.lines = append(l.lines, line{title, view})
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

// list is the view of a list on a page; of a long one it also writes the list's own pages.
func (e *emitter) list(s page.Shell, id string, l listing) (listView, error) {
	v := listView{ID: id, Title: l.title}
	if len(l.lines) <= lineCount {
		for _, x := range l.lines {
			v.Entries = append(v.Entries, x.view(s))
		}
		return v, nil
	}
	letters := l.letters()
	for _, x := range letters {
		v.Letters = append(v.Letters, letterView{Letter: x.name, Link: s.Link(l.path(x, 1)), Count: len(x.lines)})
	}
	for i, x := range letters {
		if err := e.emitLetter(l, letters, i, (len(x.lines)+lineCount-1)/lineCount); err != nil {
			return v, err
		}
	}
	return v, nil
}

// letter is the lines whose titles begin with it, by title.
type letter struct {
	key, name string
	lines     []int
}

// path is the place of a page of a letter; pages count from 1.
func (l listing) path(x letter, number int) string {
	if number == 1 {
		return l.folder + "/" + x.key + ".html"
	}
	return fmt.Sprintf("%s/%s-%d.html", l.folder, x.key, number)
}

// letters gathers the lines by first letter: digits first, then letters, then whatever else.
func (l listing) letters() []letter {
	folded := make([]string, len(l.lines))
	found := map[string]*letter{}
	for i, x := range l.lines {
		var words []string
		eachWord(x.title, func(word []byte) { words = append(words, string(word)) })
		folded[i] = strings.Join(words, " ")
		key, name := letterOf(folded[i])
		if found[key] == nil {
			found[key] = &letter{key: key, name: name}
		}
		found[key].lines = append(found[key].lines, i)
	}
	var out []letter
	for _, x := range found { // sorted below
		slices.SortStableFunc(x.lines, func(a, b int) int { return strings.Compare(folded[a], folded[b]) })
		out = append(out, *x)
	}
	slices.SortFunc(out, func(a, b letter) int { return strings.Compare(a.name, b.name) })
	return out
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

// emitLetter writes the pages of one letter.
func (e *emitter) emitLetter(l listing, letters []letter, at, pages int) error {
	x := letters[at]
	for number := 1; number <= pages; number++ {
		title := e.words.T("list.title", l.title, x.name)
		if pages > 1 {
			title = e.words.T("list.page", title, number, pages)
		}
		path := l.path(x, number)
		v := lettersView{Shell: e.shell(path, title)}
		v.Body = "list-page"
		v.Styles = []string{"site.css"}
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
		for _, i := range x.lines[(number-1)*lineCount : min(number*lineCount, len(x.lines))] {
			v.Entries = append(v.Entries, l.lines[i].view(v.Shell))
		}
		if err := e.write(path, "site/list", v); err != nil {
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

// procedures is the list of the procedures on a machine, or of all for nil. A refitting
// stands in the line of its procedure.
func (e *emitter) procedures(title, folder string, on *procedure.Machine) listing {
	l := listing{title: title, folder: folder}
	for _, p := range e.lib.Procedures {
		if p.Forth == nil && (on == nil || p.Machine == on) {
			l.add(p.Title, func(s page.Shell) entryView {
				v := e.procedureEntry(s, p)
				if on != nil {
					v.Note = "" // the page is about the machine
				}
				return v
			})
		}
	}
	return l
}
