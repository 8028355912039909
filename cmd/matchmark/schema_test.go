package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/compile/classresult"
	"matchmark/compile/comparison"
)

// TestSchemas holds the schemas against the types that are printed; with -update it writes them. That of check is
// written by hand, since its types are not ours.
func TestSchemas(t *testing.T) {
	for name, v := range map[string]any{
		"compare": comparison.View{}, "mark": classresult.Marked{}, "plan": planJSON{}, "revise": revisedJSON{}, "workorder": orderJSON{},
	} {
		want := schemaOf(reflect.TypeOf(v))
		want["$schema"], want["title"] = "https://json-schema.org/draft/2020-12/schema", "What matchmark "+name+" --format json prints"
		var b bytes.Buffer
		assert.NilError(t, printJSON(&b, want))
		file := filepath.Join("schema", name+".json")
		if golden.FlagUpdate() {
			assert.NilError(t, os.WriteFile(file, b.Bytes(), 0o666))
		}
		got, err := os.ReadFile(file)
		assert.NilError(t, err)
		assert.Equal(t, string(got), b.String(), "%s is out of date: go test ./cmd/matchmark -run TestSchemas -update", file)
	}
}

// schemaOf is the JSON Schema of what encoding/json writes for a type. Further fields are allowed: they may come.
func schemaOf(t reflect.Type) map[string]any {
	switch t.Kind() {
	case reflect.Pointer:
		s := schemaOf(t.Elem())
		s["type"] = []any{s["type"], "null"}
		return s
	case reflect.Slice:
		return map[string]any{"type": "array", "items": schemaOf(t.Elem())}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Int64:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Struct:
		fields, required := map[string]any{}, []string{}
		for i := range t.NumField() {
			f := t.Field(i)
			name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
			if !f.IsExported() || name == "" || name == "-" {
				continue
			}
			fields[name] = schemaOf(f.Type)
			if options != "omitempty" {
				required = append(required, name)
			}
		}
		return map[string]any{"type": "object", "properties": fields, "required": required}
	}
	panic("no schema for " + t.String())
}

// fitsSchema wants a file to hold what the schema of a command says: in test scripts, through "fits COMMAND FILE".
func fitsSchema(folder, command string, content []byte) error {
	schema, err := os.ReadFile(filepath.Join(folder, command+".json"))
	if err != nil {
		return err
	}
	parsed, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema))
	if err != nil {
		return err
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource(command, parsed); err != nil {
		return err
	}
	compiled, err := compiler.Compile(command)
	if err != nil {
		return err
	}
	var value any
	if err := json.Unmarshal(content, &value); err != nil {
		return err
	}
	return compiled.Validate(value)
}
