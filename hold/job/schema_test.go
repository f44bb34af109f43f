package job

import (
	"os"
	"regexp"
	"testing"
)

// Every word that the reader knows stands in the package's documentation.
func TestEveryKeyIsDocumented(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	var check func(keys []key, where string)
	check = func(keys []key, where string) {
		for _, k := range keys {
			if !regexp.MustCompile(`\b` + k.name + `\b`).Match(doc) {
				t.Errorf("%s%s is not documented", where, k.name)
			}
			check(k.sub, where+k.name+".")
		}
	}
	check(schema(), "")
}
