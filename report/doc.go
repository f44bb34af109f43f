// Package report tells people and machines what hold found.
//
// It takes a hold.Result (and the program's own bytes, to annotate and to quote them) and gives
//
//   - Text, the terminal's lines and summary, and Working, the reckoning of one block;
//   - JSON with Schema, the result file; Summary, one CSV row a program; SARIF with a baseline; GeoJSON, the outlines;
//   - TimelinePNG and TimelineSVG, PlanPNG and PlanSVG, PressurePNG, the pictures;
//   - Annotate, the program with comments at its risky blocks;
//   - HTML, the page of one program, and Index, that of a run.
//
// Everything is written to a Writer or returned as bytes, and is the same for the same result: no clock, no host, no
// order of a map goes into it. Values without a finite number are null, an empty cell or a dash, never 0.
//
// It knows nothing of how any of it was computed.
package report
