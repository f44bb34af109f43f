package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/owenrumney/go-sarif/v3/pkg/report/v210/sarif"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Standard output is one document of the form asked for and nothing else, the same from the cache, and the same with
// and without an output folder.
func TestStandardOutputIsPure(t *testing.T) {
	base := t.TempDir()
	writeShop(t, filepath.Join(base, "shop"), 2*len(malformed())+5)
	for _, c := range []struct {
		format string
		read   func(text string) (programs int, err error)
	}{
		{"json", func(text string) (int, error) {
			var list []json.RawMessage
			d := json.NewDecoder(strings.NewReader(text))
			if err := d.Decode(&list); err != nil {
				return 0, err
			}
			document, err := os.ReadFile(filepath.Join("..", "..", "report", "schema", "result.schema.json"))
			if err != nil {
				return 0, err
			}
			schema, err := jsonschema.UnmarshalJSON(bytes.NewReader(document))
			if err != nil {
				return 0, err
			}
			compiler := jsonschema.NewCompiler()
			if err := compiler.AddResource("result.json", schema); err != nil {
				return 0, err
			}
			compiled, err := compiler.Compile("result.json")
			if err != nil {
				return 0, err
			}
			for _, item := range list {
				value, err := jsonschema.UnmarshalJSON(bytes.NewReader(item))
				if err != nil {
					return 0, err
				}
				if err := compiled.Validate(value); err != nil {
					return 0, err
				}
			}
			return len(list), nil
		}},
		{"sarif", func(text string) (int, error) {
			r, err := sarif.FromString(text)
			if err != nil {
				return 0, err
			}
			return len(r.Runs[0].Artifacts), nil
		}},
		{"csv", func(text string) (int, error) {
			rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
			return len(rows) - 1, err
		}},
	} {
		t.Run(c.format, func(t *testing.T) {
			bare := staydown(t, base, nil, "check", "shop", "--format", c.format)
			n, err := c.read(bare.out)
			if err != nil {
				t.Fatal(err)
			}
			if n != len(bare.analysed) {
				t.Errorf("%d programs of %d", n, len(bare.analysed))
			}
			for _, way := range []string{"written", "cached"} {
				if got := staydown(t, base, nil, "check", "shop", "--format", c.format, "-o", "out",
					"--no-pictures"); got.out != bare.out || got.status != bare.status {
					t.Errorf("%s: standard output differs from that without -o (status %d, %d)", way, got.status,
						bare.status)
				}
			}
		})
	}
}
