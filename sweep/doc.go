// Package sweep moves tools through stock and keeps account of what is missing.
//
// It takes moves, tool shapes and the blanks on the table, and gives a height grid, the time at which each cell
// was cut through, the pieces that come free and from what, the webs that still hold others, and for every
// stretch of the path how much material the cutter met and on which side.
//
// It knows nothing of pressure or force.
//
// # How
//
// The rooms below internal follow each other: shape (tools), raster (cells), plan (what is settled before the first
// move), removal (cells and steps), pieces, subcell (what is narrower than a cell), joins (what still holds a piece).
// This package runs them in their order and publishes the record.
//
// Every move becomes straight segments, an arc chords that stray from it by at most a 64th of a cell. The lower surface
// of each tool is convex, so along a segment its height above a cell is convex too: the least height and the moment at
// which the cell is cut through come from that one curve, not from stamps. The bands of the grid are shared out among
// workers; every figure that cells add up to is a whole number, so the order does not matter.
//
// Pieces are read from the end of the program backwards, when cells come back and sets of them only ever join. Where
// that would set a piece free, and where a cut leaves less than a cell of material, a local grid fifteen times as fine
// decides.
//
// # Errors
//
//   - A cell belongs to the material, and to a cut, when its center does: an area is right within half a cell times its
//     border, in practice far better.
//   - Heights are whole multiples of 2^-16 mm. A film of ThroughMM or less counts as cut.
//   - Moments are kept to an eighth of a cell along the path, and never leave their move.
//   - A bridge narrower than a tenth of a cell counts as cut; so does one thinner than a cell that runs on for more
//     than twelve cells. Both make a piece come free too early, never too late. A neck of a cut, where two kerfs
//     overlap by less than c^2/4R (cell c, tool radius R), is looked for on the local grid; it may be taken for closed
//     material where they overlap by less than c^2/900R, or where the sides of the neck are cut away later. So may a
//     slit narrower than a cell all along, as of a vee.
//   - Fragments of fewer than five cells are no pieces, nor are those smaller than the tool that the same move goes on
//     to cut away.
//   - The sides of an engaged arc are right within half a cell across the path; within half a cell of the tool's side
//     they count as reached.
//   - What joins a piece is taken from the paths of the tools: a tab between two cuts that end head-on is right within
//     a thousandth of a millimeter, floor along a cut within 2 % (rather too large). A line that is not among those
//     looked at may have less.
package sweep
