// Package prose is running text as a tree: blocks such as paragraphs and lists,
// and what stands in their lines. It knows no form that the text is put out in.
package prose

// Kind is what a node is.
type Kind uint8

// The blocks. All but Rule hold further nodes; the ones that hold inlines are lines of words.
const (
	Paragraph    Kind = iota
	Line              // a paragraph that has no space around it, as in a list without empty lines
	Heading           // Level says which
	List              // of Items
	NumberedList      // of Items; To is its first number when it is not 1
	Item
	Quotation
	CodeBlock // To is its language, or empty; its lines are Text with a SoftBreak behind each
	Table     // of rows
	HeadRow   // the first row of a table; of Cells
	Row
	Cell
	Rule // a thematic break

	// The inlines. Those up to WebLink hold further inlines.
	Emphasis
	Strong
	Term     // a word that a glossary explains
	StepLink // To is the step's id, Text the link's title
	WebLink  // To is an address, percent-encoded, or empty when there is none that may be followed; Text the link's title
	Text
	Code
	Mention   // a name in code marks; To is the name, Text what the thing is called, empty while nobody knows
	Value     // a value that is read off at the bench; To is its name, Text what it is called with its unit
	SoftBreak // the end of a line in the source
	HardBreak // the end of a line on the page too
)

// Node is one node of a tree. A tree is a slice of nodes, each with the nodes
// inside it right behind it, so that going through all of them is going through the slice.
type Node struct {
	Kind Kind
	// Level is that of a heading, from 1, the highest, to 6.
	Level uint8
	// Inside is how many of the nodes that follow stand inside this one.
	Inside int32
	// Start and End bound the node in the source file, in bytes, where something
	// can be wrong with it: words, links and names. Both are 0 where it stands nowhere.
	Start, End int32
	// To is what the node leads to, and Text its words; which ones is said with the kinds.
	To, Text string
}

// HasLines reports whether the words of such a node make up a paragraph of their own.
func (k Kind) HasLines() bool {
	switch k {
	case Paragraph, Line, Heading, CodeBlock, Cell:
		return true
	}
	return false
}

// IsBlock reports whether such a node is a block.
func (k Kind) IsBlock() bool { return k <= Rule }

// First splits a tree into its first node's inside and the nodes behind that.
func First(nodes []Node) (inside, rest []Node) {
	end := 1 + int(nodes[0].Inside)
	return nodes[1:end], nodes[end:]
}
