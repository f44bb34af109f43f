package hold

import (
	"os"
	"testing"
)

// longRun asks for all draws of the random tests (DEVELOPERS.md), of which a quick run makes some.
var longRun = os.Getenv("STAYDOWN_TEST_LONG") != ""

// draws is how many cases a random test tries.
func draws(quick, long int) int {
	if longRun {
		return long
	}
	return quick
}

// raced lists the whole-program tests that run under the race detector with -short. Together they go through all that
// runs side by side here and below: air, sweep, loads, needs, remedies, the working of lines.
var raced = map[string]bool{
	"TestLargePieceIsHeldAndSmallOneIsNot":    true,
	"TestTabsHoldWhatVacuumCannot":            true,
	"TestAnotherOrderCuresWhenItIsTaken":      true,
	"TestWhatJustHoldsHasASetpointAndItsPump": true,
	"TestLinesExplainedTogether":              true,
}

// skipUnlessRaced skips a test of whole programs that looks for wrong results, not for races, where the race detector
// makes it ten times as long.
func skipUnlessRaced(t testing.TB) {
	t.Helper()
	if raceDetector && testing.Short() && !raced[t.Name()] {
		t.Skip("looks for wrong results: the run without the race detector does")
	}
}
