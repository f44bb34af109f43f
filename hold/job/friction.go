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

// friction reads friction (dry) and friction_wet of a layer or zone. What is left out comes from the table of pairs:
// the dry figure itself, the wet one in its proportion to the dry one.
func (s section) friction(what string, pair material.Pair) Friction {
	dry, ok := s.number("friction", frictionRange)
	if !ok {
		dry = pair.Dry.Likely
		if !s.has("friction") {
			s.assume("%s: friction %s assumed, %s on %s, dry (%s); measure it", what, trimmed(dry), pair.Work, pair.On,
				pair.Dry.Source)
		}
	}
	wet, ok := s.number("friction_wet", frictionRange)
	if !ok {
		wet = dry * pair.WetShare()
	}
	return Friction{dry, wet}
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
