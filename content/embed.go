// Package content holds the demo library: an invented training workshop for
// bakery machinery. It is what the command compiles when no library is named.
package content

import (
	"embed"
	"io/fs"
)

//go:embed library.yaml glossary.md machines procedures refits quizzes courses figures
var files embed.FS

// Library returns the demo library, rooted where library.yaml lies.
func Library() fs.FS { return files }
