package removal

import (
	"math"

	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

// Consecutive samples become one step while their flags agree, the sides of the cut stay within mergeCells cells and
// the heights within mergeHeightMM (all counted over the whole step, so that slow drift ends it too).
const (
	mergeCells    = 1.5
	mergeHeightMM = 0.25
	// plungeSlope is the climb (mm per mm along) beyond which a sideways move is nearly a plunge: the cut is then
	// carried by the end of the tool, not by its side.
	plungeSlope = 1.0
)

// rawStep is a step that may still grow.
type rawStep struct {
	Step
	tool             *shape.Cutter
	n                int
	sMin, sMax       float64 // of removed cells, mm to the left
	lowMin, lowMax   raster.Fixed
	highMin, highMax raster.Fixed
	vol              int64
	sLo, sHi         [2]float64 // range of sMin and of sMax over the samples merged
}

// sideWindow joins what is removed on blocks shorter than a cell, so that the sides of the cut do not depend on where
// the few cells of a short block happen to lie.
type sideWindow struct {
	tool *shape.Cutter
	end  parse.Point
	past []sideWindowPart
}

type sideWindowPart struct {
	lengthMM   float64
	sMin, sMax float32
}

// stepReader turns samples into steps, in the order of the program.
type stepReader struct {
	s       *plan.Setup
	open    rawStep // its tool is nil when no step is growing
	steps   Steps
	window  sideWindow
	removed int64 // Fixed times cells
}

// read turns the samples of a job into steps.
func (d *stepReader) read(j *job, acc []sample) {
	m := d.s.Moves.At(int(j.move))
	long := j.mm * (j.fb - j.fa) / float64(j.n)
	if d.window.tool != j.tool || d.window.end != m.Start {
		d.window.past = d.window.past[:0]
	}
	d.window.tool, d.window.end = j.tool, m.End
	for n := range acc {
		a := &acc[n]
		d.removed += a.vol
		sMin, sMax := a.sMin, a.sMax
		if !j.plunge && long < 0.99*d.s.Grid.CellMM {
			sMin, sMax = d.window.widen(sideWindowPart{long, sMin, sMax}, d.s.Grid.CellMM)
		}
		if a.n == 0 && a.bits&(bitLeft|bitRight|bitFloor) == 0 {
			continue
		}
		step := d.rawStep(&m, j, a, n, float64(sMin), float64(sMax))
		if d.open.tool != nil && d.open.merge(&step, d.s.Grid.CellMM) {
			continue
		}
		d.closeStep()
		d.open = step
	}
}

// closeStep enters the step that was growing.
func (d *stepReader) closeStep() {
	if d.open.tool == nil {
		return
	}
	d.open.finish(d.s.Grid.CellMM, d.s.Stock.BottomMM)
	d.steps.Add(&d.open.Step)
	d.open.tool = nil
}

// widen adds a part and gives the sides over the last cell of path.
func (w *sideWindow) widen(p sideWindowPart, cell float64) (sMin, sMax float32) {
	w.past = append(w.past, p)
	sMin, sMax = p.sMin, p.sMax
	sum, i := 0.0, len(w.past)-1
	for ; i >= 0 && sum < cell; i-- {
		sum += w.past[i].lengthMM
		if p.sMin <= p.sMax {
			sMin, sMax = min(sMin, w.past[i].sMin), max(sMax, w.past[i].sMax)
		}
	}
	if i >= 0 {
		w.past = w.past[:copy(w.past, w.past[i+1:])]
	}
	return sMin, sMax
}

func (d *stepReader) rawStep(m *parse.Move, j *job, a *sample, n int, sMin, sMax float64) rawStep {
	f0, f1 := j.sampleEdge(n), j.sampleEdge(n+1)
	bottom := d.s.Stock.BottomMM
	z0, z1 := m.At(f0).Z, m.At(f1).Z
	st := rawStep{tool: j.tool, n: int(a.n), vol: a.vol}
	st.Move, st.From, st.To = j.move, float32(f0), float32(f1)
	tip := min(z0, z1)
	st.TipMM = float32(tip)
	fl := StepFlags(0)
	if a.bits&bitLeft != 0 {
		fl |= LeftWall
	}
	if a.bits&bitRight != 0 {
		fl |= RightWall
	}
	if a.bits&bitFloor != 0 {
		fl |= OnFloor
	}
	if a.bits&bitThrough != 0 {
		fl |= Breakthrough
	}
	if tip < bottom-raster.ThroughMM {
		fl |= ChuckCut
	}
	if z1 > z0 && (j.plunge || z1-z0 > 1e-6) {
		fl |= Retract
	}
	if j.plunge || z0-z1 > 0 && math.Abs(m.End.Z-m.Start.Z) > plungeSlope*math.Sqrt(max(0,
		sq(j.mm)-sq(m.End.Z-m.Start.Z))) {
		fl |= Plunge
	}
	if a.n == 0 {
		fl |= Rub
		st.lowMin, st.highMin = raster.ToFixed(tip-bottom), raster.ToFixed(tip-bottom)
		st.lowMax, st.highMax = st.lowMin, st.highMin
	} else {
		if m.Kind == parse.Rapid {
			fl |= RapidCut
		}
		st.lowMin, st.lowMax, st.highMin, st.highMax = a.low, a.low, a.high, a.high
		st.sMin, st.sMax = sMin, sMax
	}
	if over := d.s.Top + bottom - tip - j.tool.ReachMM; j.tool.ReachMM > 0 && over > 0 {
		fl |= OverReach
		st.OverMM = float32(over)
	}
	st.Flags = fl
	if j.plunge && st.n > 0 && z0 > z1 {
		// A plunge is one sample: it begins where it meets material.
		f := (z0 - bottom - a.high.MM()) / (z0 - z1)
		st.From = float32(j.fa + max(0, min(0.999, f))*(j.fb-j.fa))
	}
	st.sLo, st.sHi = [2]float64{st.sMin, st.sMin}, [2]float64{st.sMax, st.sMax}
	return st
}

func sq(x float64) float64 { return x * x }

// finish derives the published figures from the gathered ones.
func (r *rawStep) finish(cell, bottom float64) {
	r.VolumeMM3 = float64(r.vol) / raster.FixedPerMM * cell * cell
	r.LowMM = float32(bottom + r.lowMin.MM())
	r.HighMM = float32(bottom + r.highMax.MM())
	r.Flags &^= FullWidth
	if r.n == 0 {
		r.RightRad, r.LeftRad, r.WidthMM = 0, 0, 0
		return
	}
	reach := r.tool.R
	if tip := float64(r.TipMM); !r.tool.Square() {
		reach = max(cell/2, min(reach, r.tool.Within(float64(r.HighMM)-tip)))
	}
	if r.Flags&Plunge != 0 {
		r.RightRad, r.LeftRad, r.WidthMM = -math.Pi, math.Pi, float32(2*reach)
		return
	}
	// A cell stands for its whole width: half a cell beyond the outermost centers.
	lo, hi := max(-reach, r.sMin-cell/2), min(reach, r.sMax+cell/2)
	lo, hi = min(lo, reach), max(hi, -reach)
	// Within half a cell of the tool's side the raster cannot tell: the side counts as reached.
	if lo < -reach+cell/2 {
		lo = -reach
	}
	if hi > reach-cell/2 {
		hi = reach
	}
	r.RightRad, r.LeftRad = float32(math.Asin(lo/reach)), float32(math.Asin(hi/reach))
	r.WidthMM = float32(hi - lo)
	if lo <= -reach && hi >= reach {
		r.Flags |= FullWidth
	}
}

// merge takes o into r when both tell the same; o follows r.
func (r *rawStep) merge(o *rawStep, cell float64) bool {
	if r.Move != o.Move || r.To != o.From || (r.n == 0) != (o.n == 0) {
		return false
	}
	const soft = FullWidth | Breakthrough
	if r.Flags&^soft != o.Flags&^soft {
		return false
	}
	if r.Flags&Breakthrough != o.Flags&Breakthrough && r.Flags&Plunge != 0 {
		return false
	}
	near := func(a, b, c, d raster.Fixed) bool {
		return max(b, d)-min(a, c) <= raster.Fixed(mergeHeightMM*raster.FixedPerMM)
	}
	if !near(r.lowMin, r.lowMax, o.lowMin, o.lowMax) || !near(r.highMin, r.highMax, o.highMin, o.highMax) {
		return false
	}
	lo := [2]float64{min(r.sLo[0], o.sLo[0]), max(r.sLo[1], o.sLo[1])}
	hi := [2]float64{min(r.sHi[0], o.sHi[0]), max(r.sHi[1], o.sHi[1])}
	if r.n > 0 && (lo[1]-lo[0] > mergeCells*cell || hi[1]-hi[0] > mergeCells*cell) {
		return false
	}
	r.sLo, r.sHi = lo, hi
	r.sMin, r.sMax = lo[0], hi[1]
	r.lowMin, r.lowMax = min(r.lowMin, o.lowMin), max(r.lowMax, o.lowMax)
	r.highMin, r.highMax = min(r.highMin, o.highMin), max(r.highMax, o.highMax)
	r.vol += o.vol
	r.n += o.n
	r.To = o.To
	r.Flags |= o.Flags & Breakthrough
	r.TipMM = min(r.TipMM, o.TipMM)
	r.OverMM = max(r.OverMM, o.OverMM)
	return true
}
