package hold

import (
	"math"
	"strconv"
	"strings"

	"staydown/hold/wording"
)

// Remedies are applied as they are written, so every number is rounded to the safe side in the unit in which it is
// written, and only then tried.

const (
	inchMM        = 25.4 // exact by definition
	kilo          = 1000.0
	roomOnTheSafe = 1e-9 // of a step, so that what is on the step stays there
)

// down and up round x to a whole number of steps.
func down(x, step float64) float64 { return math.Floor(x/step+roomOnTheSafe) * step }
func up(x, step float64) float64   { return math.Ceil(x/step-roomOnTheSafe) * step }

// twoDigits is the step that keeps two significant digits of x > 0.
func twoDigits(x float64) float64 { return math.Pow(10, math.Floor(math.Log10(x))-1) }

// figure writes a number as controls and people read it: without an exponent and without zeros at its end.
func figure(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// writing is how a program writes lengths.
type writing struct {
	unitMM   float64 // of the numbers
	name     string
	stepMM   float64 // of thicknesses and depths
	zStepMM  float64
	decimals int // of zStepMM
}

func (a *Analysis) writing() writing {
	if a.prog.Inch {
		return writing{unitMM: inchMM, name: "in", stepMM: inchMM / 1000, zStepMM: inchMM / 10_000, decimals: 4}
	}
	return writing{unitMM: 1, name: "mm", stepMM: 0.01, zStepMM: 0.001, decimals: 3}
}

// length writes a length that is on a step already, or one that nobody is to set.
func (w writing) length(mm float64) string { return figure(mm/w.unitMM, w.decimals) + " " + w.name }

// z writes a height for the program.
func (w writing) z(mm float64) string { return strconv.FormatFloat(mm/w.unitMM, 'f', w.decimals, 64) }

// feed writes a feed as an F word, or as a speed where F is none.
func (a *Analysis) feed(mmMin float64) string {
	w := a.writing()
	if a.prog.OtherFeeds {
		return figure(mmMin/w.unitMM, 3) + " " + w.name + "/min"
	}
	return "F" + figure(mmMin/w.unitMM, 3)
}

// blocks is a set of lines of the program.
type blocks map[int32]bool

// hold tells whether a line is one of them; no set holds all.
func (b blocks) hold(line int32) bool { return b == nil || b[line] }

// lines writes the blocks of all findings of the piece.
func (p remedySearch) lines() string {
	var all []wording.LineRange
	for _, run := range p.runs {
		all = append(all, wording.LineRange{First: run.first.line, Last: run.lastLine})
	}
	return wording.Lines(all...)
}
