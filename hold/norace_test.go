//go:build !race

package hold

// lawCases is how many random jobs each law is put to, remedyPrograms how many random programs remedies are tried on.
const (
	lawCases       = 8
	remedyPrograms = 16
)
