// Package toolpath tells where the tool is at every moment of a program, which way it goes, at what time and in which
// block; and it divides the program into cuts, and into intervals between tool changes and stops.
//
//	G0 X10 Y5 | G1 Z-3 | G1 X90 ... | G0 Z5 | M6 | ...        one Cut, from the rapid that leads to it; the pause M6
//	 rapid      plunge   feed         rapid   pause           ends an Interval
//
// It knows nothing of the stock but the Z of its top, and nothing of loads or pressure.
package toolpath
