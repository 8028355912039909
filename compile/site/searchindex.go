package site

import (
	"bytes"
	"encoding/json"
	"errors"
	"hash/fnv"
	"maps"
	"math/bits"
	"slices"

	"matchmark/compile/page"
	"matchmark/procedure/parallel"
)

// searchIndex is what the pieces of the index were written with.
type searchIndex struct {
	total  int // bytes of all documents
	groups int
	// members are the documents of each group, in order, to be read again when one of them changes.
	members [][]member
	lists   *wordLists
	keys    []string
}

type member struct {
	at    rank
	owner string
}

// groupsFor is a power of two: it changes seldom.
func groupsFor(total int) int { return 1 << bits.Len(uint(total/groupSize)) }

// groupOf is the group of the document that a link leads to.
func groupOf(link string, groups int) int {
	h := fnv.New32a()
	h.Write([]byte(link))
	return int(h.Sum32() % uint32(groups))
}

// regroup is a group once its documents have changed.
type regroup struct {
	group      int
	was, now   []*searchDocument // that go, and that come
	lost, more map[string]bool   // words
}

// emitSearchIndex writes the pieces of the index that change when some documents go and others
// come. read gives the documents of an owner that stays. all is true when every piece was
// written, because there are more groups now or fewer. Links are relative to the site's root.
func (e *emitter) emitSearchIndex(x *searchIndex, was, now []*searchDocument, read func(owner string) ([]*searchDocument, error)) (all bool, gone []string, err error) {
	for _, d := range was {
		x.total -= len(d.text)
	}
	for _, d := range now {
		x.total += len(d.text)
	}
	if groups := groupsFor(x.total); groups != x.groups {
		all = true
		stay, err := x.staying(was, read)
		if err != nil {
			return false, nil, err
		}
		was, now = nil, append(stay, now...)
		x.groups, x.members, x.lists, x.keys = groups, make([][]member, groups), newWordLists(groups), nil
	}
	changes := make([]*regroup, x.groups)
	of := func(d *searchDocument) *regroup {
		g := groupOf(d.link, x.groups)
		if changes[g] == nil {
			changes[g] = &regroup{group: g}
		}
		return changes[g]
	}
	if all {
		for g := range changes {
			changes[g] = &regroup{group: g}
		}
	}
	for _, d := range was {
		c := of(d)
		c.was = append(c.was, d)
	}
	for _, d := range now {
		c := of(d)
		c.now = append(c.now, d)
	}
	changes = slices.DeleteFunc(changes, func(c *regroup) bool { return c == nil })
	errs := make([]error, len(changes))
	parallel.Each(make([]string, len(changes)), func(i int) { errs[i] = e.writeGroup(x, changes[i], read) })
	if err := errors.Join(errs...); err != nil {
		return false, nil, err
	}
	for _, c := range changes {
		for word := range c.lost {
			x.lists.remove(word, c.group)
		}
		for word := range c.more {
			x.lists.add([]byte(word), c.group)
		}
	}
	before := x.keys
	x.keys, err = x.lists.write(func(key string, list json.RawMessage) error {
		return e.writeSearch(page.SearchWordsPath(key), "list", key, list)
	})
	if err != nil {
		return false, nil, err
	}
	for _, key := range before {
		if _, stays := slices.BinarySearch(x.keys, key); !stays {
			gone = append(gone, page.SearchWordsPath(key))
		}
	}
	kinds := make([]string, len(searchKinds))
	for i, kind := range searchKinds {
		if kind == "back" {
			kinds[i] = e.words.T("way.back")
		} else {
			kinds[i] = e.words.T("search.kind." + kind)
		}
	}
	return all, gone, e.writeSearch(page.SearchIndexPath, "index", kinds, x.keys, x.groups)
}

// staying reads the documents of all groups again, but for those that go.
func (x *searchIndex) staying(was []*searchDocument, read func(owner string) ([]*searchDocument, error)) (stay []*searchDocument, err error) {
	goes := map[rank]bool{}
	for _, d := range was {
		goes[d.at] = true
	}
	left := map[rank]bool{}
	owners := map[string]bool{}
	for _, m := range slices.Concat(x.members...) {
		if !goes[m.at] {
			left[m.at], owners[m.owner] = true, true
		}
	}
	names := slices.Sorted(maps.Keys(owners))
	parts := make([][]*searchDocument, len(names))
	errs := make([]error, len(names))
	parallel.Each(names, func(i int) { parts[i], errs[i] = read(names[i]) })
	for _, d := range slices.Concat(parts...) {
		if left[d.at] {
			stay = append(stay, d)
		}
	}
	return stay, errors.Join(errs...)
}

// writeGroup writes a group anew, and finds out which words it loses and gains by that.
func (e *emitter) writeGroup(x *searchIndex, c *regroup, read func(owner string) ([]*searchDocument, error)) error {
	goes := map[rank]bool{}
	for _, d := range c.was {
		goes[d.at] = true
	}
	c.lost, c.more = map[string]bool{}, map[string]bool{}
	for _, d := range c.now {
		d.words(func(word []byte) { mark(c.more, word) })
	}
	for _, d := range c.was {
		d.words(func(word []byte) {
			if !c.more[string(word)] {
				mark(c.lost, word)
			}
		})
	}
	for _, d := range c.was {
		d.words(func(word []byte) { delete(c.more, string(word)) })
	}
	documents := slices.Clone(c.now)
	for _, m := range x.members[c.group] {
		if goes[m.at] {
			continue
		}
		all, err := read(m.owner)
		if err != nil {
			return err
		}
		for _, d := range all {
			if d.at == m.at {
				documents = append(documents, d)
				d.words(func(word []byte) {
					delete(c.lost, string(word))
					delete(c.more, string(word))
				})
			}
		}
	}
	slices.SortFunc(documents, func(a, b *searchDocument) int { return a.at.compare(b.at) })
	texts := make([][]byte, len(documents))
	x.members[c.group] = make([]member, len(documents))
	for i, d := range documents {
		texts[i], x.members[c.group][i] = d.text, member{d.at, d.owner}
	}
	return e.writeSearch(page.SearchGroupPath(c.group), "group", c.group, json.RawMessage("["+string(bytes.Join(texts, []byte(",\n")))+"]"))
}

// mark puts a word into a set, which keeps its own copy.
func mark(set map[string]bool, word []byte) {
	if !set[string(word)] {
		set[string(word)] = true
	}
}

// writeSearch writes a piece: a call of a function of search.js with its arguments.
func (e *emitter) writeSearch(at, function string, arguments ...any) error {
	if e.out == nil {
		return nil
	}
	var b bytes.Buffer
	b.WriteString("matchmark.search." + function + "(")
	for i, a := range arguments {
		if i > 0 {
			b.WriteString(", ")
		}
		text, err := json.Marshal(a)
		if err != nil {
			return err
		}
		b.Write(text)
	}
	b.WriteString(");\n")
	return e.out.Write(at, b.Bytes())
}
