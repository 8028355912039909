package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// cursor reads JSON that is known to be well formed, value by value, into what a struct
// declares, and keeps what is wrong with its place. Reading by shape takes in nothing
// that has no place in a record, however much of it there is.
type cursor struct {
	places places
	// data is the text of the file and from where in the file it begins, behind a byte-order mark.
	data   []byte
	from   int
	tokens *jsontext.Decoder
	// path is where in the record the cursor stands, for messages.
	path   []string
	faults diagnostic.Faults
}

func newCursor(file []byte) *cursor {
	data := bytes.TrimPrefix(file, byteOrderMark)
	return &cursor{
		places: places{file: text.NewFile("", file)}, data: data, from: len(file) - len(data),
		tokens: jsontext.NewDecoder(bytes.NewBuffer(data), jsontext.AllowDuplicateNames(true), jsontext.AllowInvalidUTF8(true)),
	}
}

// fault notes what is wrong at a byte of the text.
func (c *cursor) fault(at int, wrong, advice say.Text) {
	if len(c.faults) == mostFaults {
		return
	}
	if len(c.path) > 0 {
		wrong = say.That("%path: %wrong", say.Word(strings.Join(c.path, "")), wrong)
	}
	d := diagnostic.Diagnostic{Severity: diagnostic.Error, Wrong: wrong, Advice: advice}
	d.Place.Line, d.Place.Column = c.places.at(c.from + min(at, len(c.data)))
	c.faults = append(c.faults, d)
}

// suggest is the advice on a word that is none of the candidates.
func suggest(word string, candidates []string, otherwise say.Text) say.Text {
	advice, _ := diagnostic.Suggest(text.Span{}, word, candidates, otherwise)
	return advice
}

// within reads a value as a part of the one that the cursor stands in.
func (c *cursor) within(part string, read func()) {
	if len(c.path) > 0 && part[0] != '[' {
		part = "." + part
	}
	c.path = append(c.path, part)
	read()
	c.path = c.path[:len(c.path)-1]
}

// next is where the next key or value begins. Errors of the decoder are looked at nowhere:
// the text was read once already, and is well formed.
func (c *cursor) next() int {
	at := int(c.tokens.InputOffset())
	for strings.IndexByte(",: \t\r\n", c.data[at]) >= 0 {
		at++
	}
	return at
}

// opens goes into an object or a list.
func (c *cursor) opens(with byte, otherwise say.Text) bool {
	if at := c.next(); c.data[at] != with {
		c.skip()
		c.fault(at, otherwise, again)
		return false
	}
	_, _ = c.tokens.ReadToken()
	return true
}

// skip passes over a value and returns it as it is written, until something else is read, and where.
func (c *cursor) skip() (written jsontext.Value, at int) {
	written, _ = c.tokens.ReadValue()
	return written, int(c.tokens.InputOffset()) - len(written)
}

// value reads a value of a form.
func (c *cursor) value(v reflect.Value, is string) {
	is, empty := strings.CutSuffix(is, "?")
	switch f := forms[is]; v.Kind() {
	case reflect.Struct:
		c.object(v)
	case reflect.Map:
		c.entries(v, f)
	case reflect.Slice:
		c.list(v, is)
	case reflect.String:
		c.string(v, f, empty)
	case reflect.Bool:
		written, at := c.skip()
		if written[0] != 't' && written[0] != 'f' {
			c.fault(at, say.That("this is neither true nor false"), say.That("Write true or false, without quotation marks."))
		}
		v.SetBool(written[0] == 't')
	default:
		written, at := c.skip()
		n, err := strconv.ParseInt(string(written), 10, 64)
		if err != nil || n < f.low || n > f.high {
			c.fault(at, say.That("%value is no %kind", say.Word(short(string(written))), say.Word(f.what)), again)
		}
		if is == "moment" {
			n = min(max(n, 0), LatestMoment)
		}
		v.SetInt(n)
	}
}

// string reads a string.
func (c *cursor) string(v reflect.Value, f form, empty bool) {
	written, at := c.skip()
	if written[0] != '"' {
		c.fault(at, say.That("this is no text"), again)
		return
	}
	value := string(written[1 : len(written)-1])
	if strings.Contains(value, `\`) {
		_ = json.Unmarshal(written, &value)
	}
	v.SetString(value)
	if empty && value == "" || len(c.faults) == mostFaults {
		return
	}
	if f.words != nil && !slices.Contains(f.words, value) {
		c.fault(at, say.That("%value is no %kind", say.Word(short(value)), say.Word(f.what)), suggest(value, f.words, say.That("Write %names.", say.Each[say.Word](say.Commas, f.words))))
	}
	if f.like != nil && !f.like.MatchString(value) {
		c.fault(at, say.That("%value is no %kind", say.Word(short(value)), say.Word(f.what)), again)
	}
	if f.longest == 0 {
		return
	}
	if n := utf8.RuneCountInString(value); n > f.longest {
		c.fault(at, say.That("the text has %number characters", say.Count(n)), say.That("Shorten it to %most characters.", say.Count(f.longest)))
	} else if i := strings.IndexFunc(value, func(r rune) bool { return r < ' ' && r != '\t' && !(f.lines && (r == '\n' || r == '\r')) }); i >= 0 {
		c.fault(at, say.That("the text holds the control character %character", say.Word(fmt.Sprintf("%U", value[i]))), say.That("Take out what is no letter."))
	}
}

// object reads an object into a struct; those of its fields that are never left out must be there.
func (c *cursor) object(v reflect.Value) {
	start, s := c.next(), shapes[v.Type()]
	seen := make([]bool, len(s.fields))
	c.members(func(key string, at int) {
		i := slices.Index(s.names, key)
		switch {
		case i < 0:
			c.unknown(at, key, s.names)
			c.skip()
		case seen[i]:
			c.fault(at, say.That("%key is there twice", say.Word(key)), say.That("Take one of them out."))
			c.skip()
		default:
			seen[i] = true
			c.within(key, func() { c.value(v.FieldByIndex(s.fields[i].Index), s.fields[i].Tag.Get("is")) })
		}
	})
	for i, f := range s.fields {
		if !seen[i] && !strings.HasSuffix(f.Tag.Get("json"), ",omitempty") {
			c.fault(start, say.That("%key is missing", say.Word(s.names[i])), again)
		}
	}
}

// unknown notes a field that has no place here. The search for the one that was meant is left out
// where the fault would be too: a file may hold nothing but such fields.
func (c *cursor) unknown(at int, key string, known []string) {
	if len(c.faults) < mostFaults {
		c.fault(at, say.That("there is no %key here", say.Word(short(key))), suggest(key, slices.Sorted(slices.Values(known)), say.That("Read it with the matchmark that wrote it, or take it out.")))
	}
}

// members reads an object member by member; each is called before the value, and reads it.
func (c *cursor) members(each func(key string, at int)) {
	if !c.opens('{', say.That("this is no object")) {
		return
	}
	for c.tokens.PeekKind() == '"' {
		at := c.next()
		key, _ := c.tokens.ReadToken()
		each(key.String(), at)
	}
	_, _ = c.tokens.ReadToken()
}

// entries reads an object whose keys are names: one of Record's maps.
func (c *cursor) entries(v reflect.Value, keys form) {
	out := reflect.MakeMap(v.Type())
	n := 0
	c.members(func(key string, at int) {
		n++
		name := reflect.ValueOf(key)
		switch {
		case n == keys.most+1:
			c.fault(at, say.That("there are more than %most", say.Count(keys.most)), say.That("Begin a new job."))
			c.skip()
		case n > keys.most:
			c.skip()
		case !keys.like.MatchString(key):
			c.fault(at, say.That("%key is no %kind", say.Word(short(key)), say.Word(keys.what)), again)
			c.skip()
		case out.MapIndex(name).IsValid():
			c.fault(at, say.That("%key is there twice", say.Word(short(key))), say.That("Take one of them out."))
			c.skip()
		default:
			value := reflect.New(v.Type().Elem())
			c.within(fmt.Sprintf("[%q]", key), func() { c.entry(key, at, value) })
			out.SetMapIndex(name, value.Elem())
		}
	})
	if out.Len() > 0 {
		v.Set(out)
	}
}

// entry reads one entry of a map. Where nothing is wrong with it by itself, it says itself whether it fits its key.
func (c *cursor) entry(key string, at int, value reflect.Value) {
	before := len(c.faults)
	c.object(value.Elem())
	if x, ok := value.Interface().(interface{ wrong(key string) *say.Text }); ok && len(c.faults) == before {
		if wrong := x.wrong(key); wrong != nil {
			c.fault(at, *wrong, again)
		}
	}
}

// list reads a list of names.
func (c *cursor) list(v reflect.Value, is string) {
	if !c.opens('[', say.That("this is no list")) {
		return
	}
	most := forms[is].most
	for n := 1; c.tokens.PeekKind() != ']'; n++ {
		if n == most+1 {
			c.fault(c.next(), say.That("there are more than %most", say.Count(most)), again)
		}
		if n > most {
			c.skip()
			continue
		}
		name := reflect.New(v.Type().Elem()).Elem()
		c.value(name, is)
		v.Set(reflect.Append(v, name))
	}
	_, _ = c.tokens.ReadToken()
}

// shape is what an object holds, in the order of its struct's fields.
type shape struct {
	fields []reflect.StructField
	names  []string
}

// shapes are those of a record and of all that it holds.
var shapes = shapesIn(reflect.TypeFor[Record](), map[reflect.Type]shape{})

func shapesIn(t reflect.Type, all map[reflect.Type]shape) map[reflect.Type]shape {
	var s shape
	for _, f := range reflect.VisibleFields(t) {
		if f.Anonymous {
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		s.fields, s.names = append(s.fields, f), append(s.names, name)
		of := f.Type
		if of.Kind() == reflect.Map {
			of = of.Elem()
		}
		if of.Kind() == reflect.Struct {
			shapesIn(of, all)
		}
	}
	all[t] = s
	return all
}

// short quotes a text for a message, cut to what fits one.
func short(s string) string {
	const most = 40
	if r := []rune(s[:min(len(s), 4*most)]); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return strconv.Quote(s)
}
