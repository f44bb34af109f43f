// Package job reads the job file: what lies on the table, on what, held by which pump, cut with which tools.
//
// It takes the bytes of a TOML file and gives a Job in mm, Pa, N, rad and m3/h, or errors that name the line, what is wrong
// and what to write. It knows nothing of programs, moves and pressure fields.
package job
