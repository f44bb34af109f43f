package report

import _ "embed"

// resultSchema is the JSON Schema (draft 2020-12) that every output of JSON satisfies.
//
//go:embed schema/result.schema.json
var resultSchema []byte
