// Package testrun says how long tests may run: the quick run makes some of their draws and cases, the long one all
// (DEVELOPERS.md).
package testrun

import (
	"os"
	"testing"
)

// Long asks for all draws and cases.
var Long = os.Getenv("STAYDOWN_TEST_LONG") != ""

// Draws is how many cases a test tries.
func Draws(quick, long int) int {
	if Long {
		return long
	}
	return quick
}

// NotForRaces skips a test that looks for wrong results where only races are looked for: under -short, as .ci/run does.
func NotForRaces(t testing.TB) {
	t.Helper()
	if testing.Short() {
		t.Skip("looks for wrong results, not for races")
	}
}
