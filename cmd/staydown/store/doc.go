// Package store keeps what a run has done in its output folder, so that the next run can go on from there.
//
// An output folder is opened by one process at a time (Open), files appear in it whole or not at all (Write), and
// nothing is written outside it, whatever symbolic links it holds. Records (Pack, Unpack) are plain values in a
// binary form of their own: the same value gives the same bytes, floats keep every bit (NaN and infinities
// included), and a record that is damaged, or of another shape than the reader's, is refused.
package store
