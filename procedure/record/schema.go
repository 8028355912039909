package record

import _ "embed"

// Schema is the format as a JSON Schema, draft 2020-12. It says what a record looks
// like; what needs a second look, such as a photo's hash, only Read can tell.
//
//go:embed record.schema.json
var Schema []byte
