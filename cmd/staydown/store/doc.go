// Package store keeps the results of a run in its output folder, so that the next run can resume.
//
//	OUT/NAME.result.json, ...     output files, written by Write
//	OUT/.staydown/programs/HASH   one record per program (Pack, Unpack)
//	OUT/.staydown/plan            what the run was to do
//	OUT/.staydown/lock, tmp/      one writer at a time; half-written files
//
// One process at a time holds a folder (Open). Files are written completely or not at all, and never outside the
// folder, whatever symbolic links it holds. The same value gives the same record, floats keep every bit (NaN and
// infinities too), and a damaged record or one of another type is refused. It knows nothing of what the records mean.
package store
