package units

import (
	"errors"
	"math"
	"regexp"
	"strconv"
)

// fractionForm is a fraction of an inch as shops write it: 1/2, 1-1/2, 1 1/2.
var fractionForm = regexp.MustCompile(`^([+-]?)(?:(\d+)(?: +|-))?(\d+)/(\d+)`)

// LeadingFraction is the fraction that a text begins with; "" if it begins with none.
func LeadingFraction(text string) string { return fractionForm.FindString(text) }

// Fraction reads the number that a text begins with, as in 1/2 or 1-1/2; false if that is no fraction.
func Fraction(text string) (x float64, ok bool) {
	m := fractionForm.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	whole, err := strconv.ParseFloat("0"+m[2], 64)
	over, err2 := strconv.ParseFloat(m[3], 64)
	under, err3 := strconv.ParseFloat(m[4], 64)
	x = whole + over/under
	if m[1] == "-" {
		x = -x
	}
	return x, errors.Join(err, err2, err3) == nil && under > 0 && !math.IsInf(x, 0)
}
