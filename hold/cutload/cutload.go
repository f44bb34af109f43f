// Package cutload computes the force of the cutter on the material.
//
// It takes the arc of engagement, the axial range, feed, speed, the tool and the material, and gives the force on the
// workpiece at every rotor angle in the frame of the feed. It knows nothing of pieces and pressure.
package cutload

// Force is a force on the workpiece in the frame of the feed: Ahead along it, Left to its left seen from above, Up against
// the table. N.
type Force struct{ Ahead, Left, Up float64 }
