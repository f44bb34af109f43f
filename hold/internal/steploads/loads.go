package steploads

import (
	"math"
	"slices"

	"staydown/hold/contact"
	"staydown/hold/cutload"
	"staydown/hold/internal/toolpath"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// Model gives the loads of the steps of a program with a job.
type Model struct {
	Moves    *parse.Moves
	Job      *job.Job
	Cuts     *cutload.Cache
	BottomMM float64 // Z of the table side of the stock as swept
	LowerMM  float64 // by which the table side lies lower than swept
}

// unknownDirections is the number of directions tried when the sweep cannot tell on which side the cutter pushes.
const unknownDirections = 16

// Cut puts a step into the terms of the load model, with the change applied.
func (w *Model) Cut(s *sweep.Step, c Change) cutload.Cut {
	m := w.Moves.At(int(s.Move))
	return w.cutOf(&m, s, c)
}

// cutOf does so for the move of the step.
func (w *Model) cutOf(m *parse.Move, s *sweep.Step, c Change) cutload.Cut {
	from, to := toolpath.Along(m, float64(s.From)), toolpath.Along(m, float64(s.To))
	tip := math.Min(from.At.Z, to.At.Z)
	feed := m.FeedMMMin
	if m.Kind == parse.Rapid {
		// A rapid through material cuts at the rapid rate.
		feed = w.Job.Machine.RapidMMMin
	}
	through := s.Flags&sweep.Breakthrough != 0
	low := float64(s.LowMM)
	if through && w.LowerMM != 0 {
		low = math.Max(tip, low-w.LowerMM)
	}
	depth := math.Max(0, float64(s.HighMM)-low)
	gap := math.Max(0, low-tip)
	if c.SkinMM > 0 && c.Raised.Have(m.Line) {
		// The tool stays above the skin: what it does not reach below is not cut.
		lost := math.Min(depth, math.Max(0, w.BottomMM+c.SkinMM-float64(s.LowMM)))
		depth, gap, through = depth-lost, 0, false
	}
	if c.PassMM > 0 {
		depth = math.Min(depth, c.PassMM)
	}
	if c.FeedMMMin > 0 && m.Kind != parse.Rapid {
		feed = math.Min(feed, c.FeedMMMin)
	}
	cut := cutload.Cut{
		RightRad: float64(s.RightRad), LeftRad: float64(s.LeftRad), WidthMM: float64(s.WidthMM),
		DepthMM: depth, TipGapMM: gap,
		FeedMMMin: feed, RPM: m.RPM, Spindle: m.Spindle,
		Plunge: s.Flags&sweep.Plunge != 0, Rub: s.Flags&sweep.Rub != 0,
		Breakthrough: through, Retract: s.Flags&sweep.Retract != 0,
		RampRad: to.RampRad,
	}
	if c.Plunge {
		cut.RightRad, cut.LeftRad, cut.RampRad = -math.Pi, math.Pi, math.Pi/2
		cut.Plunge, cut.Rub, cut.Retract, cut.Breakthrough = true, false, false, true
	}
	return cut
}

// All gives the load of a step at every place and rotor angle that is looked at, for the contact model.
func (w *Model) All(s *sweep.Step, c Change, into []contact.Load) ([]contact.Load, cutload.Load, error) {
	m := w.Moves.At(int(s.Move))
	load, err := w.loadOf(&m, s, c)
	into = into[:0]
	if err == nil {
		places := toolpath.Places(&m, float64(s.From), float64(s.To))
		into = slices.Grow(into, len(places)*len(load.Rotor))
		for _, p := range places {
			into = w.Put(load, s, p, into)
		}
	}
	return into, load, err
}

// Load gives the load of a step wherever it is.
func (w *Model) Load(s *sweep.Step, c Change) (cutload.Load, error) {
	m := w.Moves.At(int(s.Move))
	return w.loadOf(&m, s, c)
}

// loadOf does so for the move of the step.
func (w *Model) loadOf(m *parse.Move, s *sweep.Step, c Change) (cutload.Load, error) {
	tool := w.Job.Tools[int(m.Tool)]
	if c.DownCut {
		tool.HelixRad, tool.UpcutMM = -math.Abs(tool.HelixRad), 0
	}
	load, err := w.Cuts.Cutting(tool, w.cutOf(m, s, c))
	if err == nil && s.LeftRad <= s.RightRad {
		load = allRound(load)
	}
	return load, err
}

// Put appends the load of a step at a place, rotor angle by rotor angle.
func (w *Model) Put(load cutload.Load, s *sweep.Step, p toolpath.Place, into []contact.Load) []contact.Load {
	cosF, sinF := p.CosF, p.SinF
	if s.Flags&sweep.Plunge != 0 {
		cosF, sinF = 1, 0
	}
	tip := p.At.Z - w.BottomMM
	into = slices.Grow(into, len(load.Rotor))
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
