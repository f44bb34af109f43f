package layer

import (
	"math"

	"staydown/hold/job"
)

// blurredShare is how thick a layer (t s) must be, over the land between two grooves, for them to be taken together.
// Leak of cuts and hold lost beside them are then right within 6 % over the pattern (finite volumes in three
// dimensions); for a single cut AlongGroove bounds the one, BesideCut the other. Grooves told apart below layers that
// are not much thinner leak up to 1.6 times too much.
const blurredShare = 0.3

// Grooves are those through which a zone draws air below a layer; nil where it is closed, gasketed or has none.
func Grooves(z *job.Zone) *job.Groove {
	if !z.Open || z.Seal != job.LayerSeal {
		return nil
	}
	return z.Groove
}

// Blurred tells grooves that lie so close under so thick a layer that it takes them for one plenum a little further
// away.
func Blurred(g job.Groove, l *job.Layer) bool {
	return l.ThicknessMM*stretchOf(l) >= blurredShare*(g.PitchMM-g.WidthMM)
}

// Constriction is how much further away, in mm across the layer, that plenum seems.
//
// For slots of width c at a pitch p in one direction below a thick layer it is (p/pi) ln(1/sin(pi c/(2 p))) (conformal
// mapping). Slots both ways draw from all sides of each land: 0.48 - 0.41 c/p of it. A layer that is thinner than half
// a pitch spreads the flow less: sqrt(tanh(2 pi t s/p)). Both factors are fits to finite volumes of one pitch, to 1 %
// of layer and constriction for c/p from 0.1 to 0.5 and t s/p from 0.2 up.
func Constriction(g job.Groove, l *job.Layer) float64 {
	c := g.WidthMM / g.PitchMM
	if c >= 1 {
		return 0
	}
	stretch := stretchOf(l)
	slots := g.PitchMM / math.Pi * math.Log(1/math.Sin(math.Pi/2*c))
	spread := math.Sqrt(math.Tanh(2 * math.Pi * l.ThicknessMM * stretch / g.PitchMM))
	return slots * math.Max(0, 0.48-0.41*c) * spread / stretch
}

// AlongGroove is how much more than is told may leak, as a factor, where a cut or the rim of the stock runs along a
// groove: 1 + 0.021 min(1, 10 c) (land/(t s))^2 with the share c = width/pitch.
//
// It bounds finite volumes in three dimensions for c from 0.1 to 0.5, layers from blurredShare up, and cuts up to 12 mm
// wide at any distance from the middle of a groove (the most leaks a cut that covers half of one); at 20 mm up to 4 %
// more may leak. Along the middle of a land it leaks up to a quarter less than is told.
func AlongGroove(g job.Groove, l *job.Layer) float64 {
	c, land := pattern(g, l)
	return 1 + 0.021*math.Min(1, 10*c)*land*land
}

// BesideCut is how much wider the strip without hold beside such a cut may be, likewise: 1 + 0.045 c (1 - c) (land/(t
// s))^2. It bounds the same cuts; beside one of 20 mm up to 10 % more may be lost.
func BesideCut(g job.Groove, l *job.Layer) float64 {
	c, land := pattern(g, l)
	return 1 + 0.045*c*(1-c)*land*land
}

// pattern gives width/pitch of grooves and the land between them over the layer's thickness t s; grooves that meet
// leave none.
func pattern(g job.Groove, l *job.Layer) (c, land float64) {
	return g.WidthMM / g.PitchMM, math.Max(0, g.PitchMM-g.WidthMM) / (l.ThicknessMM * stretchOf(l))
}

// CoarseLandMM is the width of the widest land that the air cells cannot tell from its grooves, 0 if there is none. A
// cut may then lie anywhere on a land, and the field is made to reach half of it.
func CoarseLandMM(j *job.Job, cellMM float64) float64 {
	widest := 0.0
	for i := range j.Zones {
		if g := Grooves(&j.Zones[i]); g != nil && !Blurred(*g, j.Layer) {
			widest = math.Max(widest, CoarseGroove(*g, cellMM))
		}
	}
	return widest
}

// CoarseGroove is the width of the lands between grooves that cells of the given size cannot tell from them, else 0.
func CoarseGroove(g job.Groove, cellMM float64) float64 {
	if land := g.PitchMM - g.WidthMM; land > 0 && cellMM > math.Min(g.WidthMM, land) {
		return land
	}
	return 0
}
