package source

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/go-playground/validator/v10"
	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	yamlparser "github.com/goccy/go-yaml/parser"

	"matchmark/procedure/say"
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

// frontMatter is a file's front matter: the text between its lines, and where it stands.
type frontMatter struct {
	yaml text.Span
	// body is where the Markdown starts.
	body int
	tree ast.Node
}

// byteOrderMark is what some editors put at the start of a UTF-8 file.
const byteOrderMark = "\uFEFF"

// splitMatter finds the front matter. ok is false when the file has none;
// unclosed tells that it starts one and never ends it.
func splitMatter(f *text.File) (m frontMatter, ok, unclosed bool) {
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
		return frontMatter{body: start}, false, false
	}
	begin := next
	for next < len(f.Source) {
		from := next
		end, next = line(from)
		if string(bytes.TrimRight(f.Source[from:end], " \t\r")) == "---" {
			return frontMatter{yaml: f.Span(begin, from), body: next}, true, false
		}
	}
	return frontMatter{yaml: f.Span(start, start+3), body: len(f.Source)}, false, true
}

// largestMatter bounds the front matter, in bytes: the time for deeply nested YAML grows with the square of its length.
const largestMatter = 64 << 10

// parseMatter reads the YAML tree; it reports a syntax error and returns false.
func (r *reader) parseMatter(m *frontMatter) bool {
	if m.yaml.End-m.yaml.Start > largestMatter {
		r.report("file-too-large", r.file.Span(m.yaml.Start, m.yaml.Start), say.That("the front matter is larger than 64 KB"), say.That("Shorten it."))
		return false
	}
	src := bytes.ReplaceAll([]byte(m.yaml.Text()), []byte("\r\n"), []byte("\n"))
	if nested(src) {
		r.report("front-matter-syntax", m.yaml, say.That("%matter nests more than %most deep", r.matterName(), say.Count(deepestMatter)), say.That("Write one `name: value` a line."))
		return false
	}
	file, err := yamlparser.ParseBytes(src, 0, yamlparser.AllowDuplicateMapKey())
	switch {
	case err != nil:
		wrong, advice := yamlSyntax(err)
		r.report("front-matter-syntax", m.errorSpan(err), wrong, advice)
	case len(file.Docs) == 0 || file.Docs[0].Body == nil:
		r.report("front-matter-syntax", m.yaml, say.That("%matter says nothing", r.matterName()), say.That("Write one `name: value` a line, a title at least."))
	default:
		m.tree = file.Docs[0].Body
		if _, ok := m.tree.(ast.MapNode); ok {
			return r.withoutSigns(m)
		}
		r.report("front-matter-syntax", m.yaml, say.That("%matter is not a list of `name: value` lines", r.matterName()), say.That("Write one `name: value` a line."))
	}
	return false
}

// withoutSigns reports tags, anchors and aliases: front matter needs none of them, and
// the YAML library does not take each of them well.
func (r *reader) withoutSigns(m *frontMatter) bool {
	var sign signs
	ast.Walk(&sign, m.tree)
	if sign.first == nil {
		return true
	}
	r.report("front-matter-syntax", m.nodeSpan(sign.first), say.That("%matter has a value that begins with %value", r.matterName(), say.Quote(sign.first.GetToken().Value)),
		say.That("Put the value in quotation marks, or take the sign out."))
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
func (r *reader) matterName() say.Part {
	if r.file.Name == settingsFile {
		return say.Word(settingsFile)
	}
	return say.That("the front matter")
}

// decode fills a front-matter struct and checks it. Every fault is reported, and
// ok tells whether there was none; the body is read in any case, so that no
// fault hides another.
func (r *reader) decode(m *frontMatter, into any) (ok bool) {
	known := r.unknownKeys(m, m.tree, reflect.TypeOf(into).Elem())
	options := []yaml.DecodeOption{yaml.AllowDuplicateMapKey()}
	if known {
		options = append(options, yaml.Strict())
	}
	if err := yaml.NodeToValue(m.tree, into, options...); err != nil {
		what, do := typeMismatch(err)
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
func (r *reader) unknownKeys(m *frontMatter, node ast.Node, t reflect.Type) bool {
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
		keys, seen := keysOf(t), map[string]text.Span{}
		for it := n.MapRange(); it.Next(); {
			key, span := keyOf(it.Key()), m.nodeSpan(it.Key())
			if first, twice := seen[key]; twice {
				ok = false
				r.reportSee("front-matter-field", span, say.That("the line %key stands twice", say.Quote(key)), say.That("Keep one of them."), first, say.That("the first one"))
				continue
			}
			seen[key] = span
			if sub, known := keys.types[key]; known {
				ok = r.unknownKeys(m, it.Value(), sub) && ok
				continue
			}
			ok = false
			r.reportNear("front-matter-field", span, say.That("%matter has no line %key", r.matterName(), say.Quote(key)), key, keys.names, oneOf(keys.names))
		}
	}
	return ok
}

// keys are what front matter may say: the names of a struct's fields, in order, and their types.
type keys struct {
	names []string
	types map[string]reflect.Type
}

// knownKeys holds the keys of each struct that was asked for.
var knownKeys sync.Map // of reflect.Type to *keys

func keysOf(t reflect.Type) *keys {
	if known, ok := knownKeys.Load(t); ok {
		return known.(*keys)
	}
	out := &keys{types: map[string]reflect.Type{}}
	for i := range t.NumField() {
		name := t.Field(i).Tag.Get("yaml")
		out.names = append(out.names, name)
		out.types[name] = t.Field(i).Type
	}
	knownKeys.Store(t, out)
	return out
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
func (m *frontMatter) spanOf(path string) text.Span {
	if tree, ok := m.tree.(ast.MapNode); ok && !strings.ContainsAny(path, ".[") {
		for it := tree.MapRange(); it.Next(); {
			if keyOf(it.Key()) == path {
				return m.nodeSpan(it.Value())
			}
		}
		path = "" // it is not there
	}
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

func (m *frontMatter) nodeSpan(n ast.Node) text.Span {
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
func (m *frontMatter) place(line, column, runes int) text.Span {
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

func (m *frontMatter) errorSpan(err error) text.Span {
	var e yaml.Error
	if errors.As(err, &e) {
		if tk := e.GetToken(); tk != nil && tk.Position != nil {
			return m.place(tk.Position.Line, tk.Position.Column, utf8.RuneCountInString(strings.TrimSpace(tk.Origin)))
		}
	}
	return m.yaml
}

// typeMismatch says in plain words why a value has no place in its field, and what to write.
func typeMismatch(err error) (wrong, advice say.Text) {
	var wanted reflect.Kind
	var form *yaml.TypeError
	var size *yaml.OverflowError
	var node *yaml.UnexpectedNodeTypeError
	switch {
	case errors.As(err, &size):
		return say.That("the number %number is too large", say.Name(size.SrcNum)), say.That("Give a smaller value.")
	case errors.As(err, &form):
		wanted = form.DstType.Kind()
	case errors.As(err, &node) && node.Expected == ast.SequenceType:
		wanted = reflect.Slice
	case errors.As(err, &node) && node.Expected == ast.MappingType:
		wanted = reflect.Struct
	}
	switch wanted {
	case reflect.Int, reflect.Int64:
		return say.That("a whole number is wanted here"), say.That("Write digits only, such as 80.")
	case reflect.Float64:
		return say.That("a number is wanted here"), say.That("Write digits only, with a point before decimals, such as 85.")
	case reflect.String:
		return say.That("one value is wanted here, not several"), say.That("Write it behind the name, on the same line.")
	case reflect.Slice:
		return say.That("a list is wanted here"), say.That("Write each thing on a line of its own, with a hyphen and a space before it.")
	case reflect.Struct:
		return say.That("lines of `name: value` are wanted here"), say.That("Write them as the language reference shows.")
	}
	return say.That("this value does not fit"), say.That("Give the value in the form that the language reference shows.")
}

// yamlPath turns the checker's path, "courseFields.sessions[0].title", into the YAML path.
func yamlPath(namespace string) string {
	_, path, _ := strings.Cut(namespace, ".")
	return path
}

// fieldFault says what is wrong with a front-matter value and what to do.
func fieldFault(f validator.FieldError) (wrong, advice say.Text) {
	name := f.Field()
	value := say.Quote(fmt.Sprint(f.Value()))
	switch f.Tag() {
	case "required":
		return say.That("%name is missing", say.Quote(name)), say.That("Add a line `%name: ...`.", say.Word(name))
	case "required_without", "required_without_all":
		return say.That("an item names neither a procedure, a refit nor a quiz"), say.That("Write `- procedure: name`, `- refit: name` or `- quiz: name`.")
	case "required_with":
		return say.That("%name is missing", say.Quote(name)), say.That("A matrix of risks needs both: `chances: [...]`, and `matrix:` with a row for each harm.")
	case "oneof":
		return say.That("%value cannot stand here", value), say.That("Use one of: %words.", say.Word(strings.ReplaceAll(f.Param(), " ", ", ")))
	case "excluded_with":
		return say.That("%name cannot stand beside what else this item names", say.Quote(name)), say.That("Make each thing an item of its own.")
	case "name":
		return say.That("%value is not a name", value), say.That("Use lower-case letters, digits and hyphens, a letter first.")
	case "min":
		return say.That("%name is %value; the least is %limit", say.Quote(name), say.Name(fmt.Sprint(f.Value())), say.Word(f.Param())), say.That("Give a larger value.")
	case "max":
		return say.That("%name is %value; the most is %limit", say.Quote(name), say.Name(fmt.Sprint(f.Value())), say.Word(f.Param())), say.That("Give a smaller value.")
	case "bcp47_language_tag":
		return say.That("%value is not a language", value), say.That("Use a language tag such as en or de.")
	case "http_url":
		return say.That("%value is not a web address", value), say.That("Start the address with http:// or https://.")
	}
	return say.That("%name fails the rule %rule", say.Quote(name), say.Word(f.Tag())), say.That("See the language reference.")
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
