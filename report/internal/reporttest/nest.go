package reporttest

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb"

	"staydown/hold/result"
)

// The fixture is a made-up nest: eight rectangles cut out of a 600 x 400 mm sheet, drilled with tool 1 and cut with
// tool 2 in three depths. Its figures are chosen to show every mark the reports know; they come from no model.

// nest is a program under construction together with what is claimed of it.
type nest struct {
	src  strings.Builder
	line int
	now  float64
	r    *result.Result
}

func (n *nest) write(format string, a ...any) int {
	fmt.Fprintf(&n.src, format+"\n", a...)
	n.line++
	return n.line
}

func (n *nest) sample(seconds, stock, freed, vacuum, margin float64, pieces, tool int) {
	n.now += seconds
	n.r.Timeline = append(n.r.Timeline, result.Sample{TimeS: n.now, Line: n.line, Tool: tool, HeldAreaMM2: stock +
		freed,
		StockHeldMM2: stock, FreedPieces: pieces, VacuumKPa: vacuum, LeakM3h: 20 + (88-vacuum)*3, LeastMargin: margin,
		LeastLow: margin, LeastHigh: 1.5 * margin})
}

func Rectangle(x, y, w, h float64) orb.Ring {
	return orb.Ring{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}, {x, y}}
}

// Fixture returns the nest and the text of its program.
func Fixture() (*result.Result, []byte) {
	n := &nest{r: &result.Result{Margin: 2, Chance: math.NaN(), Verdict: result.Loose}}
	r := n.r
	const stockArea = 600 * 400
	inf, nan := math.Inf(1), math.NaN()
	n.write("%%")
	n.write("(NEST OF EIGHT)")
	n.write("N10 G21 G90 G17 G94")
	n.write("N20 T1 M6 (drill 4 mm)")
	n.write("N30 S9000 M3")
	r.Tools = append(r.Tools, result.ToolUse{Tool: 1, Line: 4, FromS: 0})
	n.sample(4, stockArea, 0, 88, inf, 0, 1)
	state := func(k int) result.State {
		return [...]result.State{result.StateHeld, result.StateHeld, result.StateHeld, result.StateLoose,
			result.StateHeld,
			result.StateAtRisk, result.StateHeld, result.StateSliver}[k]
	}
	size := func(k int) (x, y, w, h float64) {
		x, y, w, h = 30+float64(k%4)*140, 40+float64(k/4)*180, 110, 140
		if k == 3 {
			w, h = 60, 45
		}
		if k == 7 {
			w, h = 7, 5
		}
		return
	}
	for k := range 8 {
		x, y, w, h := size(k)
		n.write("G0 X%.3f Y%.3f Z5.", x+w/2, y+h/2)
		n.sample(1.2, stockArea, 0, 88, inf, 0, 1)
		n.write("G81 Z-6.2 R2. F200.")
		n.sample(2.5, stockArea, 0, 88-0.1*float64(k), 6.5-0.2*float64(k), 0, 1)
		r.Entries = append(r.Entries, result.Entry{At: orb.Point{x + w/2, y + h/2}, Tool: 1, Line: n.line,
			TimeS: n.now})
	}
	r.Tools[0].ToS = n.now
	change := n.write("T2 M6 (flat 6 mm)")
	n.write("S18000 M3")
	r.Tools = append(r.Tools, result.ToolUse{Tool: 2, Line: change, FromS: n.now})
	n.sample(8, stockArea, 0, 87, inf, 0, 2)
	stock, freed, vacuum := float64(stockArea), 0.0, 87.0
	r.Pieces = append(r.Pieces, result.Piece{ID: 1, AreaMM2: stockArea, FinalAreaMM2: 131000, HeldAreaMM2: 96000,
		Centroid: orb.Point{300, 200}, SizeMM: [2]float64{600, 400}, Chance: nan,
		Outline: orb.MultiPolygon{{Rectangle(0, 0, 600, 400)}},
		Least: result.Least{Mode: result.Slip, Margin: 4.1, Low: nan, High: nan, Line: 30, TimeS: 50, HoldN: 2900,
			LoadN: 118}})
	for k := range 8 {
		x, y, w, h := size(k)
		n.write("(PART %d)", k+1)
		n.write("G0 X%.3f Y%.3f Z2.", x-3, y-3)
		n.sample(1.5, stock, freed, vacuum, inf, k, 2)
		piece := result.Piece{ID: k + 2, Freed: true, State: state(k), AreaMM2: w * h, FinalAreaMM2: w * h,
			HeldAreaMM2: w * h * 0.9, SizeMM: [2]float64{w, h}, Chance: nan,
			Centroid: orb.Point{x + w/2, y + h/2}, Outline: orb.MultiPolygon{{Rectangle(x, y, w, h),
				Rectangle(x+w/2-2, y+h/2-2, 4, 4)}}}
		for pass := range 3 {
			n.write("G1 Z%.3f F400.", -2.1*float64(pass+1))
			n.sample(1, stock, freed, vacuum, 5-float64(pass), k, 2)
			if pass == 0 {
				r.Entries = append(r.Entries, result.Entry{At: orb.Point{x - 3, y - 3}, Tool: 2, Line: n.line,
					TimeS: n.now})
			}
			corner := [][2]float64{{x + w + 3, y - 3}, {x + w + 3, y + h + 3}, {x - 3, y + h + 3}, {x - 3, y - 3}}
			for side, c := range corner {
				n.write("G1 X%.3f Y%.3f F%d.", c[0], c[1], 1500-100*pass)
				for part := range 4 {
					margin := 7 - 1.6*float64(pass) - 0.3*float64(part) - 0.1*float64(side)
					if pass == 2 {
						stock -= 6 * (w + h) / 32
						vacuum -= 0.05
						if side >= 2 {
							switch piece.State {
							case result.StateLoose:
								margin = []float64{1.4, 0.9, 0.71, 0.62}[part]
							case result.StateAtRisk:
								margin = []float64{2.6, 1.9, 1.7, 1.55}[part]
							case result.StateSliver:
								margin = 0.35
							}
						}
					}
					if pass == 2 && side == 3 && part == 3 {
						stock -= w * h
						freed += w * h * 0.9
						n.sample((w+h)/2/25/4, stock, freed, vacuum, margin, k+1, 2)
						piece.FreedLine, piece.FreedTimeS = n.line, n.now
						piece.Least = result.Least{Mode: result.Twist, Margin: margin, Low: nan, High: nan,
							Line:  n.line,
							TimeS: n.now, HoldN: 41, LoadN: 23.1}
						if k == 0 {
							piece.WebLine, piece.WebTimeS, piece.WebMM2 = n.line-4, n.now-9, 36
						}
					} else {
						n.sample((w+h)/2/25/4, stock, freed, vacuum, margin, k, 2)
					}
				}
			}
		}
		piece.RetractLine = n.write("G0 Z5.")
		n.sample(0.5, stock, freed, vacuum, inf, k+1, 2)
		r.Pieces = append(r.Pieces, piece)
		finding := result.Finding{Line: piece.FreedLine, TimeS: piece.FreedTimeS, Piece: piece.ID, Tool: 2,
			Margin: piece.Least.Margin, Low: nan, High: nan, Chance: nan,
			HoldN: 41, LoadN: 23.1, At: orb.Point{x - 3, y + h/3}, HasAt: true}
		switch piece.State {
		case result.StateLoose:
			finding.Rule, finding.Level, finding.Mode = "slip", result.LevelError, result.Slip
			finding.Message = fmt.Sprintf("piece %d (%.0f x %.0f mm at X%.0f Y%.0f) comes loose, slips: margin "+
				"0.62, hold 41 N, load 23 N, tool 2", piece.ID, w, h, x+w/2, y+h/2)
			finding.Remedy = "feed 900 mm/min in line 116 instead of 1300 mm/min holds with margin 2.05"
			early := finding
			early.Line, early.TimeS, early.Margin, early.Column = finding.Line-1, finding.TimeS-4, 0.9, 4
			early.Message = fmt.Sprintf("piece %d (%.0f x %.0f mm at X%.0f Y%.0f) comes loose, slips: margin 0.90, "+
				"hold 44 N, load 17 N, tool 2", piece.ID, w, h, x+w/2, y+h/2)
			early.Remedy = ""
			r.Findings = append(r.Findings, early, finding)
		case result.StateAtRisk:
			finding.Rule, finding.Level, finding.Mode = "twist", result.LevelWarning, result.Twist
			finding.Message = fmt.Sprintf("piece %d (%.0f x %.0f mm at X%.0f Y%.0f) is at risk of twisting: margin "+
				"1.55, hold 141 N, load 60 N, tool 2", piece.ID, w, h, x+w/2, y+h/2)
			r.Findings = append(r.Findings, finding)
		case result.StateSliver:
			finding.Rule, finding.Level = "sliver", result.LevelWarning
			finding.Margin, finding.HoldN, finding.LoadN = nan, nan, nan
			finding.Message = fmt.Sprintf("piece %d is 7.0 x 5.0 mm, smaller than two diameters of tool 2, and can "+
				"be thrown", piece.ID)
			finding.Remedy = "two tabs 4 mm wide and 1 mm thick hold it"
			r.Findings = append(r.Findings, finding)
		}
	}
	n.write("M5")
	n.write("M30")
	n.write("%%")
	r.Tools[1].ToS = n.now
	r.Findings = append(r.Findings, result.Finding{Line: 0, Rule: "reading", Level: result.LevelNote, Margin: nan,
		Low:  nan,
		High: nan, Chance: nan,
		HoldN: math.NaN(), LoadN: math.NaN(),
		Message: "words without spaces between them were read as separate words"})
	src := []byte(n.src.String())
	sum := sha256.Sum256(src)
	r.Program = result.ProgramFacts{Path: "parts/nest.nc", SHA256: hex.EncodeToString(sum[:]), Lines: n.line,
		Blocks: n.line - 12, DurationS: n.now, CutLengthMM: 14210.5}
	r.Grid = result.GridFacts{CellMM: 0.5, NX: 1200, NY: 800}
	r.Assumed = []string{"altitude: sea level, 1013.25 mbar", "flute length of tool 1: 30 mm"}
	r.Vacuum = result.Vacuum{AmbientKPa: 101.325, StartKPa: 88, LeastKPa: vacuum, AlarmSetpointKPa: nan,
		NeverBelowKPa: nan, PumpNeededM3h: 71.5}
	r.LeakM3h = result.Leaks{Bare: nan, Kerfs: nan, Holes: nan, Rim: nan, Work: nan, LayerRim: nan, Gaskets: nan,
		Hoses: nan}
	r.Job = result.JobFacts{Path: "parts/nest.toml", Material: "aluminium-wrought", Layer: "fibre board 0.8 mm",
		Pump: "rotary-vane, 63 m3/h", AlarmKPa: 60,
		Zones: []result.ZoneFacts{
			{Name: "A", Area: orb.Polygon{Rectangle(0, 0, 300, 400)}, Open: true, GroovePitchMM: 25, GrooveWidthMM: 5},
			{Name: "B", Area: orb.Polygon{Rectangle(300, 0, 300, 400)}, Open: true},
			{Name: "C", Area: orb.Polygon{Rectangle(600, 0, 80, 400)}, Gasket: true}},
		StockOutline: orb.MultiPolygon{{Rectangle(0, 0, 600, 400)}}, StockTopMM: 0, StockLowMM: -6}
	r.Kerf = kerfFixture(r)
	for _, at := range []float64{0, n.now / 2, n.now} {
		r.Fields = append(r.Fields, PressureFixture(at, at/n.now))
	}
	return r, src
}

// kerfFixture is a kerf of 6 mm round each piece, and two strips across the sheet that are cut partway.
func kerfFixture(r *result.Result) result.Kerf {
	k := result.Kerf{CellMM: 1, NX: 600, NY: 400, ThroughS: make([]float32, 600*400)}
	for i := range k.ThroughS {
		at := orb.Point{float64(i%600) + 0.5, float64(i/600) + 0.5}
		through := math.NaN()
		if at[1] > 370 && at[1] < 376 || at[1] > 386 && at[1] < 392 {
			through = math.Inf(1)
		}
		for _, p := range r.Pieces[1:] {
			if b := p.Outline.Bound(); b.Pad(6).Contains(at) && !b.Contains(at) {
				through = p.FreedTimeS
			}
		}
		k.ThroughS[i] = float32(through)
	}
	return k
}

// PressureFixture is a field that falls towards the rim of the sheet, with nothing along one kerf.
func PressureFixture(at, age float64) result.Field {
	f := result.Field{TimeS: at, CellMM: 5, NX: 120, NY: 80, KPa: make([]float32, 120*80)}
	for j := range f.NY {
		for i := range f.NX {
			x, y := 5*(float64(i)+0.5), 5*(float64(j)+0.5)
			rim := math.Min(math.Min(x, 600-x), math.Min(y, 400-y))
			v := 85 * (1 - math.Exp(-rim/20)) * (1 - 0.3*age)
			if age > 0 && i == 45 {
				v = math.NaN()
			}
			f.KPa[j*f.NX+i] = float32(v)
		}
	}
	return f
}

// finding at a line, for annotating programs that no model has seen.
func At(line int) result.Finding {
	return result.Finding{Line: line, Rule: "slip", Level: result.LevelError, Margin: 0.62, Mode: result.Slip, Tool: 2,
		Piece:   3,
		Message: "piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62, hold 41 N, load 23 N, tool 2",
		Remedy:  "feed 900 mm/min; or two tabs: 4 mm x 1 mm (50 %)"}
}

func ResultOf(src []byte, findings ...result.Finding) *result.Result {
	sum := sha256.Sum256(src)
	return &result.Result{Program: result.ProgramFacts{Path: "part.nc", SHA256: hex.EncodeToString(sum[:])},
		Verdict: result.Loose, Findings: findings}
}
