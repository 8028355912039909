package order

import (
	"embed"
	"io/fs"
)

//go:embed testdata/*.txtar
var pairs embed.FS

// Examples holds the pair of small libraries of each rule, CODE.txtar, and the
// library that they lie on, base.txtar; the messages page shows them.
func Examples() fs.FS {
	sub, err := fs.Sub(pairs, "testdata")
	if err != nil {
		// fs.Sub fails only for a path that is not valid, and this one is fixed.
		panic(err)
	}
	return sub
}
