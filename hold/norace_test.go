//go:build !race

package hold

// lawCases is how many random jobs each law is put to.
const lawCases = 8
