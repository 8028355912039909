package diagnostic

// Rule is the registered documentation of a code. The list of rules is what
// the messages page and `matchmark explain` print.
type Rule struct {
	Code     Code
	Severity Severity
	// Title names the rule in a few words.
	Title string
	// Wrong is what is wrong, in one line.
	Wrong string
	// Why is why it matters at the bench or on the page.
	Why string
	// Do is what to do about it.
	Do string
}
