package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strconv"
	"unicode/utf8"

	"matchmark/procedure/say"
)

// Read reads a record and refuses whatever a tablet cannot have written: unknown
// fields, keys and words, texts and numbers beyond their bounds, photos that are
// not what their names say. The file is UTF-8 with or without a byte-order mark.
// With a fault there is no record; the error is then diagnostic.Faults.
func Read(data []byte) (*Record, error) {
	c := newCursor(data)
	if len(data) > MostBytes {
		c.fault(0, say.That("the file is larger than any job record"), say.That("Name a file that a tablet saved."))
		return nil, c.faults
	}
	if !c.wellFormed() {
		return nil, c.faults
	}
	out := &Record{Tablets: map[string]Tablet{}}
	c.object(reflect.ValueOf(out).Elem())
	if len(c.faults) > 0 {
		return nil, c.faults
	}
	out.Version = Version
	return out, nil
}

// wellFormed reports whether the file is JSON in UTF-8, and of a version that can be read.
func (c *cursor) wellFormed() bool {
	if len(bytes.TrimSpace(c.data)) == 0 {
		c.fault(len(c.data), say.That("the file is empty"), again)
		return false
	}
	for at := 0; at < len(c.data); {
		r, size := utf8.DecodeRune(c.data[at:])
		if r == utf8.RuneError && size == 1 {
			c.fault(at, say.That("this is no UTF-8 text"), again)
			return false
		}
		at += size
	}
	var head struct {
		Format  json.RawMessage
		Version json.RawMessage
	}
	err := json.Unmarshal(c.data, &head)
	var broken *json.SyntaxError
	if errors.As(err, &broken) {
		c.fault(max(int(broken.Offset)-1, 0), say.That("the record is damaged from here on"), again)
		return false
	}
	if string(head.Format) != strconv.Quote(Format) {
		c.fault(0, say.That("this is no job record"), say.That("Name a file that a tablet saved from the closing page of a job."))
		return false
	}
	if n, err := strconv.Atoi(string(head.Version)); err != nil || n < 1 || n > Version {
		c.fault(0, say.That("the record is of version %version, and this matchmark reads versions up to %known", say.Word(short(string(head.Version))), say.Count(Version)), say.That("Read it with the matchmark that made the step page."))
		return false
	}
	return true
}

// Kinds, Severities and Ways are the words that a finding may use, each list in the order of record.go.
var (
	Kinds      = []Kind{Damaged, Worn, Missing, Leaking, Contaminated, WrongPart, BadRepair}
	Severities = []Severity{StopsWork, BeforeRefit, Watch}
	Phases     = []Phase{Removal, Refitting}
)

// form is what a value must be like.
type form struct {
	// what it is called in messages.
	what string
	// like is how a name is written; nil for running text.
	like *regexp.Regexp
	// words are all that there are.
	words []string
	// longest is how many characters a text has at most, 0 for any; with lines it may hold line breaks.
	longest int
	lines   bool
	// low and high bound a whole number.
	low, high int64
	// most is how many of them a list holds, or a map by such keys.
	most int
}

// forms are the forms by the words that the fields of a record use for them. A row's or a step's name
// is made of what authors may call things, and of the page's own underlined names.
var forms = map[string]form{
	"any":           {},
	"name":          {longest: LongestName},
	"text":          {longest: LongestText, lines: true},
	"lines":         {longest: LongestLines, lines: true},
	"random":        {what: aName, like: regexp.MustCompile(random)},
	"procedure":     {what: "name of a procedure", like: regexp.MustCompile(id)},
	"variant":       {what: "name of a variant", like: regexp.MustCompile(id)},
	"step":          {what: "name of a step", like: regexp.MustCompile(id)},
	"waits":         {what: "name of a row", like: regexp.MustCompile(id)},
	"thing":         {what: "name of a thing", like: regexp.MustCompile(id)},
	"content":       {what: "hash of 16 hexadecimal digits", like: regexp.MustCompile(`^[0-9a-f]{16}$`)},
	"number":        {what: "number with a decimal point", like: regexp.MustCompile(`^-?[0-9]{1,12}(\.[0-9]{1,9})?$`)},
	"key":           {what: "key of 64 hexadecimal digits", like: regexp.MustCompile(`^[0-9a-f]{64}$`)},
	"seal":          {what: "seal of 128 hexadecimal digits", like: regexp.MustCompile(`^[0-9a-f]{128}$`)},
	"salt":          {what: "salt of 32 hexadecimal digits", like: regexp.MustCompile(`^[0-9a-f]{32}$`)},
	"tablet":        {what: aName, like: regexp.MustCompile(random), most: MostTablets},
	"step of a way": {what: "way and step, such as out/hub-off", like: regexp.MustCompile(ofWay), most: MostEntries},
	"row":           {what: "way and row, such as out/hub-off--remove-3", like: regexp.MustCompile(ofWay), most: MostEntries},
	"hold":          {what: "way and row, such as out/hub-off--sign, or stop and the name of a finding", like: regexp.MustCompile(`^((out|back)/[a-z0-9_-]{1,200}|stop/([0-9a-z]{26}|m-(out|back)/[a-z0-9_-]{1,200}))$`), most: MostEntries},
	"work":          {what: "way, step, tablet and begin", like: regexp.MustCompile(`^(out|back)/[a-z0-9_-]{1,200}@[0-9a-z]{26}@[0-9]{1,13}$`), most: MostEntries},
	"finding":       {what: "name of a finding", like: regexp.MustCompile(`^([0-9a-z]{26}|m-(out|back)/[a-z0-9_-]{1,200})$`), most: MostFindings},
	"photo":         {what: "SHA-256 in hexadecimal", like: regexp.MustCompile(`^[0-9a-f]{64}$`), most: MostPhotos},
	"photo type":    {what: "type of photo", words: []string{PhotoType}},
	"way":           {what: "way", words: wordsOf(Phases)},
	"kind":          {what: "kind of finding", words: wordsOf(Kinds)},
	"severity":      {what: "severity", words: wordsOf(Severities)},
	"version":       {what: "version", low: 1, high: Version},
	"form":          {what: "form of signature", high: SealedForm},
	"side":          {what: fmt.Sprintf("number of pixels from 1 to %d", LongestSide), low: 1, high: LongestSide},
	// The clock of a tablet may be wrong by years; a time that no clock of ours can show
	// is set to the nearest that one can, so that no work is lost over it.
	"moment": {what: "time in milliseconds since 1970", low: math.MinInt64, high: math.MaxInt64},
}

// What several forms share.
const (
	aName  = "name of 26 digits and small letters"
	random = `^[0-9a-z]{26}$`
	id     = `^[a-z0-9_-]{1,200}$`
	ofWay  = `^(out|back)/[a-z0-9_-]{1,200}$`
)

func wordsOf[T ~string](list []T) []string {
	var out []string
	for _, x := range list {
		out = append(out, string(x))
	}
	return out
}

// wrong says why a spell of work cannot stand under its key; nil when it can.
func (s *Interval) wrong(key string) *say.Text {
	switch _, _, _, from, _ := SplitWork(key); {
	case s.To < s.From:
		return new(say.That("the work ends before it begins"))
	case min(from, LatestMoment) != s.From:
		return new(say.That("the key says that the work begins at %from, and the entry says %stated", say.Count(from), say.Count(s.From)))
	}
	return nil
}
