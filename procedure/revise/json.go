package revise

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"matchmark/procedure/say"
)

// ReadJSON reads records as an object with one list:
//
//	{"times": [
//	  {"step": "hub-off", "minutes": 9.5, "procedure": "mixer-gearbox-out", "variant": "belt", "repetition": 1},
//	  {"step": "hub-off", "minutes": 41, "interrupted": true}
//	]}
//
// The keys mean what the columns of ReadCSV mean; step and minutes are required.
// minutes and repetition are numbers, interrupted is true or false, all others are
// strings. The file is UTF-8 with or without a byte-order mark. The error is diagnostic.Faults.
func ReadJSON(data []byte) ([]Record, error) {
	r := newReading(data)
	o := &object{reading: r, from: json.NewDecoder(bytes.NewReader(r.own()))}
	o.top()
	return r.result()
}

// object reads one JSON file.
type object struct {
	*reading
	from *json.Decoder
}

var shape = say.That(`Write {"times": [{"step": "hub-off", "minutes": 9.5}]}.`)

// at is the byte where the next value begins.
func (o *object) at() int {
	i := o.start + int(o.from.InputOffset())
	for i < len(o.file.Source) && strings.IndexByte(" \t\r\n,:", o.file.Source[i]) >= 0 {
		i++
	}
	return i
}

// delimiter reads one of { } [ ].
func (o *object) delimiter(want json.Delim, wrong say.Text) bool {
	at := o.at()
	token, err := o.from.Token()
	if err != nil {
		o.broken(err, at)
		return false
	}
	if token != want {
		o.fault(at, wrong, shape)
		return false
	}
	return true
}

// broken notes what the decoder cannot read at a byte of the file.
func (o *object) broken(err error, at int) {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		o.fault(len(o.file.Source), say.That("the file ends too early"), shape)
		return
	}
	o.fault(at, say.That("the file cannot be read as JSON from here on"), say.That("Check the commas, braces and quotation marks up to here."))
}

// within returns where in the value that begins at a byte the JSON is broken. The
// decoder does not say; reading the value once more does. The offset of its error
// counts the bytes read, the wrong one included.
func (o *object) within(at int) int {
	var syntax *json.SyntaxError
	if err := json.Unmarshal(o.file.Source[at:], new(json.RawMessage)); errors.As(err, &syntax) {
		return at + max(int(syntax.Offset)-1, 0)
	}
	return at
}

func (o *object) top() {
	if !o.delimiter('{', say.That("the file does not hold an object")) {
		return
	}
	found := false
	for o.from.More() {
		at := o.at()
		key, err := o.from.Token()
		if err != nil {
			o.broken(err, at)
			return
		}
		if key != "times" {
			o.fault(at, say.That("there is no key %key here", say.Quote(short(fmt.Sprint(key)))), shape)
			return
		}
		if found {
			o.fault(at, say.That("the list of times is there twice"), say.That("Put all times into one list."))
			return
		}
		if found = true; !o.list() {
			return
		}
	}
	if !o.delimiter('}', say.That("the object does not end here")) {
		return
	}
	if at := o.at(); at < len(o.file.Source) {
		o.fault(at, say.That("the file goes on after its end"), say.That("Take out what follows the last brace."))
		return
	}
	if !found {
		o.fault(o.start, say.That("the list of times is missing"), shape)
	}
}

// list reads the records; false when it cannot go on.
func (o *object) list() bool {
	if !o.delimiter('[', say.That("the times are no list")) {
		return false
	}
	for o.from.More() {
		at := o.at()
		var raw json.RawMessage
		if err := o.from.Decode(&raw); err != nil {
			o.broken(err, o.within(at))
			return false
		}
		o.record(at, raw)
	}
	return o.delimiter(']', say.That("the list does not end here"))
}

// record reads one record that begins at a byte of the file.
func (o *object) record(at int, raw json.RawMessage) {
	var values map[string]json.RawMessage
	if err := json.Unmarshal(raw, &values); err != nil || values == nil {
		o.fault(at, say.That("a time is no object"), shape)
		return
	}
	before := len(o.faults)
	out := Record{Line: o.file.LineOf(at)}
	into := map[string]any{
		"step": &out.Step, "minutes": &out.Minutes, "procedure": &out.Procedure, "variant": &out.Variant, "team": &out.Team,
		"repetition": &out.Repetition, "interrupted": &out.Interrupted, "note": new(string),
	}
	var names []string
	for name := range values {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		target, ok := into[name]
		if !ok {
			o.fault(at, say.That("there is no key %key", say.Quote(short(name))), unknown(name))
		} else if err := json.Unmarshal(values[name], target); err != nil || string(values[name]) == "null" {
			o.fault(at, say.That("%key cannot be %value", say.Word(name), say.Name(short(string(values[name])))), kinds[name])
		}
	}
	for _, name := range fields[:2] {
		if _, ok := values[name]; !ok {
			o.fault(at, say.That("the key %key is missing", say.Word(name)), shape)
		}
	}
	if len(o.faults) > before {
		return
	}
	if out.Step == "" {
		o.fault(at, say.That("the step is empty"), say.That("Write the name of the step that was timed."))
	} else if wrong, advice := out.inRange(); !wrong.Empty() {
		o.fault(at, wrong, advice)
	} else {
		o.records = append(o.records, out)
	}
}

// kinds say what to write for each key.
var kinds = map[string]say.Text{
	"step":        say.That(`Write the step's name in quotation marks.`),
	"procedure":   say.That(`Write the procedure's name in quotation marks.`),
	"variant":     say.That(`Write the variant's name in quotation marks.`),
	"team":        say.That(`Write the team's name in quotation marks.`),
	"note":        say.That(`Write a text in quotation marks.`),
	"minutes":     say.That(`Write a number without quotation marks, such as 8.5.`),
	"repetition":  say.That(`Write a whole number without quotation marks, such as 1.`),
	"interrupted": say.That(`Write true or false, without quotation marks.`),
}
