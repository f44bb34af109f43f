package hold

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/job"
	"staydown/sweep"
)

const standardGravity = 9.80665 // m/s2, exact by definition (ISO 80000-3)

// bodyKey names a piece as it lies in an epoch, with the section that joins it, counted from 1; 0 for none. Alone,
// nothing but that holds it.
type bodyKey struct {
	piece   int32
	section int
	alone   bool
}

// bodyOf describes a piece as it lies on the table in an epoch, with the chuck at the given pressure and the change
// applied.
func (a *Analysis) bodyOf(e *epoch, key bodyKey, chuck airflow.Chuck, c change) contact.Body {
	id := key.piece
	p := &a.rec.Pieces[id-1]
	patches := e.patches[id]
	b := contact.Body{
		Elements: make([]contact.Element, len(patches)),
		Rim:      a.rims[id-1], Friction: e.friction[id], TackPa: tackPa(a.job) + c.tackPa, Enough: a.enough,
		Presses: a.clamps.PressesOn(p, e.until),
		WeightN: a.weightN(p), WeightX: p.Centroid[0], WeightY: p.Centroid[1],
		Anchored: p.Parent == 0 && p.Hung >= sweep.Never && (a.job.Stock.Anchored || c.anchored),
	}
	for i, q := range patches {
		b.Elements[i] = contact.Element{X: q.X, Y: q.Y, AreaMM2: q.AreaMM2}
		if !key.alone {
			b.Elements[i].PressurePa = chuck.DifferencePa(a.job.AmbientPa, q)
		}
	}
	for i := range p.Sections {
		b.Room = append(b.Room, a.joins(&p.Sections[i])...)
	}
	if key.alone {
		b.WeightN, b.TackPa, b.Presses = 0, 0, nil
	}
	return b
}

// newRims are the hulls of the rims of all pieces.
func (a *Analysis) newRims() [][]orb.Point {
	out := make([][]orb.Point, len(a.rec.Pieces))
	for i := range out {
		out[i] = contact.Hull(a.cutters.Rim(a.rec, &a.rec.Pieces[i]))
	}
	return out
}

// websOf gives the webs that hold a piece, those of a change among them.
func (a *Analysis) websOf(key bodyKey, c change) []contact.Web {
	var webs []contact.Web
	if key.section > 0 {
		webs = a.joins(&a.rec.Pieces[key.piece-1].Sections[key.section-1])
	}
	if c.floorMM > 0 {
		for i := range webs {
			webs[i].ThicknessMM = math.Min(webs[i].ThicknessMM, c.floorMM)
		}
	}
	return append(webs, c.webs...)
}

// web gives a web its strength from the stock's material.
func (a *Analysis) web(at orb.Point, widthMM, thicknessMM, lengthMM float64) contact.Web {
	w := a.job.Stock.Material
	return contact.Web{
		X: at[0], Y: at[1], WidthMM: widthMM, ThicknessMM: thicknessMM, LengthMM: lengthMM,
		ShearMPa: w.Shear.Likely, TensileMPa: w.Tensile.Likely, YieldMPa: w.Yield.Likely,
	}
}

// weightN is the weight of a piece, from what is left of its area at the end of the program: a lower bound.
func (a *Analysis) weightN(p *sweep.Piece) float64 {
	if p.AreaMM2 <= 0 {
		return 0
	}
	left := math.Min(1, p.FinalAreaMM2/p.AreaMM2)
	return a.job.Stock.Material.Density.Likely * p.VolumeMM3 * left * 1e-9 * standardGravity
}

// tackPa is the tack of the layer.
func tackPa(j *job.Job) float64 {
	if j.Layer == nil {
		return 0
	}
	return j.Layer.TackPa
}
