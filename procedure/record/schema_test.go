package record

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gotest.tools/v3/assert"
	"pgregory.net/rapid"
)

// valid compiles the schema, itself checked against the draft's own, and returns what asks it.
func valid(t testing.TB) func(data string) error {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	assert.NilError(t, err)
	compiler := jsonschema.NewCompiler()
	compiler.AssertFormat()
	assert.NilError(t, compiler.AddResource("record.json", document))
	schema, err := compiler.Compile("record.json")
	assert.NilError(t, err)
	return func(data string) error {
		value, err := jsonschema.UnmarshalJSON(strings.NewReader(data))
		if err != nil {
			return err
		}
		return schema.Validate(value)
	}
}

func TestEveryWrittenRecordIsOfTheSchema(t *testing.T) {
	check := valid(t)
	whole := sample(t)
	names, err := filepath.Glob("testdata/merge/*.json")
	if err != nil || len(names) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	records := []*Record{whole, whole.WithoutPhotos()}
	for _, name := range names {
		data, err := os.ReadFile(name)
		assert.NilError(t, err)
		var c mergeCase
		assert.NilError(t, json.Unmarshal(data, &c))
		records = append(records, c.A, c.B, Merge(c.A, whole))
	}
	for _, r := range records {
		if err := check(string(written(t, r))); err != nil {
			t.Errorf("%v\n%s", err, written(t, r))
		}
	}
}

func TestTheSchemaRefusesWhatReadingRefuses(t *testing.T) {
	check, data := valid(t), string(written(t, sample(t)))
	for _, h := range hostiles(t) {
		if err := check(h.changed(t, data)); h.shape && err == nil {
			t.Errorf("%s: the schema does not refuse it", h.name)
		} else if !h.shape && err != nil && json.Valid([]byte(h.changed(t, data))) && h.name != "no UTF-8" {
			t.Errorf("%s: a schema can tell after all: %v", h.name, err)
		}
	}
}

// TestSchemaAndReaderAgree changes a record at one place, at random, and asks both.
// Whatever the reader takes the schema must take, so that neither is stricter by an oversight.
func TestSchemaAndReaderAgree(t *testing.T) {
	check, data := valid(t), string(written(t, sample(t)))
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.IntRange(0, len(data)-1).Draw(t, "at")
		put := rapid.SampledFrom([]string{"", "0", "z", "A", "-", "_", " ", "é", `\n`, `\t`, `"`, "null", "9", "."}).Draw(t, "put")
		changed := data[:at] + put + data[at+1:]
		if _, err := Read([]byte(changed)); err != nil {
			return
		}
		if err := check(changed); err != nil {
			t.Fatalf("the reader takes it, and the schema says %v:\n%s", err, changed)
		}
	})
}
