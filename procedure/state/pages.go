package state

import "slices"

// pages is a list that shares most of its memory with the list that it was made
// from: only the page that holds a changed value is copied. Neither is ever
// changed in place.
type pages[T any] [][]T

const pageSize = 16

func newPages[T any](n int) pages[T] {
	all := make([]T, n)
	return slices.Collect(slices.Chunk(all, pageSize))
}

func (p pages[T]) at(i int) *T { return &p[i/pageSize][i%pageSize] }

// with returns the list with another value at i.
func (p pages[T]) with(i int, v T) pages[T] {
	out := make(pages[T], len(p))
	copy(out, p)
	page := make([]T, len(p[i/pageSize]))
	copy(page, p[i/pageSize])
	page[i%pageSize] = v
	out[i/pageSize] = page
	return out
}

// each returns a copy of the list with every value changed by do.
func (p pages[T]) each(do func(*T)) pages[T] {
	out := make(pages[T], len(p))
	for i, page := range p {
		out[i] = slices.Clone(page)
		for j := range out[i] {
			do(&out[i][j])
		}
	}
	return out
}
