// Package parse turns the bytes of an RS-274 program into timed moves.
//
// It takes the text of one posted program and gives its blocks, the moves of the tool tip in program
// coordinates (millimetres, seconds) and a note for every leniency taken and every block that could not be
// understood. Inches, feed modes, canned cycles, offsets and cutter radius compensation end here.
//
// It knows nothing of stock, of the shape of a tool below its diameter, or of vacuum.
package parse
