package source

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/go-playground/validator/v10"
	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	yamlparser "github.com/goccy/go-yaml/parser"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// newValidator returns the struct checker with the dialect's own rule for names.
func newValidator() *validator.Validate {
	v := validator.New(validator.WithRequiredStructEnabled())
	v.RegisterTagNameFunc(func(f reflect.StructField) string { return f.Tag.Get("yaml") })
	// The function never fails to register: the tag is not empty and not reserved.
	_ = v.RegisterValidation("name", func(fl validator.FieldLevel) bool { return isName(fl.Field().String()) })
	return v
}

// matter is a file's front matter: the text between its lines, and where it stands.
type matter struct {
	yaml text.Span
	// body is where the Markdown starts.
	body int
	tree ast.Node
}

// byteOrderMark is what some editors put at the start of a UTF-8 file.
const byteOrderMark = "\uFEFF"

// splitMatter finds the front matter. ok is false when the file has none;
// unclosed tells that it starts one and never ends it.
func splitMatter(f *text.File) (m matter, ok, unclosed bool) {
	start := 0
	if bytes.HasPrefix(f.Source, []byte(byteOrderMark)) {
		start = len(byteOrderMark)
	}
	line := func(from int) (end, next int) {
		i := bytes.IndexByte(f.Source[from:], '\n')
		if i < 0 {
			return len(f.Source), len(f.Source)
		}
		return from + i, from + i + 1
	}
	end, next := line(start)
	if string(bytes.TrimRight(f.Source[start:end], " \t\r")) != "---" {
		return matter{body: start}, false, false
	}
	begin := next
	for next < len(f.Source) {
		from := next
		end, next = line(from)
		if string(bytes.TrimRight(f.Source[from:end], " \t\r")) == "---" {
			return matter{yaml: f.Span(begin, from), body: next}, true, false
		}
	}
	return matter{yaml: f.Span(start, start+3), body: len(f.Source)}, false, true
}

// largestMatter bounds the front matter, in bytes: the time for deeply nested YAML grows with the square of its length.
const largestMatter = 64 << 10

// parseMatter reads the YAML tree; it reports a syntax error and returns false.
func (r *reader) parseMatter(m *matter) bool {
	if m.yaml.End-m.yaml.Start > largestMatter {
		r.report("file-too-large", r.file.Span(m.yaml.Start, m.yaml.Start), "the front matter is larger than 64 KB", "Shorten it.")
		return false
	}
	src := bytes.ReplaceAll([]byte(m.yaml.Text()), []byte("\r\n"), []byte("\n"))
	if nested(src) {
		r.report("front-matter-syntax", m.yaml, r.matterName()+fmt.Sprintf(" nests more than %d deep", deepestMatter), "Write one `name: value` a line.")
		return false
	}
	file, err := yamlparser.ParseBytes(src, 0, yamlparser.AllowDuplicateMapKey())
	switch {
	case err != nil && strings.Contains(yamlMessage(err), "'\t'"):
		r.report("front-matter-syntax", m.errorSpan(err), "a tab stands where only spaces can", "Put spaces in the place of the tab.")
	case err != nil && strings.HasPrefix(yamlMessage(err), "mapping value is not allowed"):
		r.report("front-matter-syntax", m.errorSpan(err), "a colon stands where there cannot be one",
			"Put a value with a colon in quotation marks, and start the lines in one column.")
	case err != nil:
		r.report("front-matter-syntax", m.errorSpan(err), r.matterName()+" cannot be read as YAML: "+yamlMessage(err),
			"Write one `name: value` a line; put values with special characters in quotation marks.")
	case len(file.Docs) == 0 || file.Docs[0].Body == nil:
		r.report("front-matter-syntax", m.yaml, r.matterName()+" says nothing", "Write one `name: value` a line, a title at least.")
	default:
		m.tree = file.Docs[0].Body
		if _, ok := m.tree.(ast.MapNode); ok {
			return r.withoutSigns(m)
		}
		r.report("front-matter-syntax", m.yaml, r.matterName()+" is not a list of `name: value` lines", "Write one `name: value` a line.")
	}
	return false
}

// withoutSigns reports tags, anchors and aliases: front matter needs none of them, and
// the YAML library does not take each of them well.
func (r *reader) withoutSigns(m *matter) bool {
	var sign signs
	ast.Walk(&sign, m.tree)
	if sign.first == nil {
		return true
	}
	r.report("front-matter-syntax", m.nodeSpan(sign.first), r.matterName()+" has a value that begins with "+quote(sign.first.GetToken().Value),
		"Put the value in quotation marks, or take the sign out.")
	return false
}

// signs finds the first tag, anchor or alias.
type signs struct{ first ast.Node }

func (s *signs) Visit(n ast.Node) ast.Visitor {
	switch n.(type) {
	case *ast.TagNode, *ast.AnchorNode, *ast.AliasNode:
		s.first = n
	}
	if s.first != nil {
		return nil
	}
	return s
}

// matterName is what messages call the YAML: a file's front matter, or the library's settings.
func (r *reader) matterName() string {
	if r.file.Name == settingsFile {
		return settingsFile
	}
	return "the front matter"
}

// decode fills a front-matter struct and checks it. Every fault is reported, and
// ok tells whether there was none; the body is read in any case, so that no
// fault hides another.
func (r *reader) decode(m *matter, into any) (ok bool) {
	known := r.unknownKeys(m, m.tree, reflect.TypeOf(into).Elem())
	options := []yaml.DecodeOption{yaml.AllowDuplicateMapKey()}
	if known {
		options = append(options, yaml.Strict())
	}
	if err := yaml.NodeToValue(m.tree, into, options...); err != nil {
		what, do := misfit(err)
		r.report("front-matter-value", m.errorSpan(err), what, do)
		return false
	}
	err := r.validate.Struct(into)
	var faults validator.ValidationErrors
	if !errors.As(err, &faults) {
		return known
	}
	for _, f := range faults {
		path := yamlPath(f.Namespace())
		what, do := fieldFault(f)
		r.report("front-matter-value", m.spanOf(path), what, do)
	}
	return false
}

// unknownKeys reports keys that no field has, at any depth, and whether all were known.
func (r *reader) unknownKeys(m *matter, node ast.Node, t reflect.Type) bool {
	for t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	ok := true
	switch n := node.(type) {
	case *ast.SequenceNode:
		for _, v := range n.Values {
			ok = r.unknownKeys(m, v, t) && ok
		}
	case ast.MapNode:
		if t.Kind() != reflect.Struct {
			return true
		}
		var names []string
		types, seen := map[string]reflect.Type{}, map[string]text.Span{}
		for i := range t.NumField() {
			name := t.Field(i).Tag.Get("yaml")
			names = append(names, name)
			types[name] = t.Field(i).Type
		}
		for it := n.MapRange(); it.Next(); {
			key, span := keyOf(it.Key()), m.nodeSpan(it.Key())
			if first, twice := seen[key]; twice {
				ok = false
				r.reportSee("front-matter-field", span, "the line "+quote(key)+" stands twice", "Keep one of them.", first, "the first one")
				continue
			}
			seen[key] = span
			if sub, known := types[key]; known {
				ok = r.unknownKeys(m, it.Value(), sub) && ok
				continue
			}
			ok = false
			r.report("front-matter-field", span, r.matterName()+" has no line "+quote(key),
				diagnostic.Suggest(key, names, "Use one of: "+strings.Join(names, ", ")+"."))
		}
	}
	return ok
}

// keyOf returns a key without its quotation marks.
func keyOf(n ast.MapKeyNode) string {
	if tk := n.GetToken(); tk != nil {
		return tk.Value
	}
	return n.String()
}

// spanOf returns the place of the value at a path such as sessions[0].title, or of
// the nearest part of the path that is there.
func (m *matter) spanOf(path string) text.Span {
	for path != "" {
		p, err := yaml.PathString("$." + path)
		if err == nil {
			if node, err := p.FilterNode(m.tree); err == nil && node != nil {
				return m.nodeSpan(node)
			}
		}
		cut := strings.LastIndexAny(path, ".[")
		if cut < 0 {
			break
		}
		path = path[:cut]
	}
	start, end := m.yaml.File.LineBounds(max(1, m.yaml.File.LineOf(m.yaml.Start)-1))
	return m.yaml.File.Span(start, end)
}

func (m *matter) nodeSpan(n ast.Node) text.Span {
	tk := n.GetToken()
	if v, ok := n.(*ast.MappingNode); ok && len(v.Values) > 0 {
		tk = v.Values[0].Key.GetToken()
	}
	if v, ok := n.(*ast.MappingValueNode); ok {
		tk = v.Key.GetToken()
	}
	if tk == nil || tk.Position == nil {
		return m.yaml
	}
	return m.place(tk.Position.Line, tk.Position.Column, utf8.RuneCountInString(strings.TrimSpace(tk.Origin)))
}

// place turns a line and column of the YAML text into a span of the file.
func (m *matter) place(line, column, runes int) text.Span {
	f := m.yaml.File
	start, end := f.LineBounds(f.LineOf(m.yaml.Start) + line - 1)
	skip := func(at, n int) int {
		for ; n > 0 && at < end; n-- {
			_, size := utf8.DecodeRune(f.Source[at:end])
			at += size
		}
		return at
	}
	from := skip(start, column-1)
	return f.Span(from, skip(from, max(1, runes)))
}

func (m *matter) errorSpan(err error) text.Span {
	var e yaml.Error
	if errors.As(err, &e) {
		if tk := e.GetToken(); tk != nil && tk.Position != nil {
			return m.place(tk.Position.Line, tk.Position.Column, utf8.RuneCountInString(strings.TrimSpace(tk.Origin)))
		}
	}
	return m.yaml
}

func yamlMessage(err error) string {
	var e yaml.Error
	if errors.As(err, &e) {
		return e.GetMessage()
	}
	return err.Error()
}

// misfit says in plain words why a value has no place in its field, and what to write.
func misfit(err error) (what, do string) {
	var wanted reflect.Kind
	var form *yaml.TypeError
	var size *yaml.OverflowError
	var node *yaml.UnexpectedNodeTypeError
	switch {
	case errors.As(err, &size):
		return "the number " + size.SrcNum + " is too large", "Give a smaller value."
	case errors.As(err, &form):
		wanted = form.DstType.Kind()
	case errors.As(err, &node) && node.Expected == ast.SequenceType:
		wanted = reflect.Slice
	case errors.As(err, &node) && node.Expected == ast.MappingType:
		wanted = reflect.Struct
	}
	switch wanted {
	case reflect.Int, reflect.Int64:
		return "a whole number is wanted here", "Write digits only, such as 80."
	case reflect.Float64:
		return "a number is wanted here", "Write digits only, with a point before decimals, such as 85."
	case reflect.String:
		return "one value is wanted here, not several", "Write it behind the name, on the same line."
	case reflect.Slice:
		return "a list is wanted here", "Write each thing on a line of its own, with a hyphen and a space before it."
	case reflect.Struct:
		return "lines of `name: value` are wanted here", "Write them as the language reference shows."
	}
	return "this value does not fit", "Give the value in the form that the language reference shows."
}

// yamlPath turns the checker's path, "courseFields.sessions[0].title", into the YAML path.
func yamlPath(namespace string) string {
	_, path, _ := strings.Cut(namespace, ".")
	return path
}

// fieldFault says what is wrong with a front-matter value and what to do.
func fieldFault(f validator.FieldError) (what, do string) {
	name := f.Field()
	switch f.Tag() {
	case "required":
		return quote(name) + " is missing", fmt.Sprintf("Add a line `%s: ...`.", name)
	case "required_without", "required_without_all":
		return "an item names neither a procedure, a refit nor a quiz", "Write `- procedure: name`, `- refit: name` or `- quiz: name`."
	case "excluded_with":
		return quote(name) + " cannot stand beside what else this item names", "Make each thing an item of its own."
	case "name":
		return quote(fmt.Sprint(f.Value())) + " is not a name", "Use lower-case letters, digits and hyphens, a letter first."
	case "min":
		return fmt.Sprintf("%s is %v; the least is %s", quote(name), f.Value(), f.Param()), "Give a larger value."
	case "max":
		return fmt.Sprintf("%s is %v; the most is %s", quote(name), f.Value(), f.Param()), "Give a smaller value."
	case "bcp47_language_tag":
		return quote(fmt.Sprint(f.Value())) + " is not a language", "Use a language tag such as en or de."
	case "http_url":
		return quote(fmt.Sprint(f.Value())) + " is not a web address", "Start the address with http:// or https://."
	}
	return fmt.Sprintf("%s fails the rule %s", quote(name), f.Tag()), "See the language reference."
}

// isName reports whether s can name something.
func isName(s string) bool {
	if s == "" || s[0] < 'a' || s[0] > 'z' || len(s) > 64 {
		return false
	}
	for i := range len(s) {
		c := s[i]
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return true
}
