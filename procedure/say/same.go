package say

import "slices"

// Equal reports whether two texts say the same.
func Equal(a, b Text) bool { return same(a, b, false) }

// SameButSteps reports whether two texts say the same of steps that may have other numbers.
func SameButSteps(a, b Text) bool { return same(a, b, true) }

func same(a, b Text, steps bool) bool {
	return a.pattern == b.pattern && sameAll(a.parts, b.parts, steps)
}

func sameAll(a, b []Part, steps bool) bool {
	return slices.EqualFunc(a, b, func(a, b Part) bool { return samePart(a, b, steps) })
}

func samePart(a, b Part, steps bool) bool {
	switch a := a.(type) {
	case Step:
		b, ok := b.(Step)
		return ok && (steps || a == b)
	case Text:
		b, ok := b.(Text)
		return ok && same(a, b, steps)
	case List:
		b, ok := b.(List)
		return ok && a.Join == b.Join && sameAll(a.Parts, b.Parts, steps)
	}
	if _, ok := b.(List); ok {
		return false
	}
	if _, ok := b.(Text); ok {
		return false
	}
	return a == b
}
