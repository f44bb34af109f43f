package hold

import (
	"math"

	"staydown/hold/wording"
	"staydown/parse/units"
)

// Remedies are applied as they are written, so every number is rounded to the safe side in the unit in which it is
// written, and only then tried.

const (
	kilo          = 1000.0
	roomOnTheSafe = 1e-9 // of a step, so that what is on the step stays there
)

// down and up round x to a whole number of steps.
func down(x, step float64) float64 { return math.Floor(x/step+roomOnTheSafe) * step }
func up(x, step float64) float64   { return math.Ceil(x/step-roomOnTheSafe) * step }

// writing is how remedies write figures: what stands in the program in its units, what people set otherwise in those
// of the shop.
type writing struct{ program, shop units.System }

func (a *Analysis) writing() writing { return writing{program: a.prog.Units, shop: a.units} }

// stepMM is the step of thicknesses and depths.
func (w writing) stepMM() float64 { return w.shop.Depth().Step() }

// length writes a length that is on a step already, or one that nobody is to set.
func (w writing) length(mm float64) string { return w.shop.Length().Text(mm) }

// z writes a height for the program.
func (w writing) z(mm float64) string { return w.program.Place().Number(mm) }

// zStepMM is the step of z.
func (w writing) zStepMM() float64 { return w.program.Place().Step() }

// lines writes the blocks of all findings of the piece.
func (p remedySearch) lines() string {
	var all []wording.LineRange
	for _, run := range p.runs {
		all = append(all, wording.LineRange{First: run.first.line, Last: run.lastLine})
	}
	return wording.Lines(all...)
}
