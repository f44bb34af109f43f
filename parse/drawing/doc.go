// Package drawing reads outlines of parts from drawings: DXF (R12 to 2018, ASCII), SVG, and GeoJSON as reports write
// it.
//
//	bytes ──> curves, flattened ──> chains ──> closed outlines ──> parts with their holes
//	          (one file per format)  (chain.go)  (clean.go)         (nest.go)
//
// It takes the bytes of one drawing and gives its parts in millimeters, X to the right and Y up, each outline with its
// layer and line, and a note for everything that it closed, or left out: open contours, duplicates, lettering,
// dimensions, dashed lines, paper space, the page. It refuses, by line, what it cannot read, since a part may be
// missing then, and a drawing that does not say its unit.
//
// Curves become chords that stray from them by at most FlatMM, inwards on arcs: an area is small by at most two thirds
// of that times the outline. It knows nothing of tools, stock and jobs.
package drawing
