package edition

import (
	"slices"
	"strings"

	"matchmark/procedure"
)

// content is what stands in a step's blocks, as lists of items by what they are called: an
// attribute by its name, the rest by the kind of block. Cautions and hold points are compared by themselves.
type content struct {
	words []string // in the order of the kinds and their fields
	lists map[string][]item
	// order is the order of the blocks, by their kinds.
	order []item
}

// start is where a block begins among the items of its kind.
var start = item{key: "\x00"}

func contentOf(n names, s *procedure.Step) content {
	c := content{lists: map[string][]item{}}
	add := func(word string, items ...item) {
		if !slices.Contains(c.words, word) {
			c.words = append(c.words, word)
		}
		c.lists[word] = append(c.lists[word], items...)
	}
	for _, b := range s.Blocks {
		kind := b.Kind()
		c.order = append(c.order, item{kind.Label(), kind.Label()})
		if apart(b) {
			continue
		}
		add(kind.Label(), start)
		procedure.EachField(b, func(f *procedure.Field, value any) {
			if f.Word == "variants" {
				return // a mark on each item
			}
			word := kind.Label()
			items, _ := n.items(f, value)
			if kind.Attribute(f.Word) != nil || f.Refers == "figure" {
				word = f.Word
				if len(items) == 0 {
					items = []item{{}} // keeps the place of a block without the attribute
				}
			}
			add(word, forVariants(b.Base().Variants, items)...)
		})
	}
	return c
}

// apart reports whether a block is a caution or a hold point and nothing besides.
func apart(b procedure.Block) bool {
	shown := b.Shows()
	return shown.Warning != nil && procedure.Block(shown.Warning) == b || shown.Hold != nil && procedure.Block(shown.Hold) == b
}

// forVariants marks items that are meant for some variants only.
func forVariants(variants []procedure.Ref, list []item) []item {
	if len(variants) == 0 {
		return list
	}
	var ids []string
	for _, v := range variants {
		ids = append(ids, v.ID)
	}
	mark := " (" + strings.Join(ids, ", ") + ")"
	for i := range list {
		if list[i].key != "" {
			list[i].key += mark
		}
		if list[i].text != "" {
			list[i].text += mark
		}
	}
	return list
}

// blocks notes what is different in the blocks of a step.
func (c *changes) blocks(old, now names, before, after *procedure.Step) {
	was, is := contentOf(old, before), contentOf(now, after)
	for _, word := range was.words {
		c.list(word, was.lists[word], is.lists[word])
	}
	for _, word := range is.words {
		if !slices.Contains(was.words, word) {
			c.list(word, nil, is.lists[word])
		}
	}
	c.order("order", was.order, is.order)
}
