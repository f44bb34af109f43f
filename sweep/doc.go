// Package sweep moves tools through stock and keeps account of what is missing.
//
// It takes moves, tool shapes and the blanks on the table, and gives a height grid, the time at which each cell
// was cut through, the pieces that come free and from what, the webs that still hold others, and for every
// stretch of the path how much material the cutter met and on which side.
//
// It knows nothing of pressure or force.
package sweep
