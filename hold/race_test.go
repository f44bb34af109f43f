//go:build race

package hold

// lawCases is how many random jobs each law is put to; the race detector makes each about ten times as slow.
const lawCases = 2
