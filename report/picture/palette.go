package picture

import (
	"fmt"
	"image/color"

	"staydown/hold/result"
)

// The colors of all pictures. They are picked by luminance first, so that every pair that must be told apart also
// differs on a gray print, and by the blue-yellow axis second, which red-green color-blind readers keep. No grade is
// told by color alone: hatching, dashes, marks or words go with it. palette_test.go measures all of this.
var (
	inkColour    = rgb(0x1b, 0x25, 0x30) // text, axes, outlines
	dimColour    = rgb(0x4d, 0x59, 0x66) // secondary text
	gridColour   = rgb(0xd8, 0xde, 0xe4) // grid lines
	paperColour  = rgb(0xff, 0xff, 0xff)
	shelfColour  = rgb(0xee, 0xf1, 0xf4) // quiet areas: tool strip, table outside the stock
	shelf2Colour = rgb(0xd3, 0xda, 0xe1) // every second tool
	bandColour   = rgb(0xa6, 0xb1, 0xbc) // where other values of one pixel column lie
	stockColour  = rgb(0x3b, 0x66, 0x8c) // area held by the stock
	partColour   = rgb(0xe6, 0xc3, 0x7d) // area held by freed pieces
	vacuumColour = rgb(0x22, 0x5f, 0x98)
	alarmColour  = rgb(0x8a, 0x1c, 0x50) // alarm and the limit 1
	askedColour  = rgb(0x7a, 0x55, 0x00) // the margin asked for
	atRiskShade  = rgb(0xfb, 0xe7, 0xbd)
	looseShade   = rgb(0xe3, 0xad, 0xc6)
	heldState    = rgb(0xcf, 0xe4, 0xf2)
	atRiskState  = rgb(0xe0, 0xa3, 0x38)
	looseState   = rgb(0x8a, 0x1c, 0x50)
	sliverState  = rgb(0x5a, 0x62, 0x6b)
	unknownState = rgb(0xfb, 0xfa, 0xf4)
	throughKerf  = rgb(0x2f, 0x37, 0x40)
	partwayKerf  = rgb(0x74, 0x81, 0x8e)
)

func rgb(r, g, b uint8) color.NRGBA { return color.NRGBA{R: r, G: g, B: b, A: 0xff} }

// HexColour renders a color the way style sheets write it.
func HexColour(c color.NRGBA) string { return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B) }

// stateColour is the fill of a piece in the plan.
func stateColour(s result.State) color.NRGBA {
	switch s {
	case result.StateHeld:
		return heldState
	case result.StateAtRisk:
		return atRiskState
	case result.StateLoose:
		return looseState
	case result.StateUnknown:
		return unknownState
	}
	return sliverState
}

// PressureColour maps a fraction of the ambient pressure, 0 to 1, to a color that only gets darker: from near
// white over ochre-gray to deep blue, so that the order survives any color vision and a gray print.
func PressureColour(f float64) color.NRGBA {
	stops := []color.NRGBA{rgb(0xf6, 0xe9, 0xc0), rgb(0xd6, 0xc2, 0x8a), rgb(0x8f, 0x9f, 0xa0), rgb(0x3f, 0x71, 0x96),
		rgb(0x14, 0x2f, 0x57)}
	if !(f > 0) { // also NaN
		return stops[0]
	}
	if f >= 1 {
		return stops[len(stops)-1]
	}
	f *= float64(len(stops) - 1)
	i := int(f)
	a, b, t := stops[i], stops[i+1], f-float64(i)
	mix := func(x, y uint8) uint8 { return uint8(float64(x) + float64(t*(float64(y)-float64(x))) + 0.5) }
	return rgb(mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B))
}
