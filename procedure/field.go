package procedure

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// The types of the model declare their fields once, as fields of a struct. Whoever compares,
// copies, looks through or reads a block, a step, a row or a question walks these, so that a
// new field is in all of that from the start. Places in the source are no fields. The tags are:
//
//	word:"about"     what the dialect calls the field; otherwise its name with hyphens: OutOnly is out-only
//	word:"-"         no field of its own: it follows from others, or leads to something that is declared elsewhere
//	refers:"thing"   what the field's names lead to

// Field is one declared field.
type Field struct {
	Word string
	// Refers is what its names lead to: thing, figure, step, variant or kinds of thing with commas between them; empty when it holds none.
	Refers string
	index  []int
}

// ofThings reports whether the field's names are those of registered things.
func (f *Field) ofThings() bool {
	return f.Refers != "step" && f.Refers != "trade" && f.Refers != "figure" && f.Refers != "variant"
}

var (
	spanType     = reflect.TypeFor[text.Span]()
	fileType     = reflect.TypeFor[*text.File]()
	proseType    = reflect.TypeFor[Prose]()
	quantityType = reflect.TypeFor[measure.Quantity]()
	blockType    = reflect.TypeFor[Block]()
	// values are the structs that are one field, not a group of fields.
	values = []reflect.Type{proseType, quantityType, reflect.TypeFor[Ref](), reflect.TypeFor[Estimate]()}
)

// declared holds the fields of each type that was asked for.
var declared sync.Map // of reflect.Type to []Field

// FieldsOf lists the declared fields of a struct, in order. Those of a group inside it stand in the group's place.
func FieldsOf(t reflect.Type) []Field {
	if known, ok := declared.Load(t); ok {
		return known.([]Field)
	}
	var out []Field
	for i := range t.NumField() {
		f := t.Field(i)
		word := f.Tag.Get("word")
		switch {
		case !f.IsExported() && !f.Anonymous, word == "-", f.Type == spanType, f.Type == fileType:
		case f.Type.Kind() == reflect.Struct && !slices.Contains(values, f.Type):
			for _, inner := range FieldsOf(f.Type) {
				inner.index = append([]int{i}, inner.index...)
				out = append(out, inner)
			}
		default:
			if word == "" {
				word = hyphenated(f.Name)
			}
			out = append(out, Field{Word: word, Refers: f.Tag.Get("refers"), index: []int{i}})
		}
	}
	declared.Store(t, out)
	return out
}

// hyphenated writes a name in Go as a word of the dialect: OutOnly as out-only, ID as id.
func hyphenated(name string) string {
	var b strings.Builder
	for i, c := range name {
		if upper := c >= 'A' && c <= 'Z'; upper && i > 0 && name[i-1] >= 'a' {
			b.WriteByte('-')
		}
		b.WriteRune(c)
	}
	return strings.ToLower(b.String())
}

// EachField calls f with each declared field of the struct that v points to, and a pointer to the field's value.
func EachField(v any, f func(field *Field, value any)) {
	x := reflect.ValueOf(v).Elem()
	fields := FieldsOf(x.Type())
	for i := range fields {
		f(&fields[i], fields[i].In(x).Addr().Interface())
	}
}

// Fingerprint writes down all declared fields of the struct that v points to, and what is declared inside them. Two things with one fingerprint look the
// same on every page.
func Fingerprint(v any) string { return string(appendKey(nil, reflect.ValueOf(v))) }

func appendKey(b []byte, v reflect.Value) []byte {
	word := func(s string) { b = append(append(strconv.AppendInt(b, int64(len(s)), 10), ':'), s...) }
	switch t := v.Type(); {
	case t == proseType:
		p := v.Addr().Interface().(*Prose)
		for i := range p.Nodes {
			n := &p.Nodes[i]
			b = append(b, byte(n.Kind), n.Level)
			b = strconv.AppendInt(b, int64(n.Inside), 10)
			word(n.To)
			word(n.Text)
		}
	case t == quantityType:
		word(v.Addr().Interface().(*measure.Quantity).String())
	case t == blockType:
		word(v.Interface().(Block).Kind().Label())
		return appendKey(b, v.Elem())
	default:
		switch v.Kind() {
		case reflect.Struct:
			for _, f := range FieldsOf(t) {
				b = appendKey(b, f.In(v))
			}
		case reflect.Slice:
			b = append(strconv.AppendInt(b, int64(v.Len()), 10), '[')
			for i := range v.Len() {
				b = appendKey(b, v.Index(i))
			}
		case reflect.Pointer:
			if v.IsNil() {
				return append(b, '-')
			}
			return appendKey(b, v.Elem())
		case reflect.String:
			word(v.String())
		case reflect.Bool:
			b = strconv.AppendBool(b, v.Bool())
		case reflect.Int, reflect.Int64:
			b = strconv.AppendInt(b, v.Int(), 10)
		case reflect.Float64:
			b = strconv.AppendUint(b, math.Float64bits(v.Float()), 16)
		default:
			panic(fmt.Sprintf("a field of the type %s cannot be compared", t)) // a new type of field needs a case
		}
	}
	return append(b, ' ')
}

// Texts returns the block's pieces of prose, in order.
func Texts(b Block) []*Prose { return appendTexts(nil, reflect.ValueOf(b).Elem()) }

func appendTexts(out []*Prose, v reflect.Value) []*Prose {
	switch v.Kind() {
	case reflect.Struct:
		if v.Type() == proseType {
			return append(out, v.Addr().Interface().(*Prose))
		}
		if slices.Contains(values, v.Type()) {
			return out
		}
		for _, f := range FieldsOf(v.Type()) {
			out = appendTexts(out, f.In(v))
		}
	case reflect.Slice:
		for i := range v.Len() {
			out = appendTexts(out, v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return appendTexts(out, v.Elem())
		}
	}
	return out
}

// Clone returns a copy of the block whose prose and lists can be changed without changing the block.
func Clone(b Block) Block {
	out := reflect.New(reflect.TypeOf(b).Elem())
	out.Elem().Set(reflect.ValueOf(b).Elem())
	own(out.Elem())
	return out.Interface().(Block)
}

// own gives a copied struct lists of its own.
func own(v reflect.Value) {
	for _, f := range FieldsOf(v.Type()) {
		list := f.In(v)
		if list.Kind() != reflect.Slice || list.IsNil() {
			continue
		}
		copied := reflect.MakeSlice(list.Type(), list.Len(), list.Len())
		reflect.Copy(copied, list)
		list.Set(copied)
		for i := range copied.Len() {
			if x := copied.Index(i); x.Kind() == reflect.Pointer {
				p := reflect.New(x.Type().Elem())
				p.Elem().Set(x.Elem())
				x.Set(p)
			}
		}
	}
}

// In returns the field's value in a struct of the type that declares it.
func (f *Field) In(v reflect.Value) reflect.Value { return v.FieldByIndex(f.index) }
