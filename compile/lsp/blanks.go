package lsp

import "regexp"

var blank = regexp.MustCompile(`\$\{[0-9]+(?::((?:[^}\\]|\\.)*))?\}|\$0`)

// withoutBlanks writes a text with places to fill in for an editor that knows none: the words that stand in them.
func withoutBlanks(s string) string { return blank.ReplaceAllString(s, "$1") }
