package job

import (
	"errors"
	"strconv"
)

// CellMM reads the cell of the grid from outside a job file, as in "0.5 mm" or "0.02in", within the range of [grid]
// cell, and gives it in mm. The error says what is wrong and what to write.
func CellMM(text string) (float64, error) {
	x, u, f := length.readIn(text)
	if f == nil && !cellMM.has(x) {
		f = outOfRange(strconv.Quote(text), cellMM, u.write)
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
