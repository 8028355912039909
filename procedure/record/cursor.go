package record

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"matchmark/procedure/diagnostic"
)

// cursor reads JSON that is known to be well formed, value by value, and keeps
// what is wrong with its place. Reading by shape takes in nothing that has no
// place in a record, however much of it there is.
type cursor struct {
	places places
	data   []byte
	at     int
	// path is where in the record the cursor stands, for messages.
	path   []string
	faults Faults
}

// fault notes what is wrong at a byte of the file.
func (c *cursor) fault(at int, do, format string, args ...any) {
	if len(c.faults) == mostFaults {
		return
	}
	message := fmt.Sprintf(format, args...)
	if len(c.path) > 0 {
		message = strings.Join(c.path, "") + ": " + message
	}
	line, column := c.places.at(min(at, len(c.data)))
	c.faults = append(c.faults, Fault{line, column, message, do})
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

// space passes over white space and returns the byte behind it; 0 at the end.
func (c *cursor) space() byte {
	for c.at < len(c.data) {
		switch b := c.data[c.at]; b {
		case ' ', '\t', '\r', '\n':
			c.at++
		default:
			return b
		}
	}
	return 0
}

// quoted passes over the string that begins here and returns it as it is written.
func (c *cursor) quoted() []byte {
	start := c.at
	for c.at++; c.data[c.at] != '"'; c.at++ {
		if c.data[c.at] == '\\' {
			c.at++
		}
	}
	c.at++
	return c.data[start:c.at]
}

// skip passes over the value that begins here.
func (c *cursor) skip() {
	depth := 0
	for {
		switch c.space() {
		case '{', '[':
			depth++
			c.at++
		case '}', ']':
			depth--
			c.at++
		case ',', ':':
			c.at++
		case '"':
			c.quoted()
		default:
			c.literal()
		}
		if depth == 0 {
			return
		}
	}
}

// literal passes over a number, true, false or null.
func (c *cursor) literal() string {
	start := c.at
	for c.at < len(c.data) && strings.IndexByte(",:]} \t\r\n", c.data[c.at]) < 0 {
		c.at++
	}
	return string(c.data[start:c.at])
}

// string reads a string; ok is false when there is another value.
func (c *cursor) string() (value string, at int, ok bool) {
	first := c.space()
	at = c.at
	if first != '"' {
		c.skip()
		c.fault(at, again, "this is no text")
		return "", at, false
	}
	raw := c.quoted()
	if slices.Contains(raw, '\\') {
		if err := json.Unmarshal(raw, &value); err != nil {
			c.fault(at, again, "this is no text: %v", err)
			return "", at, false
		}
		return value, at, true
	}
	return string(raw[1 : len(raw)-1]), at, true
}

// text reads a string of at most so many characters. Without lines it holds no line breaks.
func (c *cursor) text(into *string, most int, lines bool) {
	value, at, ok := c.string()
	if !ok {
		return
	}
	if n := utf8.RuneCountInString(value); n > most {
		c.fault(at, fmt.Sprintf("Shorten it to %d characters.", most), "the text has %d characters", n)
		return
	}
	if i := strings.IndexFunc(value, func(r rune) bool { return r < ' ' && r != '\t' && !(lines && (r == '\n' || r == '\r')) }); i >= 0 {
		c.fault(at, "Take out what is no letter.", "the text holds the control character %U", value[i])
		return
	}
	*into = value
}

// matching reads a string that must have a form; an empty one may do.
func (c *cursor) matching(into *string, form *regexp.Regexp, empty bool, what string) {
	value, at, ok := c.string()
	switch {
	case !ok:
	case value == "" && empty || form.MatchString(value):
		*into = value
	default:
		c.fault(at, again, "%s is no %s", short(value), what)
	}
}

// oneOf reads a string out of a list.
func oneOf[T ~string](c *cursor, into *T, list []T, what string) {
	value, at, ok := c.string()
	if !ok {
		return
	}
	if !slices.Contains(list, T(value)) {
		var names []string
		for _, x := range list {
			names = append(names, string(x))
		}
		c.fault(at, diagnostic.Suggest(value, names, "Write "+strings.Join(names, ", ")+"."), "%s is no %s", short(value), what)
		return
	}
	*into = T(value)
}

// bool reads true or false.
func (c *cursor) bool(into *bool) {
	switch first := c.space(); first {
	case 't', 'f':
		c.literal()
		*into = first == 't'
	default:
		at := c.at
		c.skip()
		c.fault(at, "Write true or false, without quotation marks.", "this is neither true nor false")
	}
}

// integer reads a whole number between two bounds.
func (c *cursor) integer(into *int64, low, high int64, what string) {
	c.space()
	at := c.at
	c.skip()
	written := string(c.data[at:c.at])
	n, err := strconv.ParseInt(written, 10, 64)
	if err != nil || n < low || n > high {
		c.fault(at, again, "%s is no %s", short(written), what)
		return
	}
	*into = n
}

// fields are what an object may hold, each with what reads it.
type fields map[string]func()

// object reads an object; those that are required must be there.
func (c *cursor) object(known fields, required ...string) {
	start := c.at
	var seen []string
	c.members(func(key string, at int) {
		read, ok := known[key]
		switch {
		case !ok:
			c.fault(at, diagnostic.Suggest(key, names(known), "Read it with the matchmark that wrote it, or take it out."), "there is no %s here", short(key))
			c.skip()
		case slices.Contains(seen, key):
			c.fault(at, "Take one of them out.", "%s is there twice", key)
			c.skip()
		default:
			seen = append(seen, key)
			c.within(key, read)
		}
	})
	for _, key := range required {
		if !slices.Contains(seen, key) {
			c.fault(start, again, "%s is missing", key)
		}
	}
}

// members reads an object member by member; each is called before the value.
func (c *cursor) members(each func(key string, at int)) {
	first := c.space()
	start := c.at
	if first != '{' {
		c.skip()
		c.fault(start, again, "this is no object")
		return
	}
	c.at++
	for c.space() != '}' {
		if c.data[c.at] == ',' {
			c.at++
			c.space()
		}
		key, at, _ := c.string()
		c.space()
		c.at++ // the colon
		c.space()
		each(key, at)
	}
	c.at++
}

// entries reads an object whose keys are names: one of Record's maps.
func entries[T any](c *cursor, into *map[string]T, most int, form *regexp.Regexp, what string, read func(key string, at int, value *T)) {
	out := map[string]T{}
	n := 0
	c.members(func(key string, at int) {
		n++
		_, twice := out[key]
		switch {
		case n == most+1:
			c.fault(at, "Begin a new job.", "there are more than %d", most)
			c.skip()
		case n > most:
			c.skip()
		case !form.MatchString(key):
			c.fault(at, again, "%s is no %s", short(key), what)
			c.skip()
		case twice:
			c.fault(at, "Take one of them out.", "%s is there twice", short(key))
			c.skip()
		default:
			var value T
			c.within(fmt.Sprintf("[%q]", key), func() { read(key, at, &value) })
			out[key] = value
		}
	})
	if len(out) > 0 {
		*into = out
	}
}

// list reads a list of at most so many values.
func (c *cursor) list(most int, each func()) {
	first := c.space()
	start := c.at
	if first != '[' {
		c.skip()
		c.fault(start, again, "this is no list")
		return
	}
	c.at++
	for n := 1; c.space() != ']'; n++ {
		if c.data[c.at] == ',' {
			c.at++
			c.space()
		}
		if n == most+1 {
			c.fault(c.at, again, "there are more than %d", most)
		}
		if n > most {
			c.skip()
			continue
		}
		each()
	}
	c.at++
}

func names(known fields) []string {
	var out []string
	for name := range known {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// short quotes a text for a message, cut to what fits one.
func short(s string) string {
	const most = 40
	if r := []rune(s[:min(len(s), 4*most)]); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return strconv.Quote(s)
}
