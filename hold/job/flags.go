package job

import (
	"errors"
	"strconv"
)

// CellMM reads the cell of the grid from outside a job file, as in "0.5 mm" or "0.02in", within the range of [grid]
// cell, and gives it in mm. The error says what is wrong and what to write.
func CellMM(text string) (float64, error) { return inRange(length, cellMM, text) }

// VacuumPa reads a vacuum below ambient from outside a job file, as in "680 mbar", and gives it in Pa. The error says
// what is wrong and what to write.
func VacuumPa(text string) (float64, error) { return inRange(pressure, vacuumPa, text) }

func inRange(k kind, in span, text string) (float64, error) {
	x, u, f := k.readIn(text)
	if f == nil && !in.has(x) {
		f = outOfRange(strconv.Quote(text), in, u.write)
	}
	if f != nil {
		return 0, errors.New(f.what + "; " + f.do)
	}
	return x, nil
}

// Margin reads a margin to ask for from outside a job file, within the range of [limits] margin. The error says what is
// wrong and what to write.
func Margin(text string) (float64, error) {
	x, f := bare(text, marginRange)
	if f != nil {
		return 0, errors.New(f.what + "; " + f.do)
	}
	return x, nil
}

// Length reads a length above 0 from outside a job file, as in "0.5 mm" or "0.02in", and gives it in mm.
func Length(text string) (float64, error) { return positive(length, text) }

// Feed reads a feed above 0 from outside a job file, as in "1200 mm/min", and gives it in mm/min.
func Feed(text string) (float64, error) { return positive(speed, text) }

func positive(k kind, text string) (float64, error) {
	x, _, f := k.readIn(text)
	switch {
	case f != nil:
		return 0, errors.New(f.what + "; " + f.do)
	case !(x > 0):
		return 0, errors.New(strconv.Quote(text) + " is not above 0; write a larger one")
	}
	return x, nil
}
