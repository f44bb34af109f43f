package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"staydown/internal/testrun"
)

// Standard output is one document of the form asked for and nothing else, the same from the cache, and the same with
// and without an output folder.
func TestStandardOutputIsPure(t *testing.T) {
	testrun.NotForRaces(t)
	base := t.TempDir()
	shop{0, 1}.write(t, filepath.Join(base, "shop"))
	for _, k := range malformed() {
		if k.name != "empty" && k.name != "words" && k.name != "notool" { // one of each exit status
			continue
		}
		if err := os.WriteFile(filepath.Join(base, "shop", k.name+".nc"), []byte(k.text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	end := func(err error) error { // nothing stands behind the document
		if errors.Is(err, io.EOF) {
			return nil
		}
		return fmt.Errorf("more than one document: %w", err)
	}
	for _, c := range []struct {
		format string
		read   func(text string) (programs int, err error)
	}{
		{"json", func(text string) (int, error) {
			var list []struct {
				Schema  string
				Program struct{ Path string }
			}
			d := json.NewDecoder(strings.NewReader(text))
			if err := d.Decode(&list); err != nil {
				return 0, err
			}
			for _, one := range list {
				if one.Schema != "staydown/2" || one.Program.Path == "" {
					return 0, fmt.Errorf("%+v is no result", one)
				}
			}
			_, err := d.Token()
			return len(list), end(err)
		}},
		{"sarif", func(text string) (int, error) {
			var log struct {
				Runs []struct{ Artifacts []struct{} }
			}
			d := json.NewDecoder(strings.NewReader(text))
			if err := d.Decode(&log); err != nil || len(log.Runs) != 1 {
				return 0, fmt.Errorf("%d runs: %w", len(log.Runs), err)
			}
			_, err := d.Token()
			return len(log.Runs[0].Artifacts), end(err)
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
