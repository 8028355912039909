package source

import (
	"errors"
	"strings"

	"github.com/goccy/go-yaml"

	"matchmark/procedure/say"
)

// yamlFaults are what is wrong with text that is no YAML: a word that the YAML library says then, in our words, and what to do.
var yamlFaults = []struct {
	has           string
	wrong, advice say.Text
}{
	{"'\t'", say.That("a tab stands where only spaces can"), say.That("Put spaces in the place of the tab.")},
	{"tab character", say.That("a tab stands where only spaces can"), say.That("Put spaces in the place of the tab.")},
	{"mapping value is not allowed", say.That("a colon stands where there cannot be one"), say.That("Put a value with a colon in quotation marks, and start the lines in one column.")},
	{"could not find end character of", say.That("this quotation mark is not closed"), say.That("Close it, or take it out.")},
	{"end token", say.That("this bracket is not closed"), say.That("Close it, or put the value in quotation marks.")},
	{"could not find flow map", say.That("a brace is not closed before this place"), say.That("Close it, or put the value in quotation marks.")},
	{"already defined", say.That("this line stands twice"), say.That("Keep one of them.")},
	{"reserved character", say.That("a value cannot begin with this sign"), say.That("Put the value in quotation marks, or take the sign out.")},
	{"could not find alias", say.That("a value cannot begin with this sign"), say.That("Put the value in quotation marks, or take the sign out.")},
	{"escape", say.That("this backslash has no meaning"), say.That("Put the value in single quotation marks, or write two backslashes.")},
}

// yamlSyntax says in plain words why text is no YAML, and what to do.
func yamlSyntax(err error) (wrong, advice say.Text) {
	message := yamlMessage(err)
	for _, f := range yamlFaults {
		if strings.Contains(message, f.has) {
			return f.wrong, f.advice
		}
	}
	return say.That("this cannot be read as YAML"), say.That("Write one `name: value` a line; put values with special characters in quotation marks.")
}

func yamlMessage(err error) string {
	var e yaml.Error
	if errors.As(err, &e) {
		return e.GetMessage()
	}
	return err.Error()
}

// YAMLFault says in plain words why YAML that is no library's could not be read, what to do, and where: the line is 0 where that is not known.
func YAMLFault(err error) (wrong, advice say.Text, line, column int) {
	var e yaml.Error
	if errors.As(err, &e) {
		if tk := e.GetToken(); tk != nil && tk.Position != nil {
			line, column = tk.Position.Line, tk.Position.Column
		}
	}
	var node *yaml.UnexpectedNodeTypeError
	var form *yaml.TypeError
	if errors.As(err, &node) || errors.As(err, &form) {
		wrong, advice = say.That("lines of `name: value` are wanted here"), say.That("Write one `name: value` a line.")
		return wrong, advice, line, column
	}
	wrong, advice = yamlSyntax(err)
	return wrong, advice, line, column
}
