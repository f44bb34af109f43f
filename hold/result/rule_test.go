package result

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

func TestReadmeListsEveryRule(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range Rules() {
		row := fmt.Sprintf("| `%s` | %s |", r.ID, r.Meaning)
		if !strings.Contains(string(readme), row) {
			t.Errorf("README.md lacks the row %s", row)
		}
	}
}

func TestRulesHaveWordsAndDistinctIDs(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules() {
		if seen[r.ID] || r.Meaning == "" || r.Advice == "" {
			t.Errorf("rule %q: repeated or without words", r.ID)
		}
		seen[r.ID] = true
		if got, ok := RuleByID(r.ID); !ok || got != r {
			t.Errorf("rule %q is not found by its id", r.ID)
		}
	}
}
