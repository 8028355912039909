package diagnostic

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// sarifSchema is the standard's own schema.
//
// Source: docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json
func sarifSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	data, err := os.ReadFile("testdata/sarif-schema-2.1.0.json")
	assert.NilError(t, err)
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	assert.NilError(t, err)
	compiler := jsonschema.NewCompiler()
	compiler.AssertFormat()
	assert.NilError(t, compiler.AddResource("sarif.json", document))
	schema, err := compiler.Compile("sarif.json")
	assert.NilError(t, err)
	return schema
}

func TestPrintSARIF(t *testing.T) {
	schema := sarifSchema(t)
	odd := text.NewFile("procedures/a b: größe%.md", []byte("::: stpe x\n"))
	colon := text.NewFile("a:b.md", []byte("x\n"))
	kind := odd.Span(4, 8)
	fixable := Diagnostic{
		Code: "unknown-block", Severity: Error, Span: kind, Wrong: say.That("there is no block kind %kind", say.Quote("stpe")),
		Refitting: true, Variants: []string{"small", "large"},
		Fixes: []Fix{
			Replace(kind, "step", true), Insert(kind, "{0} ", false), Remove(kind, false),
			{say.That("Change both."), []rewrite.Edit{{Span: kind, Text: "step"}, {Span: odd.Span(9, 10), Text: "y"}, {Span: colon.Span(0, 1), Text: ""}}, false},
		},
	}
	rules := append(AllowRules(), Rule{Code: "unknown-block", Severity: Error, Title: "Block kind not known", Wrong: "A block has no kind.", Why: "It {would} be lost.", Do: "Write one."})
	for name, c := range map[string]struct {
		all     []Diagnostic
		allowed []Allowed
	}{
		"none": {},
		"all": {
			append(sorted(messages()), fixable),
			[]Allowed{{Diagnostic{Code: "allow-unused", Severity: Warning, Span: colon.Span(0, 1), Wrong: say.That("meant")}, "a reason", colon.Span(0, 1)}},
		},
	} {
		var b strings.Builder
		assert.NilError(t, PrintSARIF(&b, "1.0", rules, c.all, c.allowed))
		value, err := jsonschema.UnmarshalJSON(strings.NewReader(b.String()))
		assert.NilError(t, err)
		if err := schema.Validate(value); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		golden.AssertBytes(t, []byte(b.String()), name+".sarif")
	}
	// The schema is one that refuses.
	wrong, _ := jsonschema.UnmarshalJSON(strings.NewReader(`{"version": "2.1.0", "runs": [{"tool": {"driver": {}}}]}`))
	if schema.Validate(wrong) == nil {
		t.Error("a tool without a name is taken")
	}
}
