package procedure

import "slices"

// Texts and Clone of each kind of block, for whoever reads or rewrites its prose.

// Texts implements Block.
func (b *Instruction) Texts() []*Prose { return []*Prose{&b.Prose} }

// Clone implements Block.
func (b *Instruction) Clone() Block { c := *b; return &c }

// Texts implements Block.
func (b *Caution) Texts() []*Prose { return []*Prose{&b.Prose} }

// Clone implements Block.
func (b *Caution) Clone() Block { c := *b; return &c }

// Texts implements Block.
func (b *Tip) Texts() []*Prose { return []*Prose{&b.Prose} }

// Clone implements Block.
func (b *Tip) Clone() Block { c := *b; return &c }

// Texts implements Block.
func (b *KeyPoint) Texts() []*Prose { return []*Prose{&b.Reason} }

// Clone implements Block.
func (b *KeyPoint) Clone() Block { c := *b; return &c }

// Texts implements Block.
func (b *Callout) Texts() []*Prose { return reasons(b.Actions) }

// Clone implements Block.
func (b *Callout) Clone() Block {
	c := *b
	c.Actions = cloneActions(b.Actions)
	return &c
}

// Texts implements Block.
func (b *ActionList) Texts() []*Prose { return reasons(b.Actions) }

// Clone implements Block.
func (b *ActionList) Clone() Block {
	c := *b
	c.Actions = cloneActions(b.Actions)
	return &c
}

// Texts implements Block.
func (b *Hold) Texts() []*Prose {
	var out []*Prose
	for i := range b.Confirmations {
		out = append(out, &b.Confirmations[i])
	}
	return out
}

// Clone implements Block.
func (b *Hold) Clone() Block {
	c := *b
	c.Confirmations = slices.Clone(b.Confirmations)
	return &c
}

// Texts implements Block.
func (b *Inspection) Texts() []*Prose {
	var out []*Prose
	for i := range b.Items {
		out = append(out, &b.Items[i].Accept)
	}
	return out
}

// Clone implements Block.
func (b *Inspection) Clone() Block {
	c := *b
	c.Items = slices.Clone(b.Items)
	return &c
}

// Texts implements Block.
func (b *Illustration) Texts() []*Prose { return nil }

// Clone implements Block.
func (b *Illustration) Clone() Block { c := *b; return &c }

func reasons(actions []*Action) []*Prose {
	var out []*Prose
	for _, a := range actions {
		out = append(out, &a.Reason)
	}
	return out
}

func cloneActions(actions []*Action) []*Action {
	out := make([]*Action, len(actions))
	for i, a := range actions {
		c := *a
		out[i] = &c
	}
	return out
}
