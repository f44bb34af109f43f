package job

import "staydown/hold/material"

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

// friction reads friction (dry) and friction_wet of a layer or zone. What is left out comes from the table of pairs:
// the dry figure itself, the wet one in its proportion to the dry one.
func (s section) friction(what string, pair material.Pair) slides {
	dry, ok := s.numberFigure("friction", frictionRange, material.OfFriction)
	if !ok {
		dry = pair.Dry
		if !s.has("friction") {
			s.assume("%s: friction %s assumed, %s on %s, dry (%s); measure it", what, trimmed(dry.Likely), pair.Work,
				pair.On, pair.Dry.Source)
		}
	}
	wet, ok := s.numberFigure("friction_wet", frictionRange, material.OfWetFriction)
	if !ok {
		share := dry.Likely * pair.WetShare() / pair.Wet.Likely
		wet = material.Range{Low: share * pair.Wet.Low, Likely: dry.Likely * pair.WetShare(),
			High: share * pair.Wet.High, Source: pair.Wet.Source}
	}
	return slides{dry, wet, ok || dry.Low == dry.High}
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
