// Package dryrun writes the program that would cut outlines, before anybody has posted one.
//
//	outline (ring) + tool diameter ──> Follow ──> Path ──┐
//	care: closing pass, skin, tabs ──────────────────────┼─> Write ──> text of an RS-274 program, and that text read
//	job, tool, feed, depth of a pass ────────────────────┘
//
// The text goes the way of every program: parse, sweep, hold. There is no second model. Whoever asks before there is a
// program, about outlines of a drawing or about squares and discs of rising size, comes in by this door.
//
// A drawing has no order, so none is to help a part: whatever the other parts leak, each is cut free when all kerfs are
// open but for the last stretch of each. Roughing passes come first, for all contours; then the last pass of each up to
// three tool diameters before its end; then these ends, in the order given.
//
// It knows nothing of pressure, margins or pictures, nor where outlines come from.
package dryrun
