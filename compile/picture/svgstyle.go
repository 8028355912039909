package picture

import (
	"iter"
	"regexp"
	"strings"
)

var (
	styleComment = regexp.MustCompile(`(?s)/\*.*?(\*/|$)`)
	// selector lets types, classes, ids, combinators and plain pseudo-classes through.
	selector = regexp.MustCompile(`^[\w\s.#,*>+~:-]+$`)
)

// declarations returns the allowed part of a list of style declarations.
func (c *cleaner) declarations(list string) string {
	var kept []string
	list = styleComment.ReplaceAllString(list, " ")
	for list != "" {
		var declaration string
		declaration, list = cut(list, ";")
		property, value, found := strings.Cut(declaration, ":")
		property, value = strings.ToLower(strings.TrimSpace(property)), strings.TrimSpace(value)
		if found && value != "" && isClosed(value) && c.isHarmless(value) && allowedProperties[property] {
			kept = append(kept, property+":"+value)
		}
	}
	return strings.Join(kept, ";")
}

// styleSheet returns the allowed part of a style element's rules, one a line.
func (c *cleaner) styleSheet(sheet string) string {
	var b strings.Builder
	sheet = styleComment.ReplaceAllString(sheet, " ")
	for {
		sheet = strings.TrimSpace(sheet)
		if sheet == "" {
			return b.String()
		}
		if sheet[0] == '@' {
			c.report("style rule " + strings.ToLower(atRule.FindString(sheet)))
			sheet = afterAtRule(sheet)
			continue
		}
		var names, body string
		names, sheet = cut(sheet, "{")
		body, sheet = block(sheet)
		names = strings.TrimSpace(names)
		if !selector.MatchString(names) || strings.Contains(body, "{") {
			c.report("unusual style")
			continue
		}
		if body = c.declarations(body); body != "" {
			b.WriteString(names + "{" + body + "}\n")
		}
	}
}

var atRule = regexp.MustCompile(`^@[A-Za-z-]*`)

// afterAtRule returns what follows an at-rule, which ends at a semicolon or after its block.
func afterAtRule(sheet string) string {
	head, rest := cut(sheet, "{;")
	if strings.HasPrefix(sheet[len(head):], "{") {
		_, rest = block(rest)
	}
	return rest
}

// block splits at the brace that closes a block which is open already.
func block(s string) (body, rest string) {
	depth := 1
	for i, ch := range unquoted(s) {
		switch ch {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return s[:i], s[i+1:]
			}
		}
	}
	return s, ""
}

// cut splits at the first of the marks that stands outside quotes and brackets.
func cut(s, marks string) (before, after string) {
	depth := 0
	for i, ch := range unquoted(s) {
		switch {
		case ch == '(':
			depth++
		case ch == ')':
			depth--
		case depth <= 0 && strings.IndexByte(marks, ch) >= 0:
			return s[:i], s[i+1:]
		}
	}
	return s, ""
}

// isClosed reports whether a value closes every quote and bracket that it opens,
// so that it cannot swallow what follows it.
func isClosed(value string) bool {
	depth, quotes := 0, 0
	for _, ch := range unquoted(value) {
		switch ch {
		case '"', '\'':
			quotes++
		case '(':
			depth++
		case ')':
			if depth--; depth < 0 {
				return false
			}
		}
	}
	return depth == 0 && quotes%2 == 0 && (quotes == 0 || !strings.Contains(value, "\n"))
}

// unquoted yields the bytes of a style that stand outside quotes, and the quotes.
func unquoted(s string) iter.Seq2[int, byte] {
	return func(yield func(int, byte) bool) {
		quote := byte(0)
		for i := range len(s) {
			ch := s[i]
			switch {
			case quote == 0 && (ch == '"' || ch == '\''):
				quote = ch
			case quote != 0 && ch == quote:
				quote = 0
			case quote != 0:
				continue
			}
			if !yield(i, ch) {
				return
			}
		}
	}
}
