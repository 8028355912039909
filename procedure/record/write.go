package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"strings"
)

// Write returns the record as canonical JSON with a line feed behind it: the same
// record gives the same bytes.
func (r *Record) Write() ([]byte, error) {
	whole := *r
	if whole.Tablets == nil {
		whole.Tablets = map[string]Tablet{}
	}
	out, err := canonical(whole)
	if err != nil {
		return nil, fmt.Errorf("writing the job record: %w", err)
	}
	return append(out, '\n'), nil
}

// WithoutPhotos returns the record with its photos named but without their data.
// It shares all other entries with r.
func (r *Record) WithoutPhotos() *Record {
	out := *r
	out.Photos = maps.Clone(r.Photos)
	for name, p := range out.Photos {
		p.Data = ""
		out.Photos[name] = p
	}
	return &out
}

// plainBreaks undoes the one escape of Go's that the canonical form does not have. The
// first pair passes over an escaped backslash, which may stand before such letters.
var plainBreaks = strings.NewReplacer(`\\`, `\\`, `\u2028`, "\u2028", `\u2029`, "\u2029")

// canonical is a value as JSON without white space, its keys sorted, with no more
// escapes than needed, and without optional fields that are empty.
//
// Source: RFC 8785, JSON Canonicalization Scheme, for keys of ASCII letters and whole numbers.
func canonical(value any) ([]byte, error) {
	byField, err := json.Marshal(value)
	if err != nil {
		return nil, err
	}
	from := json.NewDecoder(bytes.NewReader(byField))
	from.UseNumber()
	var plain any
	if err := from.Decode(&plain); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	to := json.NewEncoder(&out) // sorts the keys of maps
	to.SetEscapeHTML(false)
	if err := to.Encode(plain); err != nil {
		return nil, err
	}
	sorted := bytes.TrimSuffix(out.Bytes(), []byte("\n"))
	if bytes.Contains(sorted, []byte(`\u202`)) {
		sorted = []byte(plainBreaks.Replace(string(sorted)))
	}
	return sorted, nil
}
