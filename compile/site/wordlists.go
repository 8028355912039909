package site

import (
	"bytes"
	"encoding/json"
	"maps"
	"math/bits"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// wordLists say for each word which groups of documents have it. They are a tree that never
// changes once it is written: words come and go in the next one, which shares what is the same.
type wordLists struct {
	groups int
	// touched are the words whose groups are others than the lists of before say, as they are now.
	touched map[string]*listedWord
	root    *wordList
}

// listedWord is a word with its groups.
type listedWord struct {
	text string
	set  []uint64 // a bit for each group
	size int      // bytes that it takes in its list; 0 while it stands in none
}

// wordList is a list of the words that begin with its key, or the lists that it is cut into.
type wordList struct {
	key   string
	size  int // bytes of its text, were it not cut, but for one brace
	words []*listedWord
	below []*wordList
	// changed is true when its text is not what was written.
	changed bool
	// of are the lists that it was made for, which alone may change it.
	of *wordLists
}

func newWordLists(groups int) *wordLists {
	l := &wordLists{groups: groups, touched: map[string]*listedWord{}}
	l.root = &wordList{changed: true, of: l}
	return l
}

// next are lists that can be changed without the old ones changing.
func (l *wordLists) next() *wordLists {
	return &wordLists{groups: l.groups, touched: map[string]*listedWord{}, root: l.root}
}

// touch is a word as it is now, to be changed.
func (l *wordLists) touch(word []byte) *listedWord {
	w := l.touched[string(word)]
	if w == nil {
		w = &listedWord{text: string(word), set: make([]uint64, (l.groups+63)/64)}
		if was := l.root.find(w.text); was != nil {
			copy(w.set, was.set)
			w.size = was.size
		}
		l.touched[w.text] = w
	}
	return w
}

// find returns a word of a list, or of those that it is cut into; nil when it stands in none.
func (x *wordList) find(word string) *listedWord {
	for x.below != nil {
		i, there := slices.BinarySearchFunc(x.below, nextKey(x.key, word), func(y *wordList, key string) int { return strings.Compare(y.key, key) })
		if !there {
			return nil
		}
		x = x.below[i]
	}
	if i, there := slices.BinarySearchFunc(x.words, word, func(y *listedWord, text string) int { return strings.Compare(y.text, text) }); there {
		return x.words[i]
	}
	return nil
}

// own is the list for some lists to change: itself if it was made for them, else a copy.
func (x *wordList) own(l *wordLists) *wordList {
	if x.of == l {
		return x
	}
	out := *x
	out.words, out.below, out.of = slices.Clone(x.words), slices.Clone(x.below), l
	return &out
}

func (l *wordLists) add(word []byte, group int) { l.touch(word).set[group/64] |= 1 << (group % 64) }

// remove takes a group from a word that it was added to.
func (l *wordLists) remove(word string, group int) {
	l.touch([]byte(word)).set[group/64] &^= 1 << (group % 64)
}

// write hands on the lists that have changed, each with the letters that its words begin
// with, and returns these keys of all lists in order. A key that ends in a space is of the
// one word before the space.
func (l *wordLists) write(list func(key string, words json.RawMessage) error) ([]string, error) {
	l.settle()
	keys := []string{}
	err := l.root.each(func(x *wordList) error {
		keys = append(keys, x.key)
		if !x.changed {
			return nil
		}
		x.changed = false
		return list(x.key, x.text())
	})
	return keys, err
}

// settle puts the touched words into their lists, and cuts and joins the lists as their sizes ask for.
func (l *wordLists) settle() {
	for _, text := range slices.Sorted(maps.Keys(l.touched)) {
		w := l.touched[text]
		before := w.size
		w.size = w.bytes()
		if before != 0 || w.size != 0 {
			l.root = l.root.put(l, w, w.size-before)
		}
	}
	clear(l.touched)
	l.root = l.root.settle(l)
}

// put takes a word in, out, or notes that its groups have changed; grown says by how many bytes.
func (x *wordList) put(l *wordLists, w *listedWord, grown int) *wordList {
	x = x.own(l)
	x.size += grown
	if x.below != nil {
		next := nextKey(x.key, w.text)
		i, there := slices.BinarySearchFunc(x.below, next, func(y *wordList, key string) int { return strings.Compare(y.key, key) })
		if !there {
			x.below = slices.Insert(x.below, i, &wordList{key: next, of: l})
		}
		x.below[i] = x.below[i].put(l, w, grown)
		return x
	}
	x.changed = true
	i, there := slices.BinarySearchFunc(x.words, w.text, func(y *listedWord, text string) int { return strings.Compare(y.text, text) })
	switch {
	case w.size == 0:
		x.words = slices.Delete(x.words, i, i+1)
	case there:
		x.words[i] = w
	default:
		x.words = slices.Insert(x.words, i, w)
	}
	return x
}

// settle cuts a list that is too long, and joins what is short enough for one. A list that
// was not changed for these lists is settled.
func (x *wordList) settle(l *wordLists) *wordList {
	if x.of != l {
		return x
	}
	long := x.size+1 > listSize && !strings.HasSuffix(x.key, " ")
	switch {
	case !long && x.below != nil:
		x.words = nil
		for _, y := range x.below {
			y.gather(&x.words)
		}
		x.below, x.changed = nil, true
		return x
	case long && x.below == nil:
		x.cut(l)
	}
	for i, y := range x.below {
		x.below[i] = y.settle(l)
	}
	x.below = slices.DeleteFunc(x.below, func(y *wordList) bool { return y.size == 0 })
	return x
}

// cut parts a list by one more letter.
func (x *wordList) cut(l *wordLists) {
	for _, w := range x.words {
		next := nextKey(x.key, w.text)
		if n := len(x.below); n == 0 || x.below[n-1].key != next {
			x.below = append(x.below, &wordList{key: next, changed: true, of: l})
		}
		y := x.below[len(x.below)-1]
		y.words, y.size = append(y.words, w), y.size+w.size
	}
	x.words = nil
}

// gather appends the words of a list and of those that it is cut into, in order.
func (x *wordList) gather(to *[]*listedWord) {
	*to = append(*to, x.words...)
	for _, y := range x.below {
		y.gather(to)
	}
}

// each calls do with every list that is not cut, in order.
func (x *wordList) each(do func(*wordList) error) error {
	if x.below == nil {
		return do(x)
	}
	for _, y := range x.below {
		if err := y.each(do); err != nil {
			return err
		}
	}
	return nil
}

// nextKey is the key with one more letter of a word that begins with it.
func nextKey(key, word string) string {
	if word == key {
		return key + " "
	}
	_, size := utf8.DecodeRuneInString(word[len(key):])
	return word[:len(key)+size]
}

// text writes the words with their groups: {"bolt":[0,7],"mixer":"ff3"}.
func (x *wordList) text() json.RawMessage {
	b := make([]byte, 0, x.size+2)
	b = append(b, '{')
	for i, w := range x.words {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(append(b, '"'), w.text...), '"', ':') // letters and digits only
		b = w.appendGroups(b)
	}
	return append(b, '}')
}

// bytes is how many bytes a word takes in its list, with the comma; 0 for one that no group has.
func (w *listedWord) bytes() int {
	numbers, digits := w.lengths()
	if digits == 0 {
		return 0
	}
	return len(w.text) + len(`"":,`) + min(numbers, digits)
}

// lengths are the lengths of the two ways of writing a word's groups; zero when it has none.
func (w *listedWord) lengths() (numbers, digits int) {
	last := -1
	for i, part := range w.set {
		for ; part != 0; part &= part - 1 {
			last = 64*i + bits.TrailingZeros64(part)
			numbers += decimals(last) + len(",")
		}
	}
	if last < 0 {
		return 0, 0
	}
	return numbers + len("["), last/4 + 1 + len(`""`)
}

func decimals(n int) int {
	d := 1
	for ; n >= 10; n /= 10 {
		d++
	}
	return d
}

// appendGroups writes a word's groups in the shorter of two ways: the numbers, or a
// hexadecimal digit for every four groups, the first group its lowest bit.
func (w *listedWord) appendGroups(b []byte) []byte {
	numbers, digits := w.lengths()
	if numbers > digits {
		b = append(b, '"')
		for i := range digits - len(`""`) {
			b = append(b, "0123456789abcdef"[w.set[i/16]>>(i%16*4)&15])
		}
		return append(b, '"')
	}
	b = append(b, '[')
	for i, part := range w.set {
		for ; part != 0; part &= part - 1 {
			b = append(strconv.AppendInt(b, int64(64*i+bits.TrailingZeros64(part)), 10), ',')
		}
	}
	return append(bytes.TrimSuffix(b, []byte(",")), ']')
}
