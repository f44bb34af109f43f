// Package steploads puts the steps of a sweep into the terms of the cutting model, and the forces of that into those of
// the table: what the cutter does to the work at every place and rotor angle of a step, with a change of feed, pass or
// tool if asked.
//
//	 step of the sweep      force of a tooth       load on the work
//	[arc, depth, F, S]  ->  ahead, left, up   ->  X, Y, Z, height, moment, at each place of the step
//
// It knows nothing of what holds the work.
package steploads
