package job

import (
	"fmt"
	"math"
	"slices"

	"staydown/hold/doubt"
	"staydown/hold/material"
)

// pull is a reading of the spring scale that drags a coupon over the table.
type pull struct {
	forceN  float64 // when the coupon starts to slide
	pressN  float64 // vacuum on its area, and its weight
	areaMM2 float64
}

// pulls are the readings of one state of the table, dry or wet.
type pulls []pull

// pulls reads every [[layer.pull]] of a coupon of the work, dry and wet ones apart. It is not ok if one is wrong, which
// has been reported.
func (s section) pulls(ambientPa float64, work material.Work) (dry, wet pulls, ok bool) {
	ok = true
	for _, t := range s.each(s.node, "pull", maxPulls) {
		t.name = "layer.pull"
		other := t.ofAnother(work)
		okA, okV := t.need("area", `"100 cm2"`), t.need("vacuum", `"400 mbar"`)
		okR := t.need("readings", `["80 N", "95 N", "88 N"]`)
		a, okM := t.quantity("area", area, testAreaMM2)
		v, okN := t.quantity("vacuum", pressure, vacuumPa)
		weight, okW := t.quantity("weight", force, forceN)
		if okN && v >= ambientPa {
			t.say(t.where("vacuum"), "vacuum", fmt.Sprintf("%s is more than the ambient pressure of %s",
				pressure.write(v), pressure.write(ambientPa)), "write what the gauge shows below ambient")
			okN = false
		}
		forces, okF := t.readings("readings", func(v *node) (float64, bool) {
			return t.measure(v, "readings", force, forceN)
		})
		isWet, okB := t.flag("wet")
		if !(okA && okV && okR && okM && okN && okF) || t.has("weight") && !okW || t.has("wet") && !okB {
			ok = false
			continue
		}
		if other {
			continue
		}
		for _, f := range forces {
			p := pull{forceN: f, pressN: v*a*1e-6 + weight, areaMM2: a}
			if isWet {
				wet = append(wet, p)
			} else {
				dry = append(dry, p)
			}
		}
	}
	return dry, wet, ok
}

// ofAnother tells whether a coupon is of another material than the work.
func (s section) ofAnother(work material.Work) bool {
	name, ok := s.phrase("material")
	if !ok {
		if !s.has("material") {
			s.assume("the coupon of the pull on line %d is of %s (material)", s.at.Line, work.Name)
		}
		return false
	}
	if known := append(slices.Clone(s.ownWorks), builtWorks()...); !slices.Contains(known, name) {
		s.unknownName("material", name, "material", known)
	}
	return name != work.Name
}

// readings reads what was read off once or several times: one value or a list.
func (s section) readings(name string, one func(*node) (float64, bool)) ([]float64, bool) {
	v, ok := s.usable(name)
	if !ok {
		return nil, false
	}
	items := []*node{v}
	if v.form == list {
		if items, ok = s.items(name, 1, maxReadings, "one value or a list of readings"); !ok {
			return nil, false
		}
	}
	var out []float64
	for _, item := range items {
		x, good := one(item)
		out, ok = append(out, x), ok && good
	}
	return out, ok
}

// vacuums tells whether the readings were taken at pressures so far apart that slope and intercept can be told apart.
func (p pulls) vacuums() bool {
	const apart = 1.5
	least, most := math.Inf(1), 0.0
	for _, r := range p {
		least, most = min(least, r.pressN/r.areaMM2), max(most, r.pressN/r.areaMM2)
	}
	return len(p) > 2 && most > apart*least
}

// each is the friction that every reading gives by itself with a known tack, Pa. It is not ok if tack alone would have
// held the coupon.
func (p pulls) each(tackPa float64) ([]float64, bool) {
	var out []float64
	for _, r := range p {
		f := (r.forceN - tackPa*r.areaMM2*1e-6) / r.pressN
		if f <= 0 {
			return nil, false
		}
		out = append(out, f)
	}
	return out, true
}

// frictionAndTack fits force = friction x press + tack x area by least squares to readings at several vacuums. It is
// not ok if they show no tack (at 5 %): it is none then.
func (p pulls) frictionAndTack() (friction doubt.Input, tack material.Range, ok bool) {
	var nn, na, aa, fn, fa float64
	for _, r := range p {
		a := r.areaMM2 * 1e-6
		nn, na, aa = nn+r.pressN*r.pressN, na+r.pressN*a, aa+a*a
		fn, fa = fn+r.forceN*r.pressN, fa+r.forceN*a
	}
	det := nn*aa - na*na
	slope, tackPa := (fn*aa-fa*na)/det, (fa*nn-fn*na)/det
	squares, n := 0.0, float64(len(p))
	for _, r := range p {
		e := r.forceN - slope*r.pressN - tackPa*r.areaMM2*1e-6
		squares += e * e
	}
	off := doubt.StudentT(n-2) * math.Sqrt(squares/(n-2)*nn/det)
	readings, positive := p.each(tackPa)
	if slope <= 0 || tackPa <= off || !positive {
		return friction, tack, false
	}
	friction = doubt.Fitted("", slope, readings, doubt.Fit{Figures: 2, Variance: aa * nn / det / n}, pullScatter())
	sp := material.OfTack.Spread()
	return friction, material.Range{
		Low:    max(0, tackPa-math.Hypot(off, (1-sp.Low)*tackPa)),
		Likely: tackPa,
		High:   tackPa + math.Hypot(off, (sp.High-1)*tackPa),
		Source: fmt.Sprintf("layer.pull, %d readings, and from sheet to sheet (%s)", len(p), sp.Source),
	}, true
}

// fading tells when the vacuum fades so far towards the rim of a coupon that its friction comes out too low. A coupon
// on an uncut layer loses 2 ln 2/pi of the thickness along its rim: the exact solution for isotropic layers on an open
// plenum.
func (s section) fading(all pulls, thicknessMM float64) {
	const lostWidth, told = 2 * math.Ln2 / math.Pi, 0.05
	most := 0.0
	for _, r := range all {
		most = max(most, 4*lostWidth*thicknessMM/math.Sqrt(r.areaMM2))
	}
	if most > told {
		s.assume("friction by pulls: vacuum fades towards the rim of the coupon, the friction comes out up to %.0f "+
			"%% too low; pull a larger coupon", 100*min(most, 1))
	}
}

func pullScatter() doubt.Scatter {
	sp := material.OfPull.Spread()
	return doubt.Scatter{Low: sp.Low, High: sp.High}
}

// pulled is what the pulls on the layer say.
type pulled struct {
	dry, wet doubt.Input // Low above 0 where there are readings
	dryN     int         // readings
	wetN     int
	tack     material.Range // of readings at several vacuums
}

// pulled evaluates the pulls with the tack that the file gives, or finds tack from them.
func (s section) pulled(ambientPa, typedTackPa, thicknessMM float64, work material.Work) pulled {
	dry, wet, ok := s.pulls(ambientPa, work)
	if !ok {
		return pulled{}
	}
	if len(dry) > 0 && s.has("friction") || len(wet) > 0 && s.has("friction_wet") {
		s.say(s.where("pull"), "layer.pull", "the friction is given in two ways", "leave one of them out")
		return pulled{}
	}
	s.fading(append(slices.Clone(dry), wet...), thicknessMM)
	out := pulled{dryN: len(dry), wetN: len(wet)}
	tackPa := typedTackPa
	if dry.vacuums() && !s.has("tack") {
		var found bool
		if out.dry, out.tack, found = dry.frictionAndTack(); found {
			tackPa = out.tack.Likely
		}
	}
	for _, of := range []struct {
		pulls
		to *doubt.Input
	}{{dry, &out.dry}, {wet, &out.wet}} {
		if len(of.pulls) == 0 || of.to.Low > 0 {
			continue
		}
		readings, positive := of.pulls.each(tackPa)
		if !positive {
			s.say(s.where("pull"), "layer.pull", fmt.Sprintf("tack of %s alone would have held a coupon that slid",
				pressure.write(tackPa)), "check area, forces and tack")
			return pulled{}
		}
		*of.to = doubt.Measured("", readings, pullScatter())
	}
	for _, f := range []doubt.Input{out.dry, out.wet} {
		if f.Low > 0 && !frictionRange.has(f.Likely) {
			s.say(s.where("pull"), "layer.pull", fmt.Sprintf("the readings give a friction of %s, which no pair has",
				short(f.Likely)), "check area, vacuum and forces and their units")
			return pulled{}
		}
	}
	return out
}
