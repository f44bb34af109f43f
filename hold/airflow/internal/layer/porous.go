package layer

import (
	"math"

	"github.com/paulmach/orb/planar"

	"staydown/hold/internal/gas"
	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/sweep"
)

// Work lets air through: from its upper face down to what it lies on, and in its plane from its cut edges. Its
// resistance per area, thickness over permeability, is in series with that of the layer.
//
// How thick it is where pockets and passes thin it comes from the heights that the sweep keeps, on the leaky side: a
// pocket counts as deep from the start as it is in the end; what is later cut through or to a web counts from the start
// as thin as the lowest floor above web height that any cut of the program leaves, and from the moment on at which it
// is a web as thin as it ever gets.
type Work struct {
	ThroughM2 float64
	stretch   float64 // sqrt(along/through)
	faced     bool    // its upper face is tight where it is not machined

	fullMM, tallMM float64 // thickness of the lowest and of the highest blank
	FloorMM        float64 // what counts as left of a cell that will be cut through or to a web
	last           struct{ mm, seep float32 }
}

// NewWork takes the stock and the lowest floor above web height that the program leaves anywhere, 0 for none. It
// gives nil for tight work, and for work whose face on the table is tight: what goes through it does not
// get below it.
func NewWork(j *job.Job, stock sweep.Stock, lowestMM float64) *Work {
	w := j.Stock.Material
	if !j.Stock.Porous() {
		return nil
	}
	p := &Work{ThroughM2: w.Through.Likely, stretch: math.Sqrt(w.Along.Likely / w.Through.Likely),
		faced: j.Stock.Faced == material.FacedTop}
	for i, blank := range stock.Blanks {
		thick := blank.TopMM - stock.BottomMM
		if i == 0 {
			p.fullMM = thick
		}
		p.fullMM, p.tallMM = math.Min(p.fullMM, thick), math.Max(p.tallMM, thick)
	}
	p.FloorMM = p.fullMM
	if lowestMM > 0 {
		p.FloorMM = math.Min(p.fullMM, lowestMM)
	}
	return p
}

// seepSteps is in how many steps an octave of heights between is told apart, so that slopes do not make every cell a
// kind of its own. Heights count at most 2.2 % too low.
const seepSteps = 32

// SeepOf is 1/height, per mm: what a face of the work lets through, over its area and permeability.
func (p *Work) SeepOf(mm float32) float32 {
	if mm == p.last.mm {
		return p.last.seep
	}
	height := math.Max(float64(mm), sweep.ThroughMM)
	seep := 1 / height
	switch {
	case height > p.tallMM-sweep.ThroughMM && p.faced:
		seep = 0
	case height != p.fullMM && height != p.tallMM:
		seep = math.Exp2(math.Ceil(seepSteps*math.Log2(seep)) / seepSteps)
	}
	p.last.mm, p.last.seep = mm, float32(seep)
	return p.last.seep
}

// Before is the height that counts for a cell that is no web yet.
func (p *Work) Before(cut sweep.Progress, left, webMM float32) float32 {
	switch {
	case cut < sweep.Never || webMM > 0:
		return float32(p.FloorMM)
	case left > 0:
		return left
	}
	return float32(p.fullMM) // a cut that is left out
}

// Porosity is the work in units of the layer it lies on.
type Porosity struct {
	// permeability over that of the layer, times the layer's thickness: over the height, what goes through an area
	ThroughMM float64
	Stretch   float64
	Faced     bool
	Reach     float64 // of the layer, t s
}

// On gives the work in units of the layer.
func (p *Work) On(l *job.Layer) Porosity {
	return Porosity{
		ThroughMM: p.ThroughM2 / l.ThroughM2 * l.ThicknessMM, Stretch: p.stretch, Faced: p.faced,
		Reach: l.ThicknessMM * math.Sqrt(l.AlongM2/l.ThroughM2),
	}
}

// PastGasketM3 is the conductance (m3) of the ways through the work from beyond the cord of a gasketed zone, as if
// material lay all round it: below an open upper face that of surfaceLossWidth more of width, whatever the height;
// below a tight one that from a cut edge one height outside the cord.
func (p *Work) PastGasketM3(zone job.Zone) float64 {
	if !zone.Open || zone.Seal != job.GasketSeal {
		return 0
	}
	length := planar.Length(zone.Area) * gas.MPerMM
	if p.faced {
		return length * p.ThroughM2 * p.stretch * p.stretch
	}
	return length * p.ThroughM2 * p.stretch * SurfaceLossWidth
}

// Sideways is what the work adds to kappa (field), mm2, where it lets through the given share seep (1/mm) per area, and
// kappa is that of the layer alone.
//
// Below an open upper face pressure falls in a straight line through the work, whose mean square is a third; below a
// tight one it is the same over all the height; a quarter on top bounds the detour round the corner. Where the work is
// far more open in its plane than across, as wood is, all that its edges let in has to come down through it: the second
// bound. Both were held against finite differences of the section of layer and work from a half to twice the layer's
// thickness, with work 0.001 to 3 times as permeable and stretches of 1 to 45: never less hold lost and air let in than
// there, at most 1.1 times as much in board (stretch up to 2), 1.6 times in faced work and in wood.
func (p Porosity) Sideways(seep, kappa float64) float64 {
	if seep <= 0 {
		return 0
	}
	share, wide := p.ThroughMM*seep, p.Stretch/seep
	straight, detour := 1.0/3, 0.7*math.Log1p(wide/p.Reach)
	if p.Faced {
		straight, detour = 1.25, detour+1
	}
	width := math.Sqrt(kappa) + detour*share*wide
	return math.Min(straight*share*wide*wide, width*width-kappa)
}
