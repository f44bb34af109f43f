// Package testrun says how long tests may run: the quick run makes some of their draws and cases, the long one all
// (DEVELOPERS.md).
package testrun

import (
	"flag"
	"os"
	"runtime/debug"
	"testing"
)

// Main runs the tests of a package that computes a lot, and returns the exit status. Garbage is collected at five times
// the live heap, unless GOGC says otherwise: the heap of a test is a few MB, and a collection at each doubling costs a
// twelfth of the time of all tests. Benchmarks keep the collector of the program.
func Main(m *testing.M) int {
	flag.Parse()
	if os.Getenv("GOGC") == "" && flag.Lookup("test.bench").Value.String() == "" {
		debug.SetGCPercent(400)
	}
	return m.Run()
}

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
