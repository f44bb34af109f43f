package job

import (
	"fmt"

	"staydown/hold/doubt"
	"staydown/hold/material"
)

// Friction is the coefficient of a part on what it lies on.
type Friction struct{ Dry, Wet float64 }

// When picks one of the two.
func (f Friction) When(wet bool) float64 {
	if wet {
		return f.Wet
	}
	return f.Dry
}

// Coolant is what a coolant code of the machine turns on.
type Coolant uint8

const (
	CoolantUnknown    Coolant = iota // taken for flood
	CoolantAir                       // a blast of air
	CoolantMist                      // oil or water in air
	CoolantFlood                     // a jet of coolant
	CoolantExtraction                // the chip extraction
)

// Wets tells whether the work lies wet from then on.
func (c Coolant) Wets() bool { return c != CoolantAir && c != CoolantExtraction }

// coolants are the words of [machine] m7 and m8.
var coolants = [...]string{"air", "mist", "flood", "extraction"}

// coolant reads what a coolant code turns on.
func (s section) coolant(key string) Coolant {
	if i, ok := s.choice(key, coolants[:]...); ok {
		return CoolantAir + Coolant(i)
	}
	return CoolantUnknown
}

// slides is the friction of a pair with its ranges.
type slides struct {
	dry, wet material.Range
	// wetAlone: the wet figure is doubtful on its own, not with the dry one.
	wetAlone bool
}

// likely is what the job counts with.
func (f slides) likely() Friction { return Friction{f.dry.Likely, f.wet.Likely} }

// friction reads friction (dry) and friction_wet of a layer or zone, or takes them from pulls. What is left out comes
// from the table of pairs: the dry figure itself, the wet one in its proportion to the dry one. Known tells whether the
// pair is certain; if not, pulls count alone.
func (s section) friction(what string, pair material.Pair, by pulled, known bool) slides {
	dry, ok := s.numberFigure("friction", frictionRange, material.OfFriction)
	switch {
	case ok, s.has("friction"):
	case by.dryN > 0:
		dry, ok = s.together(what+": friction", by.dry, by.dryN, pair.Dry, known), true
	default:
		s.assumeInput("friction", "%s: friction %s assumed, %s on %s, dry (%s); measure it", what,
			trimmed(pair.Dry.Likely), pair.Work,
			pair.On, pair.Dry.Source)
	}
	if !ok {
		dry = pair.Dry
	}
	wet, ok := s.numberFigure("friction_wet", frictionRange, material.OfWetFriction)
	switch {
	case ok:
	case by.wetN > 0:
		wet, ok = s.together(what+": wet friction", by.wet, by.wetN, pair.Wet, known), true
	default:
		share := dry.Likely * pair.WetShare() / pair.Wet.Likely
		wet = pair.Wet.Times(share)
		wet.Likely = dry.Likely * pair.WetShare()
	}
	return slides{dry, wet, ok || dry.Low == dry.High}
}

// together joins what n readings say with what is built in, if that is known to apply, and says so.
func (s section) together(what string, measured doubt.Input, n int, built material.Range, known bool) material.Range {
	readings := fmt.Sprintf("%d readings", n)
	if n == 1 {
		readings = "1 reading"
	}
	if !known {
		s.assume("%s: %s by %s", what, inWords(measured), readings)
		return material.Range{Low: measured.Low, Likely: measured.Likely, High: measured.High, Source: readings}
	}
	base := doubt.Input{Low: built.Low, Likely: built.Likely, High: built.High, Unit: measured.Unit}
	both, contradiction := measured.Combined(base)
	if contradiction {
		s.assume("%s: %s give %s, far from what is built in, %s (%s); the wider range counts: check the readings", what,
			readings, inWords(measured), inWords(base), built.Source)
	}
	s.assume("%s: %s by %s, %s, together with what is built in, %s", what, inWords(both), readings, inWords(measured),
		inWords(base))
	return material.Range{Low: both.Low, Likely: both.Likely, High: both.High,
		Source: readings + "; " + built.Source}
}

// inWords writes a likely figure with its range.
func inWords(in doubt.Input) string {
	text := fmt.Sprintf("%s (%s to %s)", short(in.Likely), short(in.Low), short(in.High))
	if in.Unit != "" {
		text += " " + in.Unit
	}
	return text
}

// pairOn is the pair of the work on a layer; of one that is not built in, card or board, whichever slides more easily.
func pairOn(work material.Work, layer material.Layer, known bool) material.Pair {
	if known {
		return material.Friction(work.Family, layer.Seat)
	}
	board, card := material.Friction(work.Family, material.OnBoard), material.Friction(work.Family, material.OnCard)
	if card.Dry.Likely < board.Dry.Likely {
		return card
	}
	return board
}
