package contact

import "math"

// Web is a tab, or a stretch of onion skin, that still joins the piece to what surrounds it.
type Web struct {
	X, Y        float64 // middle of the smallest section, mm
	WidthMM     float64 // along the cut
	WholeMM     float64 // width of the stretch that it is a part of; 0: it stands alone
	ThicknessMM float64 // upright
	// across the cut, between its two held ends, of a bar of even width that bends upright as it does; 0 for a skin
	// that shears along a line instead of bending
	LengthMM   float64
	EdgewiseMM float64 // the same where it bends edgewise; 0: LengthMM
	ShearMPa   float64 // ultimate shear strength
	TensileMPa float64 // ultimate tensile strength
	YieldMPa   float64 // in bending
}

// strength gives what the web carries: in shear across its section, F = tau w t; in tension, F = sigma w t; and
// upright, bent between its two held ends until its skin yields, F = sigma_y w t^2 / (3 L) (from F L/2 = M on each end,
// M = sigma_y w t^2/6). Without a length nothing bends, and bendingN is +Inf.
//
// Source: strength of materials, elastic bending of a beam with both ends held; textbook, from memory.
func (w Web) strength() (shearN, tensionN, bendingN float64) {
	section := w.WidthMM * w.ThicknessMM
	return w.ShearMPa * section, w.TensileMPa * section, bending(w.YieldMPa, w.WidthMM, w.ThicknessMM, w.LengthMM)
}

// Level gives the force in the plane of the table that the web carries in any direction: the least of shear, tension
// and bending edgewise, of which a part of a stretch has its share. A narrow tab across a wide cut bends sideways long
// before it shears.
func (w Web) Level() float64 {
	shear, tension, _ := w.strength()
	whole := max(w.WholeMM, w.WidthMM)
	long := w.EdgewiseMM
	if long == 0 {
		long = w.LengthMM
	}
	edgewise := bending(w.YieldMPa, w.ThicknessMM, whole, long)
	if whole > 0 {
		edgewise *= w.WidthMM / whole
	}
	return min(min(shear, tension), edgewise)
}

// Upright gives the vertical force that the web carries: the lesser of shear and bending.
func (w Web) Upright() float64 {
	shear, _, bend := w.strength()
	return min(shear, bend)
}

// bending is the force at which a bar with both ends held yields: breadth across the force, depth along it.
func bending(yieldMPa, breadthMM, depthMM, lengthMM float64) float64 {
	if lengthMM <= 0 {
		return math.Inf(1)
	}
	return yieldMPa * breadthMM * depthMM * depthMM / (3 * lengthMM)
}

func (w Web) validate() error {
	for _, q := range [...]quantity{{"X", w.X, maxMM}, {"Y", w.Y, maxMM}} {
		if err := q.check(-maxMM); err != nil {
			return err
		}
	}
	for _, q := range [...]quantity{
		{"WidthMM", w.WidthMM, maxMM}, {"WholeMM", w.WholeMM, maxMM}, {"ThicknessMM", w.ThicknessMM, maxMM},
		{"LengthMM", w.LengthMM, maxMM}, {"EdgewiseMM", w.EdgewiseMM, maxMM},
		{"ShearMPa", w.ShearMPa, maxMPa}, {"TensileMPa", w.TensileMPa, maxMPa}, {"YieldMPa", w.YieldMPa, maxMPa},
	} {
		if err := q.check(0); err != nil {
			return err
		}
	}
	return nil
}
