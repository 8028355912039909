package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"regexp"
	"strconv"
	"unicode/utf8"

	"matchmark/procedure/text"
)

// Read reads a record and refuses whatever a tablet cannot have written: unknown
// fields, keys and words, texts and numbers beyond their bounds, photos that are
// not what their names say. The file is UTF-8 with or without a byte-order mark.
// With a fault there is no record; the error is then Faults.
func Read(data []byte) (*Record, error) {
	c := &cursor{places: places{file: text.NewFile("", data)}, data: data}
	if len(data) > MostBytes {
		return nil, Faults{{1, 1, "the file is larger than any job record", "Name a file that a tablet saved."}}
	}
	if bytes.HasPrefix(data, byteOrderMark) {
		c.at = len(byteOrderMark)
	}
	if !c.wellFormed() {
		return nil, c.faults
	}
	out := &Record{Tablets: map[string]Tablet{}}
	c.record(out)
	if len(c.faults) > 0 {
		return nil, c.faults
	}
	return out, nil
}

// wellFormed reports whether the file is JSON in UTF-8, and of a version that can be read.
func (c *cursor) wellFormed() bool {
	own := c.data[c.at:]
	if len(bytes.TrimSpace(own)) == 0 {
		c.fault(len(c.data), again, "the file is empty")
		return false
	}
	for at := 0; at < len(own); {
		r, size := utf8.DecodeRune(own[at:])
		if r == utf8.RuneError && size == 1 {
			c.fault(c.at+at, again, "this is no UTF-8 text")
			return false
		}
		at += size
	}
	var head struct {
		Format  json.RawMessage
		Version json.RawMessage
	}
	err := json.Unmarshal(own, &head)
	var broken *json.SyntaxError
	if errors.As(err, &broken) {
		c.fault(c.at+max(int(broken.Offset)-1, 0), again, "the record is damaged from here on")
		return false
	}
	if string(head.Format) != strconv.Quote(Format) {
		c.fault(c.at, "Name a file that a tablet saved from the closing page of a job.", "this is no job record")
		return false
	}
	if n, err := strconv.Atoi(string(head.Version)); err != nil || n != Version {
		c.fault(c.at, "Read it with the matchmark that made the step page.", "the record is of version %s, and this matchmark reads version %d", short(string(head.Version)), Version)
		return false
	}
	return true
}

// The forms of names. A row's or a step's name is made of what authors may call
// things, and of the page's own underlined names.
var (
	random   = regexp.MustCompile(`^[0-9a-z]{26}$`)
	id       = regexp.MustCompile(`^[a-z0-9_-]{1,200}$`)
	stepKey  = regexp.MustCompile(`^(out|back)/[a-z0-9_-]{1,200}$`)
	workKey  = regexp.MustCompile(`^(out|back)/[a-z0-9_-]{1,200}@[0-9a-z]{26}@[0-9]{1,13}$`)
	findKey  = regexp.MustCompile(`^([0-9a-z]{26}|m-(out|back)/[a-z0-9_-]{1,200})$`)
	photoKey = regexp.MustCompile(`^[0-9a-f]{64}$`)
	content  = regexp.MustCompile(`^[0-9a-f]{16}$`)
	number   = regexp.MustCompile(`^-?[0-9]{1,12}(\.[0-9]{1,9})?$`)
	key      = regexp.MustCompile(`^[0-9a-f]{64}$`)
	seal     = regexp.MustCompile(`^[0-9a-f]{128}$`)
)

// What the forms are called in messages.
const (
	aName    = "name of 26 digits and small letters"
	aStep    = "name of a step"
	aStepKey = "way and step, such as out/hub-off"
	aRowKey  = "way and row, such as out/hub-off--remove-3"
)

// Kinds, Severities and Ways are the words that a finding may use, each list in the order of record.go.
var (
	Kinds      = []Kind{Damaged, Worn, Missing, Leaking, Contaminated, WrongPart, BadRepair}
	Severities = []Severity{StopsWork, BeforeRefit, Watch}
	Ways       = []Way{Out, Back}
)

func (c *cursor) record(r *Record) {
	c.object(fields{
		"format":    func() { r.Format, _, _ = c.string() },
		"version":   func() { c.skip(); r.Version = Version },
		"job":       func() { c.matching(&r.Job, random, false, aName) },
		"machine":   func() { c.entry(&r.Machine.Stamp, func() { c.text(&r.Machine.Value, LongestName, false) }) },
		"procedure": func() { c.matching(&r.Procedure, id, false, "name of a procedure") },
		"variant":   func() { c.matching(&r.Variant, id, true, "name of a variant") },
		"edition":   func() { c.text(&r.Edition, LongestName, false) },
		"content":   func() { c.matching(&r.Content, content, false, "hash of 16 hexadecimal digits") },
		"tablets": func() {
			entries(c, &r.Tablets, MostTablets, random, aName, func(_ string, _ int, t *Tablet) { c.tablet(t) })
		},
		"passed": func() {
			entries(c, &r.Passed, MostEntries, stepKey, aStepKey, func(_ string, _ int, e *Entry[bool]) { c.tick(e) })
		},
		"ticks": func() {
			entries(c, &r.Ticks, MostEntries, stepKey, aRowKey, func(_ string, _ int, e *Entry[bool]) { c.tick(e) })
		},
		"work": func() {
			entries(c, &r.Work, MostEntries, workKey, "way, step, tablet and begin", c.spell)
		},
		"confirmed": func() {
			entries(c, &r.Confirmed, MostEntries, stepKey, aRowKey, func(_ string, _ int, e *Confirmation) { c.confirmation(e) })
		},
		"signed": func() {
			entries(c, &r.Signed, MostEntries, stepKey, aRowKey, func(_ string, _ int, s *Signature) { c.signature(s) })
		},
		"measured": func() {
			entries(c, &r.Measured, MostEntries, stepKey, aRowKey, func(_ string, _ int, m *Measurement) { c.measurement(m) })
		},
		"findings": func() {
			entries(c, &r.Findings, MostFindings, findKey, "name of a finding", func(_ string, _ int, f *Finding) { c.finding(f) })
		},
		"repairs": func() {
			entries(c, &r.Repairs, MostFindings, findKey, "name of a finding", func(_ string, _ int, x *Repair) { c.repair(x) })
		},
		"photos": func() {
			entries(c, &r.Photos, MostPhotos, photoKey, "SHA-256 in hexadecimal", c.photo)
		},
	}, "format", "version", "job", "machine", "procedure", "edition", "content", "tablets")
}

// stamped adds a stamp's fields to those of an entry.
func (c *cursor) stamped(s *Stamp, known fields) fields {
	known["at"] = func() { c.moment(&s.At) }
	known["tablet"] = func() { c.matching(&s.Tablet, random, false, aName) }
	known["by"] = func() { c.text(&s.By, LongestName, false) }
	return known
}

// moment reads milliseconds since 1970. The clock of a tablet may be wrong by
// years, but a stamp of the far future would stand above all that comes.
func (c *cursor) moment(into *int64) {
	c.integer(into, 0, LatestMoment, "time in milliseconds since 1970, at most "+strconv.FormatInt(LatestMoment, 10))
}

func (c *cursor) entry(s *Stamp, value func()) {
	c.object(c.stamped(s, fields{"value": value}), "value", "at", "tablet")
}

func (c *cursor) tick(e *Entry[bool]) { c.entry(&e.Stamp, func() { c.bool(&e.Value) }) }

func (c *cursor) tablet(t *Tablet) {
	c.object(c.stamped(&t.Stamp, fields{
		"learner": func() { c.text(&t.Learner, LongestName, false) },
		"way":     func() { oneOf(c, &t.Way, Ways, "way") },
		"step":    func() { c.matching(&t.Step, id, true, aStep) },
		"waits":   func() { c.matching(&t.Waits, id, true, "name of a row") },
	}), "learner", "way", "step", "at", "tablet")
}

func (c *cursor) spell(key string, at int, s *Spell) {
	before := len(c.faults)
	c.object(fields{
		"from": func() { c.moment(&s.From) },
		"to":   func() { c.moment(&s.To) },
	}, "from", "to")
	switch _, _, _, from, _ := SplitWork(key); {
	case len(c.faults) > before:
	case s.To < s.From:
		c.fault(at, again, "the work ends before it begins")
	case from != s.From:
		c.fault(at, again, "the key says that the work begins at %d, and the entry says %d", from, s.From)
	}
}

func (c *cursor) confirmation(e *Confirmation) {
	c.object(c.stamped(&e.Stamp, fields{
		"given": func() { c.bool(&e.Given) },
		"text":  func() { c.text(&e.Text, LongestName, false) },
	}), "given", "at", "tablet")
}

func (c *cursor) signature(s *Signature) {
	c.object(fields{
		"who":     func() { c.text(&s.Who, LongestName, false) },
		"at":      func() { c.moment(&s.At) },
		"content": func() { c.matching(&s.Content, content, true, "hash of 16 hexadecimal digits") },
		"key":     func() { c.matching(&s.Key, key, false, "key of 64 hexadecimal digits") },
		"seal":    func() { c.matching(&s.Seal, seal, false, "seal of 128 hexadecimal digits") },
	}, "who", "at", "key", "seal")
}

func (c *cursor) measurement(m *Measurement) {
	c.object(c.stamped(&m.Stamp, fields{
		"look":  func() { c.text(&m.Look, LongestText, true) },
		"thing": func() { c.text(&m.Thing, LongestName, false) },
		"value": func() { c.matching(&m.Value, number, true, "number with a decimal point") },
		"unit":  func() { c.text(&m.Unit, LongestName, false) },
		"low":   func() { c.text(&m.Low, LongestName, false) },
		"high":  func() { c.text(&m.High, LongestName, false) },
	}), "look", "thing", "value", "unit", "at", "tablet")
}

func (c *cursor) finding(f *Finding) {
	c.object(c.stamped(&f.Stamp, fields{
		"way":       func() { oneOf(c, &f.Way, Ways, "way") },
		"step":      func() { c.matching(&f.Step, id, false, aStep) },
		"thing":     func() { c.matching(&f.Thing, id, true, "name of a thing") },
		"other":     func() { c.text(&f.Other, LongestName, false) },
		"name":      func() { c.text(&f.Name, LongestName, false) },
		"kind":      func() { oneOf(c, &f.Kind, Kinds, "kind of finding") },
		"severity":  func() { oneOf(c, &f.Severity, Severities, "severity") },
		"words":     func() { c.text(&f.Words, LongestText, true) },
		"repair":    func() { c.text(&f.Repair, LongestText, true) },
		"before":    func() { c.matching(&f.Before, id, true, aStep) },
		"measured":  func() { c.matching(&f.Measured, stepKey, true, aRowKey) },
		"withdrawn": func() { c.bool(&f.Withdrawn) },
		"found":     func() { c.moment(&f.Found) },
		"photos": func() {
			c.list(MostPhotos, func() {
				var name string
				if c.matching(&name, photoKey, false, "SHA-256 in hexadecimal"); name != "" {
					f.Photos = append(f.Photos, name)
				}
			})
		},
	}), "way", "step", "name", "kind", "severity", "found", "at", "tablet")
}

func (c *cursor) repair(x *Repair) {
	c.object(c.stamped(&x.Stamp, fields{
		"done": func() { c.bool(&x.Done) },
		"note": func() { c.text(&x.Note, LongestText, true) },
	}), "done", "at", "tablet")
}
