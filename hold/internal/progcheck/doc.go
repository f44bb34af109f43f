// Package progcheck looks at a program, its tools and its set-up for what is wrong without any vacuum: places outside
// the stock, cuts into the chuck, collisions, chips that are too thick, cuts that depend on the tolerance of the blank,
// and what the reader of the program noted.
//
//	parse.Program ──┐
//	sweep.Record  ──┼──> Checks ──> findings, one for each run of blocks
//	job.Job       ──┘
//
// It knows nothing of air, loads and margins.
package progcheck
