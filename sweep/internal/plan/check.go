package plan

import (
	"fmt"
	"math"
	"runtime"

	"staydown/parse"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

func Prepare(moves *parse.Moves, tools map[int]shape.Tool, stock raster.Stock, opt Options) (*Setup, error) {
	s := &Setup{Opt: opt, Stock: stock, Moves: moves, Cutters: map[int32]*shape.Cutter{}}
	if s.Opt.Jobs <= 0 {
		s.Opt.Jobs = runtime.GOMAXPROCS(0)
	}
	if s.Opt.MemoryBytes <= 0 {
		s.Opt.MemoryBytes = defaultMemory
	}
	if err := s.checkStock(); err != nil {
		return nil, err
	}
	if err := s.checkMoves(); err != nil {
		return nil, err
	}
	if err := s.checkTools(tools); err != nil {
		return nil, err
	}
	if err := s.chooseWeb(); err != nil {
		return nil, err
	}
	err := s.chooseCell()
	s.Chord = s.Grid.CellMM / chordPart
	return s, err
}

func (s *Setup) checkStock() error {
	if len(s.Stock.Blanks) == 0 {
		return faultf(0, "the stock has no blank; give at least one outline")
	}
	if len(s.Stock.Blanks) > maxBlanks {
		return faultf(0, "the stock has %d blanks; at most %d are possible", len(s.Stock.Blanks), maxBlanks)
	}
	vertices := 0
	for i, b := range s.Stock.Blanks {
		h := b.TopMM - s.Stock.BottomMM
		if !(h > raster.ThroughMM) || h > raster.MaxHeightMM {
			return faultf(0, "blank %d is %s thick; its upper face must lie above its lower one, by at most %s",
				i+1, s.mm(h), s.mm(raster.MaxHeightMM))
		}
		s.Top = max(s.Top, h)
		if len(b.Outline) == 0 || len(b.Outline[0]) < 3 {
			return faultf(0, "blank %d has no outline; give at least three corners", i+1)
		}
		for _, ring := range b.Outline {
			vertices += len(ring)
			for _, p := range ring {
				if !(math.Abs(p[0]) <= maxCoordMM && math.Abs(p[1]) <= maxCoordMM) {
					return faultf(0, "blank %d has a corner at %s, %s; coordinates go up to %s", i+1, s.mm(p[0]),
						s.mm(p[1]), s.mm(maxCoordMM))
				}
			}
		}
	}
	if vertices > maxVertices {
		return faultf(0, "the outlines of the stock have %d corners; at most %d are possible", vertices, maxVertices)
	}
	return nil
}

func (s *Setup) checkMoves() error {
	if s.Moves.Len() > maxMoves {
		return faultf(0, "the program has %d moves; at most %d are possible", s.Moves.Len(), maxMoves)
	}
	for i := range s.Moves.Len() {
		m := s.Moves.At(i)
		for _, v := range [...]float64{m.Start.X, m.Start.Y, m.Start.Z, m.End.X, m.End.Y, m.End.Z} {
			if !(math.Abs(v) <= maxCoordMM) {
				return faultf(m.Line, "the move goes to a coordinate of %s; coordinates go up to %s", s.mm(v),
					s.mm(maxCoordMM))
			}
		}
		if m.Kind != parse.Arc {
			continue
		}
		if r := m.RadiusMM(); !(r <= maxCoordMM) || !(math.Abs(m.TurnRad)*math.Sqrt(r+1) <= 2e4) {
			return faultf(m.Line, "the arc of radius %s turns by %g rad; it is too long to follow", s.mm(r), m.TurnRad)
		}
	}
	return nil
}

// checkTools builds the cutters of all tools that come below the highest face of the stock.
func (s *Setup) checkTools(tools map[int]shape.Tool) error {
	low := s.Stock.BottomMM + s.Top
	for i := range s.Moves.Len() {
		m := s.Moves.At(i)
		if s.Cutters[m.Tool] != nil || m.Kind == parse.Dwell || m.LowestZ() >= low {
			continue
		}
		t, ok := tools[int(m.Tool)]
		if !ok && m.Tool == 0 && len(tools) == 1 {
			for _, t = range tools {
				ok = true
			}
			s.Assumed = append(s.Assumed, fmt.Sprintf("tool %d is in the spindle at the start: the program cuts "+
				"before it calls a tool", t.Number))
		}
		if !ok {
			return faultf(m.Line, "tool %d goes below the top of the stock but is not described; add it to the tools "+
				"of the job", m.Tool)
		}
		if !(t.DiameterMM > 0) || t.DiameterMM > raster.MaxHeightMM {
			return faultf(m.Line, "tool %d has a diameter of %s; give one above 0", m.Tool, s.mm(t.DiameterMM))
		}
		if t.Shape > shape.Drill {
			return faultf(m.Line, "tool %d has an unknown shape", m.Tool)
		}
		if (t.Shape == shape.Vee || t.Shape == shape.Drill) && !(t.AngleRad > 0.01 && t.AngleRad <= math.Pi) {
			return faultf(m.Line, "tool %d has a point angle of %.4g deg; give the included angle, above 0 and up to "+
				"180 deg", m.Tool, t.AngleRad*180/math.Pi)
		}
		if t.Shape == shape.Bull && !(t.CornerMM >= 0 && t.CornerMM <= t.DiameterMM/2) {
			return faultf(m.Line, "tool %d has a corner radius of %s; it lies between 0 and half the diameter",
				m.Tool, s.mm(t.CornerMM))
		}
		s.Cutters[m.Tool] = shape.NewCutter(t)
		s.Largest = max(s.Largest, t.DiameterMM)
	}
	return nil
}

// mostWebMM is the height of usual tabs.
const mostWebMM = 3

// chooseWeb settles the height of webs: half the thinnest blank, but no more than mostWebMM.
func (s *Setup) chooseWeb() error {
	if s.Opt.WebMM > 0 && s.Opt.WebMM < raster.MaxHeightMM {
		return nil
	}
	if s.Opt.WebMM != 0 {
		return faultf(0, "the web height is %s; give one above 0", s.mm(s.Opt.WebMM))
	}
	thin := math.Inf(1)
	for _, b := range s.Stock.Blanks {
		thin = min(thin, b.TopMM-s.Stock.BottomMM)
	}
	s.Opt.WebMM = min(mostWebMM, thin/2)
	s.Assumed = append(s.Assumed, fmt.Sprintf("material up to %s high counts as a web (half the thinnest "+
		"blank, at most %s)", s.mm(s.Opt.WebMM), s.mm(mostWebMM)))
	return nil
}
