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
	// What is held, mm2, and the vacuum, kPa, by now.
	stock, freed, vacuum float64
	r                    *result.Result
}

func (n *nest) write(format string, a ...any) int {
	fmt.Fprintf(&n.src, format+"\n", a...)
	n.line++
	return n.line
}

// sample adds a moment with what is held by then.
func (n *nest) sample(seconds, margin float64, pieces, tool int) {
	n.now += seconds
	n.r.Timeline = append(n.r.Timeline, result.Sample{TimeS: n.now, Line: n.line, Tool: tool,
		HeldAreaMM2: n.stock + n.freed, StockHeldMM2: n.stock, FreedPieces: pieces, VacuumKPa: n.vacuum,
		LeakM3h: 20 + (88-n.vacuum)*3, LeastMargin: margin, LeastLow: margin, LeastHigh: 1.5 * margin})
}

// Rectangle is a ring with a corner at x and y.
func Rectangle(x, y, w, h float64) orb.Ring {
	return orb.Ring{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}, {x, y}}
}

const stockArea = 600 * 400

// Fixture returns the nest and the text of its program.
func Fixture() (*result.Result, []byte) {
	nan := math.NaN()
	n := &nest{r: &result.Result{Margin: 2, Chance: nan, Verdict: result.Loose}, stock: stockArea, vacuum: 88}
	r := n.r
	n.write("%%")
	n.write("(NEST OF EIGHT)")
	n.write("N10 G21 G90 G17 G94")
	n.drill()
	change := n.write("T2 M6 (flat 6 mm)")
	n.write("S18000 M3")
	r.Tools = append(r.Tools, result.ToolUse{Tool: 2, Line: change, FromS: n.now})
	n.vacuum = 87
	n.sample(8, math.Inf(1), 0, 2)
	r.Pieces = append(r.Pieces, result.Piece{ID: 1, AreaMM2: stockArea, FinalAreaMM2: 131000, HeldAreaMM2: 96000,
		Centroid: orb.Point{300, 200}, SizeMM: [2]float64{600, 400}, Chance: nan,
		Outline: orb.MultiPolygon{{Rectangle(0, 0, 600, 400)}},
		Least: result.Least{Mode: result.Slip, Margin: 4.1, Low: nan, High: nan, Line: 30, TimeS: 50, HoldN: 2900,
			LoadN: 118}})
	for k := range 8 {
		piece := n.cutOut(k)
		r.Pieces = append(r.Pieces, piece)
		r.Findings = append(r.Findings, findingsOf(&piece, k)...)
	}
	n.write("M5")
	n.write("M30")
	n.write("%%")
	r.Tools[1].ToS = n.now
	r.Findings = append(r.Findings, result.Finding{Line: 0, Rule: "reading", Level: result.LevelNote, Margin: nan,
		Low: nan, High: nan, Chance: nan, HoldN: nan, LoadN: nan,
		Message: "words without spaces between them were read as separate words"})
	src := []byte(n.src.String())
	n.facts(src)
	r.Kerf = kerfFixture(r)
	for _, at := range []float64{0, n.now / 2, n.now} {
		r.Fields = append(r.Fields, PressureFixture(at, at/n.now))
	}
	return r, src
}

// place is the lower left corner and the size of a part.
func place(k int) (x, y, w, h float64) {
	x, y, w, h = 30+float64(k%4)*140, 40+float64(k/4)*180, 110, 140
	if k == 3 {
		w, h = 60, 45
	}
	if k == 7 {
		w, h = 7, 5
	}
	return x, y, w, h
}

// drill makes a hole in the middle of each part.
func (n *nest) drill() {
	n.write("N20 T1 M6 (drill 4 mm)")
	n.write("N30 S9000 M3")
	n.r.Tools = append(n.r.Tools, result.ToolUse{Tool: 1, Line: 4, FromS: 0})
	n.sample(4, math.Inf(1), 0, 1)
	for k := range 8 {
		x, y, w, h := place(k)
		n.write("G0 X%.3f Y%.3f Z5.", x+w/2, y+h/2)
		n.vacuum = 88
		n.sample(1.2, math.Inf(1), 0, 1)
		n.write("G81 Z-6.2 R2. F200.")
		n.vacuum = 88 - 0.1*float64(k)
		n.sample(2.5, 6.5-0.2*float64(k), 0, 1)
		n.r.Entries = append(n.r.Entries, result.Entry{At: orb.Point{x + w/2, y + h/2}, Tool: 1, Line: n.line,
			TimeS: n.now})
	}
	n.r.Tools[0].ToS = n.now
}

// cutOut cuts a part out in three passes and gives the piece that it is then.
func (n *nest) cutOut(k int) result.Piece {
	x, y, w, h := place(k)
	n.write("(PART %d)", k+1)
	n.write("G0 X%.3f Y%.3f Z2.", x-3, y-3)
	n.sample(1.5, math.Inf(1), k, 2)
	state := [...]result.State{result.StateHeld, result.StateHeld, result.StateHeld, result.StateLoose,
		result.StateHeld, result.StateAtRisk, result.StateHeld, result.StateSliver}[k]
	piece := result.Piece{ID: k + 2, Freed: true, State: state, AreaMM2: w * h, FinalAreaMM2: w * h,
		HeldAreaMM2: w * h * 0.9, SizeMM: [2]float64{w, h}, Chance: math.NaN(),
		Centroid: orb.Point{x + w/2, y + h/2}, Outline: orb.MultiPolygon{{Rectangle(x, y, w, h),
			Rectangle(x+w/2-2, y+h/2-2, 4, 4)}}}
	for pass := range 3 {
		n.write("G1 Z%.3f F400.", -2.1*float64(pass+1))
		n.sample(1, 5-float64(pass), k, 2)
		if pass == 0 {
			n.r.Entries = append(n.r.Entries, result.Entry{At: orb.Point{x - 3, y - 3}, Tool: 2, Line: n.line,
				TimeS: n.now})
		}
		corner := [][2]float64{{x + w + 3, y - 3}, {x + w + 3, y + h + 3}, {x - 3, y + h + 3}, {x - 3, y - 3}}
		for side, c := range corner {
			n.write("G1 X%.3f Y%.3f F%d.", c[0], c[1], 1500-100*pass)
			for part := range 4 {
				n.cutQuarter(&piece, k, pass, side, part)
			}
		}
	}
	piece.RetractLine = n.write("G0 Z5.")
	n.sample(0.5, math.Inf(1), k+1, 2)
	return piece
}

// cutQuarter cuts a quarter of a side; the last of all frees the piece.
func (n *nest) cutQuarter(piece *result.Piece, k, pass, side, part int) {
	w, h := piece.SizeMM[0], piece.SizeMM[1]
	margin := 7 - 1.6*float64(pass) - 0.3*float64(part) - 0.1*float64(side)
	if pass == 2 {
		n.stock -= 6 * (w + h) / 32
		n.vacuum -= 0.05
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
	if pass < 2 || side < 3 || part < 3 {
		n.sample((w+h)/2/25/4, margin, k, 2)
		return
	}
	n.stock -= w * h
	n.freed += w * h * 0.9
	n.sample((w+h)/2/25/4, margin, k+1, 2)
	piece.FreedLine, piece.FreedTimeS = n.line, n.now
	piece.Least = result.Least{Mode: result.Twist, Margin: margin, Low: math.NaN(), High: math.NaN(), Line: n.line,
		TimeS: n.now, HoldN: 41, LoadN: 23.1}
	if k == 0 {
		piece.WebLine, piece.WebTimeS, piece.WebMM2 = n.line-4, n.now-9, 36
	}
}

// findingsOf are the findings of a part.
func findingsOf(piece *result.Piece, k int) []result.Finding {
	nan := math.NaN()
	x, y, w, h := place(k)
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
		return []result.Finding{early, finding}
	case result.StateAtRisk:
		finding.Rule, finding.Level, finding.Mode = "twist", result.LevelWarning, result.Twist
		finding.Message = fmt.Sprintf("piece %d (%.0f x %.0f mm at X%.0f Y%.0f) is at risk of twisting: margin "+
			"1.55, hold 141 N, load 60 N, tool 2", piece.ID, w, h, x+w/2, y+h/2)
		return []result.Finding{finding}
	case result.StateSliver:
		finding.Rule, finding.Level = "sliver", result.LevelWarning
		finding.Margin, finding.HoldN, finding.LoadN = nan, nan, nan
		finding.Message = fmt.Sprintf("piece %d is 7.0 x 5.0 mm, smaller than two diameters of tool 2, and can "+
			"be thrown", piece.ID)
		finding.Remedy = "two tabs 4 mm wide and 1 mm thick hold it"
		return []result.Finding{finding}
	}
	return nil
}

// facts writes what is known of program and job.
func (n *nest) facts(src []byte) {
	r, nan := n.r, math.NaN()
	sum := sha256.Sum256(src)
	r.Program = result.ProgramFacts{Path: "parts/nest.nc", SHA256: hex.EncodeToString(sum[:]), Lines: n.line,
		Blocks: n.line - 12, DurationS: n.now, CutLengthMM: 14210.5}
	r.Grid = result.GridFacts{CellMM: 0.5, NX: 1200, NY: 800}
	r.Assumed = []string{"altitude: sea level, 1013.25 mbar", "flute length of tool 1: 30 mm"}
	r.Vacuum = result.Vacuum{AmbientKPa: 101.325, StartKPa: 88, LeastKPa: n.vacuum, AlarmSetpointKPa: nan,
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
}

// kerfFixture is a kerf of 6 mm round each piece, and two strips across the sheet that are cut partway.
func kerfFixture(r *result.Result) result.Kerf {
	k := result.Kerf{CellMM: 1, NX: 600, NY: 400, ThroughS: make([]float32, 600*400)}
	pieces := r.Pieces[1:]
	inner, outer := make([]orb.Bound, len(pieces)), make([]orb.Bound, len(pieces))
	for i, p := range pieces {
		inner[i] = p.Outline.Bound()
		outer[i] = inner[i].Pad(6)
	}
	for i := range k.ThroughS {
		at := orb.Point{float64(i%600) + 0.5, float64(i/600) + 0.5}
		through := math.NaN()
		if at[1] > 370 && at[1] < 376 || at[1] > 386 && at[1] < 392 {
			through = math.Inf(1)
		}
		for n, p := range pieces {
			if outer[n].Contains(at) && !inner[n].Contains(at) {
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

// At is a finding at a line, for annotating programs that no model has seen.
func At(line int) result.Finding {
	return result.Finding{Line: line, Rule: "slip", Level: result.LevelError, Margin: 0.62, Mode: result.Slip, Tool: 2,
		Piece:   3,
		Message: "piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62, hold 41 N, load 23 N, tool 2",
		Remedy:  "feed 900 mm/min; or two tabs: 4 mm x 1 mm (50 %)"}
}

// ResultOf is a result with findings, of a program that no model has seen.
func ResultOf(src []byte, findings ...result.Finding) *result.Result {
	sum := sha256.Sum256(src)
	return &result.Result{Program: result.ProgramFacts{Path: "part.nc", SHA256: hex.EncodeToString(sum[:])},
		Verdict: result.Loose, Findings: findings}
}
