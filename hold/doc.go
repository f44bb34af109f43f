// Package hold decides whether vacuum keeps every piece in place while the program runs.
//
//	sweep.Record ──> airflow ──> pressure under each piece ──┐
//	job.Job ─────────┘                                       ├─> contact ──> margin = capacity / demand ──> findings
//	sweep.Record ──> cutload ──> force of the cutter ────────┘                1: the piece is about to move
//
// Check takes the sweep's record and the job (layer, zones, pump, material, limits) and computes, epoch by epoch, the
// pressure under each piece, the cutter's load on it, and the margins of lift, slip, twist and tip at every step. A
// result.Result holds the findings, each with its block and remedies, the operating figures of pump and alarm, and the
// pieces. Analysis.Explain writes out the calculation of one block.
//
// When in doubt it errs towards reporting a problem: air enters as if all cuts of an epoch were made at its start, and
// each piece that the cutter touches takes its full load.
//
// It knows nothing of files and pictures. It does not model dynamics (chatter, impact), bending of the sheet, or heat.
package hold
