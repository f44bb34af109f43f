package job

import "errors"

// LengthMM reads a length with its unit, as in "0.5 mm" or "0.02in", and gives it in mm. The error says what is wrong
// and what to write.
func LengthMM(text string) (float64, error) {
	v, f := length.read(text)
	if f != nil {
		return 0, errors.New(f.what + "; " + f.do)
	}
	return v, nil
}
