//go:build race

package hold

// lawCases is how many random jobs each law is put to, remedyPrograms how many random programs remedies are tried on; the race detector
// makes each about ten times as slow.
const (
	lawCases       = 2
	remedyPrograms = 6
)
