package refit

import (
	"slices"

	"matchmark/procedure"
)

// overlay lays an author's blocks over those of a derived step.
type overlay struct {
	blocks []procedure.Block
	at     int             // where the next act that the author leaves to the derived step goes
	under  *procedure.Step // the derived step
}

// overlaid lays the blocks of a step that says only what differs. Its acts take the place of derived ones; each act that is left to the derived
// step stays behind the one that it was behind. Words belong to the act that is named behind them, or else to those that are left, in place of the derived
// words. Cautions, words, key points, what must be kept to and the hold point are the derived ones where the author writes none of their kind.
func overlaid(own []procedure.Block, under *procedure.Step, acts []procedure.Block) []procedure.Block {
	o := overlay{blocks: slices.Clone(own), under: under}
	derived, words := under.Blocks, slices.ContainsFunc(own, isText)
	for o.at < len(own) && isWarning(own[o.at]) {
		o.at++
	}
	o.at = o.behindWords(o.at)
	var told []procedure.Block // words of the derived step whose act comes next
	for _, b := range derived {
		if isText(b) {
			told = append(told, b)
		}
		var run []*procedure.Action // of this block, left to the derived step one behind the other
		flush := func() {
			if len(run) > 0 {
				o.put(append(o.unless(told, o.at), withActions(b, run))...)
				told, run = nil, nil
			}
		}
		for _, a := range b.Shows().Actions {
			if i := o.index(a); i >= 0 {
				flush()
				if o.at = o.index(a); !words {
					o.put(told...)
				}
				o.at = o.behindWords(o.at + 1)
				told = nil
			} else if slices.ContainsFunc(acts, func(x procedure.Block) bool { return slices.Contains(x.Shows().Actions, a) }) {
				run = append(run, a)
			}
		}
		flush()
	}
	if !words {
		o.put(told...)
	}
	o.at = o.behindActs()
	o.missing(derived, func(b procedure.Block) bool { return b.Shows().Point != nil })
	o.missing(derived, func(b procedure.Block) bool { return b.Shows().Must != nil })
	o.at = 0
	o.missing(derived, isWarning)
	for i, b := range o.blocks {
		o.blocks[i] = aboutBehind(b, o.blocks[i+1:])
	}
	o.at = len(o.blocks)
	o.missing(derived, isHold)
	return o.blocks
}

// put puts blocks in where the next ones go.
func (o *overlay) put(blocks ...procedure.Block) {
	o.blocks = slices.Insert(o.blocks, o.at, blocks...)
	o.at += len(blocks)
}

// unless returns words of the derived step for an act that comes at a place; none where words stand before it.
func (o *overlay) unless(told []procedure.Block, at int) []procedure.Block {
	for at--; at >= 0 && isWarning(o.blocks[at]); at-- {
	}
	if at >= 0 && isText(o.blocks[at]) {
		return nil
	}
	return told
}

// missing puts in the derived blocks of a kind of which the author writes none.
func (o *overlay) missing(derived []procedure.Block, is func(procedure.Block) bool) {
	if slices.ContainsFunc(o.blocks, is) {
		return
	}
	for _, b := range derived {
		if is(b) {
			o.put(b)
		}
	}
}

// index finds the author's block with an act like this one; -1 for none.
func (o *overlay) index(a *procedure.Action) int {
	return slices.IndexFunc(o.blocks, func(b procedure.Block) bool { return slices.ContainsFunc(b.Shows().Actions, a.IsLike) })
}

// behindWords is the place behind the cautions, words and further acts of the author's that begin at one, unless an act of the derived step comes next:
// then they belong to that one, and the place is this one.
func (o *overlay) behindWords(from int) int {
	for i, b := range o.blocks[from:] {
		acts := b.Shows().Actions
		switch {
		case slices.ContainsFunc(acts, func(a *procedure.Action) bool { return does(o.under, a) }):
			return from
		case !isWarning(b) && !isText(b) && len(acts) == 0:
			return from + i
		}
	}
	return len(o.blocks)
}

// behindActs is the place behind the last act.
func (o *overlay) behindActs() int {
	for i := len(o.blocks) - 1; i >= 0; i-- {
		if len(o.blocks[i].Shows().Actions) > 0 {
			return i + 1
		}
	}
	return o.at
}

// aboutBehind is a caution that its author leaves open, about the first act that comes behind it.
func aboutBehind(b procedure.Block, behind []procedure.Block) procedure.Block {
	at := slices.IndexFunc(behind, func(x procedure.Block) bool { return len(x.Shows().Actions) > 0 })
	if at < 0 {
		return b
	}
	return aboutNext(b, behind[at:])
}
