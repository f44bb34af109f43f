package hold

import "testing"

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
