package hold

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/cutload"
	"staydown/hold/internal/toolpath"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

const standardGravity = 9.80665 // m/s2, exact by definition (ISO 80000-3)

// unknownDirections is the number of directions tried when the sweep cannot tell on which side the cutter pushes.
const unknownDirections = 16

// cutOf puts a step into the terms of the load model, with the change applied.
func (a *Analysis) cutOf(s *sweep.Step, c change) cutload.Cut {
	m := a.prog.Moves.At(int(s.Move))
	from, to := toolpath.Along(&m, float64(s.From)), toolpath.Along(&m, float64(s.To))
	tip := math.Min(from.At.Z, to.At.Z)
	feed := m.FeedMMMin
	if m.Kind == parse.Rapid {
		// A rapid through material cuts at the rapid rate.
		feed = a.job.Machine.RapidMMMin
	}
	through := s.Flags&sweep.Breakthrough != 0
	low := float64(s.LowMM)
	if through && a.lowerMM != 0 {
		low = math.Max(tip, low-a.lowerMM)
	}
	depth := math.Max(0, float64(s.HighMM)-low)
	gap := math.Max(0, low-tip)
	if c.skinMM > 0 && c.raised.hold(m.Line) {
		// The tool stays above the skin: what it does not reach below is not cut.
		lost := math.Min(depth, math.Max(0, a.rec.Stock.BottomMM+c.skinMM-float64(s.LowMM)))
		depth, gap, through = depth-lost, 0, false
	}
	if c.passMM > 0 {
		depth = math.Min(depth, c.passMM)
	}
	if c.feedMMMin > 0 && m.Kind != parse.Rapid {
		feed = math.Min(feed, c.feedMMMin)
	}
	cut := cutload.Cut{
		RightRad: float64(s.RightRad), LeftRad: float64(s.LeftRad), WidthMM: float64(s.WidthMM),
		DepthMM: depth, TipGapMM: gap,
		FeedMMMin: feed, RPM: m.RPM, Spindle: m.Spindle,
		Plunge: s.Flags&sweep.Plunge != 0, Rub: s.Flags&sweep.Rub != 0,
		Breakthrough: through, Retract: s.Flags&sweep.Retract != 0,
		RampRad: to.RampRad,
	}
	if c.plunge {
		cut.RightRad, cut.LeftRad, cut.RampRad = -math.Pi, math.Pi, math.Pi/2
		cut.Plunge, cut.Rub, cut.Retract, cut.Breakthrough = true, false, false, true
	}
	return cut
}

// loadsOf gives the load of a step at every place and rotor angle that is looked at, for the contact model.
func (a *Analysis) loadsOf(s *sweep.Step, c change, into []contact.Load) ([]contact.Load, cutload.Load, error) {
	load, err := a.loadOf(s, c)
	into = into[:0]
	if err == nil {
		m := a.prog.Moves.At(int(s.Move))
		for _, p := range toolpath.Places(&m, float64(s.From), float64(s.To)) {
			into = a.put(load, s, p, into)
		}
	}
	return into, load, err
}

// loadOf gives the load of a step wherever it is.
func (a *Analysis) loadOf(s *sweep.Step, c change) (cutload.Load, error) {
	tool := a.job.Tools[int(a.prog.Moves.At(int(s.Move)).Tool)]
	if c.downCut {
		tool.HelixRad, tool.UpcutMM = -math.Abs(tool.HelixRad), 0
	}
	load, err := a.cuts.Cutting(tool, a.cutOf(s, c))
	if err == nil && s.LeftRad <= s.RightRad {
		load = allRound(load)
	}
	return load, err
}

// put appends the load of a step at a place, rotor angle by rotor angle.
func (a *Analysis) put(load cutload.Load, s *sweep.Step, p toolpath.Place, into []contact.Load) []contact.Load {
	cosF, sinF := p.CosF, p.SinF
	if s.Flags&sweep.Plunge != 0 {
		cosF, sinF = 1, 0
	}
	tip := p.At.Z - a.rec.Stock.BottomMM
	for i, f := range load.Rotor {
		into = append(into, contact.Load{
			XN: f.Ahead*cosF - f.Left*sinF, YN: f.Ahead*sinF + f.Left*cosF, ZN: f.Up,
			X: p.At.X, Y: p.At.Y, HeightMM: math.Max(0, tip+load.Heights[i]), TorqueNmm: load.Torque[i],
		})
	}
	return into
}

// allRound turns the peak of a load into every direction.
func allRound(load cutload.Load) cutload.Load {
	load.Rotor = make([]cutload.Force, unknownDirections)
	load.Torque = make([]float64, unknownDirections)
	heights := make([]float64, unknownDirections)
	for i := range load.Rotor {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / unknownDirections)
		load.Rotor[i] = cutload.Force{Ahead: load.Peak * cos, Left: load.Peak * sin, Up: load.UpN}
		load.Torque[i] = load.TorqueNmm
		heights[i] = load.HeightMM
	}
	load.Heights = heights
	return load
}

// bodyKey names a piece as it lies in an epoch, with the section that joins it, counted from 1; 0 for none. Alone,
// nothing but that holds it.
type bodyKey struct {
	piece   int32
	section int
	alone   bool
}

// bodyOf describes a piece as it lies on the table in an epoch, with the chuck at the given absolute pressure and the
// change applied.
func (a *Analysis) bodyOf(e *epoch, key bodyKey, chuckPa float64, c change) contact.Body {
	id := key.piece
	p := &a.rec.Pieces[id-1]
	patches := e.patches[id]
	b := contact.Body{
		Elements: make([]contact.Element, len(patches)),
		Friction: e.friction[id], TackPa: tackPa(a.job) + c.tackPa, Enough: a.enough,
		Presses: a.clamps.PressesOn(p, e.until),
		WeightN: a.weightN(p), WeightX: p.Centroid[0], WeightY: p.Centroid[1],
		Anchored: p.Parent == 0 && p.Hung >= sweep.Never && (a.job.Stock.Anchored || c.anchored),
	}
	for i, q := range patches {
		b.Elements[i] = contact.Element{X: q.X, Y: q.Y, AreaMM2: q.AreaMM2}
		if !key.alone {
			b.Elements[i].PressurePa = airflow.DifferencePa(a.job.AmbientPa, chuckPa, q.W)
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
