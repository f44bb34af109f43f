// Package outline says of the parts of a drawing, before there is a program, which would hold on the table of a job.
//
//	parts ──> dryrun: a program that cuts them ──> check (parse, sweep, hold) ──> margin of part, offcut and sheet
//	             one pass; then, for what does not hold: a thin last pass; that and a skin; that and tabs
//
// A drawing has no order, depth or feed: those are chosen, and listed as assumed. Every part is judged as if all other
// kerfs were open already, so its place in the order of a later program can only help it.
//
// The words are would-hold, with-care and would-not-hold, never held.
package outline
