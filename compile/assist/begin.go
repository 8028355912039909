package assist

import (
	"fmt"
	"regexp"
	"strings"

	"matchmark/procedure/source"
)

// Head is what a file's first lines say of it.
type Head struct{ Kind, ID, Title string }

var headLine = regexp.MustCompile(`(?m)^(kind|id|title):[ \t]*(.*?)[ \t]*\r?$`)

// HeadOf reads a file's first lines, also where they are broken.
func HeadOf(src []byte) (h Head) {
	for _, m := range headLine.FindAllStringSubmatch(matterOf(src), -1) {
		value := strings.Trim(m[2], `"'`)
		switch m[1] {
		case "kind":
			h.Kind = value
		case "id":
			h.ID = value
		case "title":
			h.Title = value
		}
	}
	return h
}

// bodies are what a new file of a kind has below its first lines: the frame of what belongs there, to fill in.
var bodies = map[string]string{
	"machine": `
::: register parts "Parts"
| id | letter | name | mass | stand | base |
|----|--------|------|------|-------|------|

:::

::: register fasteners "Fasteners"
| no | name | kind | thread | class | drive | count | torque | joins |
|----|------|------|--------|-------|-------|-------|--------|-------|

:::

::: register connections "Connections"
| id | name | kind | joins | needs |
|----|------|------|-------|-------|

:::

::: register conditions "Conditions"
| id | name | needs | undo | energy |
|----|------|-------|------|--------|

:::

::: register tools "Tools"
| id | kind | name | quantity | fits |
|----|------|------|----------|------|

:::
`,
	"procedure": `
## First step {#first-step}

{time=2/3/5}

`,
}

// Begin is a new file of a kind. Of names what it is about: a procedure's machine, a quiz's procedure. The error is about a
// kind that cannot be begun so.
func Begin(kind, id, title, of string) (string, error) {
	quoted := fmt.Sprintf("%q", title)
	head := fmt.Sprintf("---\nkind: %s\nid: %s\ntitle: %s\n", kind, id, quoted)
	switch kind {
	case "machine":
	case "procedure":
		if of != "" {
			head += "machine: " + of + "\n"
		}
		head += "edition: \"1\"\n"
	case "quiz":
		if of != "" {
			head += "procedure: " + of + "\n"
		}
		head += "pass: 75\n"
	case "course":
		head += "sessions:\n  - title: First session\n    items:\n"
		if of != "" {
			head += "      - procedure: " + of + "\n"
		}
	default:
		return "", fmt.Errorf("%q is no kind of file that can be begun; there are %s", kind, strings.Join(Beginnings(), ", "))
	}
	return head + "---\n" + bodies[kind], nil
}

// Beginnings are the kinds of file that can be begun, in the order of the language page.
func Beginnings() (out []string) {
	for _, k := range source.FileKinds() {
		switch k.Name {
		case "machine", "procedure", "quiz", "course":
			out = append(out, k.Name)
		}
	}
	return out
}
