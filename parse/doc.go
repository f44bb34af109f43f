// Package parse turns the bytes of an RS-274 program into timed moves.
//
// It takes the text of one posted program and gives its blocks, the moves of the tool tip in program
// coordinates (millimeters, seconds) and a note for every leniency taken and every block that could not be
// understood. Inches, feed modes, canned cycles, offsets and cutter radius compensation end here.
//
// It knows nothing of stock, of the shape of a tool below its diameter, or of vacuum.
//
// # How a program is read
//
// A line goes through three stages: characters to words (scan.go, expr.go), words to a block (block.go, code.go),
// and a block to moves through the modal state (exec.go, motion.go and one file for each kind of motion). The
// language is that of the NIST RS274NGC Interpreter, version 3. What posts write beyond it is read as most controls
// read it, with one Reading note for each kind of leniency; with Options.Strict each one is Unread instead. What is
// not understood is Unread, and everything behind it that can still be trusted is read.
//
// A program is a list of lines, of which one is at hand (line.go). Flow control goes on at another one: its statements
// are found and tied to one another once in each file (flow.go), and a statement jumps to what it is tied to (jump.go).
// Calls keep on a stack where to go back to (sub.go, macro.go). Lines that are run again are counted, and so are calls
// inside calls: what goes beyond the bounds in limit.go never ends, and reading stops there.
//
// Parameters that the control keeps itself are known as far as the program tells them (control.go). Any other that the
// program does not set is Unread where it is used.
//
// Two things that no program can be trusted to tell are notes of their own kind: units that neither a code before the
// first move nor Options.Units gives (NoUnits), and an end that is missing (CutShort).
//
// Rapids are straight. Machines that move their axes one by one go round a corner instead; only the ends are common.
//
// # Cutter radius compensation
//
// The first move goes straight from the tool's center C to the point Q at which it touches the circle of the tool's
// radius round its programmed end (the published entry: the angle at Q is a right one). Many controls end that move
// square to the next one instead; the two differ by a wedge at the entry, and a note says which one was read.
// Convex corners are rounded by an arc; at concave corners the tool turns where the two offset paths meet. An inner
// arc or a corner that is too small for the tool is Unread. Behind G40 the next move is plain.
//
// # Places that are not known
//
// Coordinates are those that the stock uses; without Options.Origins they are those of the first work system that
// the program moves in. A program seldom says where the tool is before its first move, or where the machine's own
// zero is. Then, each listed in Program.Assumed:
//
//   - a first rapid to X and Y begins where it ends; a first feed move begins at X0 Y0;
//   - until its first Z, and after a retract to a machine place (G28, G53), the tool is as high as the program ever
//     goes; a program without any Z cuts at Z0;
//   - an increment from an unknown start counts from 0;
//   - a first G92 says where the tool is.
//
// A rapid in X or Y to a machine place that is not known is listed in Program.Unplaced: whether it may meet the stock
// is for those to tell who know the stock.
//
// Options.MachineZero says better.
package parse
