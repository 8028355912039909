package picture

import (
	"matchmark/procedure/say"
)

// checkUses refuses a drawing whose "use" elements draw themselves, or which
// grows beyond the limit of elements once each is drawn in full.
func checkUses(root *node) *Fault {
	u := uses{named: map[string]*node{}, size: map[*node]int{}}
	u.name(root)
	size, loops := u.measure(root)
	switch {
	case loops:
		return &Fault{Unusable, say.That("has a use element that draws itself"), say.That("Draw a copy instead.")}
	case size > maxElements:
		return &Fault{TooLarge, say.That("draws more than %most elements through use", say.Count(maxElements)), say.That("Simplify it.")}
	}
	return nil
}

// uses measures a drawing.
type uses struct {
	named map[string]*node
	size  map[*node]int // 0 while an element is being measured
}

func (u *uses) name(n *node) {
	for _, a := range n.attributes {
		if _, twice := u.named[a.value]; a.name == "id" && !twice {
			u.named[a.value] = n
		}
	}
	for _, child := range n.children {
		u.name(child)
	}
}

// measure returns how many elements an element draws, a little over the limit at most.
func (u *uses) measure(n *node) (size int, loops bool) {
	if n.name == "" {
		return 0, false
	}
	if known, seen := u.size[n]; seen {
		return known, known == 0
	}
	u.size[n] = 0
	size = 1
	parts := n.children
	if target := u.target(n); target != nil {
		parts = append(parts[:len(parts):len(parts)], target)
	}
	for _, part := range parts {
		more, loops := u.measure(part)
		if loops {
			return 0, true
		}
		size = min(size+more, maxElements+1)
	}
	u.size[n] = size
	return size, false
}

// target returns the element that a use element draws, or nil.
func (u *uses) target(n *node) *node {
	if n.name != "use" {
		return nil
	}
	for _, a := range n.attributes {
		if a.name == "href" {
			return u.named[a.value[1:]]
		}
	}
	return nil
}
