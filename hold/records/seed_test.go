package records

import (
	"flag"
	"strconv"
	"testing"
)

// Random tests run from one seed, so that a change is green or red, not now this and now that. -rapid.seed on the
// command line comes after.
func init() {
	if err := flag.Set("rapid.seed", "1"); err != nil {
		panic(err)
	}
}

// drawCases sets the number of random cases of a property, fewer under -short, unless the command line asks for more.
func drawCases(t *testing.T, n int) {
	t.Helper()
	f := flag.Lookup("rapid.checks")
	old := f.Value.String()
	if k, err := strconv.Atoi(old); err == nil && k >= n && old != f.DefValue {
		return
	}
	if testing.Short() {
		n = (n + 4) / 5
	}
	if err := flag.Set("rapid.checks", strconv.Itoa(n)); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = flag.Set("rapid.checks", old) })
}
