// Package report tells people and machines what hold found.
//
// It takes a hold.Result (and the program's own bytes, to annotate them) and gives text, JSON, CSV, SARIF,
// pictures, HTML and the annotated program.
//
// It knows nothing of how any of it was computed.
package report
