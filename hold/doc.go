// Package hold decides whether vacuum keeps every piece in place while the program runs.
//
// It takes the sweep's record and the job (layer, zones, pump, material, limits) and gives the pressure under
// each piece, the load of the cutter on it, the margin of every check at every step, and findings that name the
// block where a piece comes loose and what would cure it.
//
// It knows nothing of files and pictures.
package hold
