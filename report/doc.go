// Package report writes what hold found, for people and machines.
//
//	result.Result ┬─> Text, words.Working                                      terminal
//	              ├─> JSON, SARIF (with a Baseline), Summary (CSV), GeoJSON    other programs
//	              ├─> page.HTML, Sheet, Index                                  pages, one file each, no network
//	              └─> picture.TimelinePNG, PlanPNG, PressurePNG, ...           pictures
//	program text ──> annotate.Program          the program with a comment at each risky block
//
// Its rooms stand side by side on words, what all of these say alike: picture, and on it page; annotate.
//
// The same result always gives the same bytes: no clock, host name or map order enters. A value that is not finite is
// null, an empty cell or a dash, never 0.
//
// It does not know how any of it was computed, and never reads or writes files.
package report
