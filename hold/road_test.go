package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/internal/steploads"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/hold/sweepjob"
	"staydown/internal/testrun"
	"staydown/parse"
	"staydown/sweep"
)

// road takes a program and a job file, both as text, through reading, sweeping and checking, without operating figures
// and pictures.
func road(t testing.TB, program, jobFile string) *Analysis {
	t.Helper()
	return roadWith(t, program, mustJob(t, jobFile))
}

// roadInFull computes the operating figures and draws the pictures as well.
func roadInFull(t testing.TB, program, jobFile string) *Analysis {
	t.Helper()
	return checked(t, program, mustJob(t, jobFile), Options{})
}

func mustJob(t testing.TB, jobFile string) *job.Job {
	t.Helper()
	j, err := job.Parse("job.toml", []byte(jobFile))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// noDoubt makes road take every figure, and the model, for exact.
var noDoubt bool

// withoutDoubt does so for one test: of laws that hold margin by margin.
func withoutDoubt(t *testing.T) {
	errors := modelErrors
	noDoubt, modelErrors = true, nil
	t.Cleanup(func() { noDoubt, modelErrors = false, errors })
}

// roadWith is road with a job that was read before.
func roadWith(t testing.TB, program string, j *job.Job) *Analysis {
	t.Helper()
	return checked(t, program, j, Options{Figures: NoFigures, NoPictures: true})
}

// checked sweeps a program and checks it with these options.
func checked(t testing.TB, program string, j *job.Job, o Options) *Analysis {
	t.Helper()
	skipUnlessRaced(t)
	if noDoubt {
		j.Doubts = nil
	}
	opt := parse.Options{Name: "part.nc", RapidMMMin: j.Machine.RapidMMMin, RPM: j.Machine.RPM,
		Tools: map[int]parse.Tool{},
		Units: j.Machine.Units, ArcCentresAbsolute: j.Machine.ArcCentresAbsolute, NoEnd: j.Machine.NoEnd}
	for _, s := range j.Machine.Outputs {
		opt.Outputs = append(opt.Outputs, s.Output)
	}
	if z := j.Machine.Zero; z != nil {
		opt.MachineZero = &parse.Point{X: z.X, Y: z.Y, Z: z.Z}
	}
	for n, tool := range j.Tools {
		opt.Tools[n] = parse.Tool{DiameterMM: tool.DiameterMM, RPM: tool.RPM}
	}
	prog := parse.Read([]byte(program), opt)
	swept := sweep.Options{CellMM: j.CellMM, WebMM: j.WebMM, Neck: sweepjob.Neck(prog, j), KeepWebs: j.Stock.Porous()}
	if j.Layer != nil {
		swept.LayerMM = j.Layer.ThicknessMM
	}
	o.Resweep = sweepjob.Sweeper(prog, j, swept)
	rec, err := o.Resweep(j.Stock.BottomMM)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Check(prog, rec, j, o)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// plate is a job: a plate on a layer so thin that its rims hardly breathe, the whole chuck open below it.
type plate struct {
	wideMM, highMM float64
	material       string
	thickMM        float64
	friction       float64
	pumpM3h        float64
	alarm          string
	layerMM        float64
	through        string
	cutLimit       float64
	margin         float64
	anchored       bool
	toolReach      float64
	helixDeg       float64
	web            string
	tackKPa        float64
	cellMM         float64
	more           string // at the end of the job file
}

func aPlate() plate {
	return plate{wideMM: 240, highMM: 180, material: "aluminium-wrought", thickMM: 6, friction: 0.35, pumpM3h: 100,
		layerMM: 0.4,
		through: "1e-14 m2", cutLimit: 0.3, margin: 2, toolReach: 20, helixDeg: 30,
		cellMM: 0.5 * float64(testrun.Draws(3, 2))}
}

// sized is a plate of another size.
func (p plate) sized(wideMM, highMM float64) plate {
	p.wideMM, p.highMM = wideMM, highMM
	return p
}

// on is the job file on a grid of other cells; 0 leaves them to the tool.
func (p plate) on(cellMM float64) string {
	p.cellMM = cellMM
	return p.toml()
}

func (p plate) toml() string {
	alarm := ""
	if p.alarm != "" {
		alarm = fmt.Sprintf("alarm = %q\n", p.alarm)
	}
	web := ""
	if p.web != "" {
		web = fmt.Sprintf("[web]\nheight = %q\n", p.web)
	}
	grid := ""
	if p.cellMM > 0 {
		grid = fmt.Sprintf("[grid]\ncell = \"%g mm\"\n", p.cellMM)
	}
	return fmt.Sprintf(`
[stock]
corner = ["0 mm", "0 mm", "-%[1]g mm"]
size = ["%[17]g mm", "%[18]g mm", "%[1]g mm"]
material = %[2]q
anchored = %[9]t
[layer]
thickness = "%[3]g mm"
through = %[4]q
friction = %[5]g
cut_limit = "%[6]g mm"
tack = "%[14]g kPa"
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["%[17]g mm","%[18]g mm"]]
[pump]
kind = "rotary-vane"
flow = "%[7]g m3/h"
leak = "0 m3/h"
%[8]s
[[tool]]
number = 1
shape = "flat"
diameter = "6 mm"
flutes = 2
helix = "%[11]g deg"
runout = "0 mm"
reach = "%[10]g mm"
%[16]s[limits]
margin = %[12]g
%[13]s%[15]s`, p.thickMM, p.material, p.layerMM, p.through, p.friction, p.cutLimit, p.pumpM3h, alarm, p.anchored,
		p.toolReach, p.helixDeg, p.margin, web, p.tackKPa, p.more, grid, p.wideMM, p.highMM)
}

// square cuts a square of the given side free, its lower left corner at X20 Y20, in passes at the given depths.
func square(side float64, feed float64, depths ...float64) string {
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 X17 Y17 Z5\n")
	hi := 20 + side + 3
	for _, z := range depths {
		fmt.Fprintf(&b, "G1 Z-%g F300\nY%g F%g\nX%g\nY17\nX17\n", z, hi, feed, hi)
	}
	b.WriteString("G0 Z5\nM30\n")
	return b.String()
}

func findingsOf(r *result.Result, rule string) []result.Finding {
	var out []result.Finding
	for _, f := range r.Findings {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

func riskOf(r *result.Result, piece int) []result.Finding {
	var out []result.Finding
	for _, f := range r.Findings {
		if f.Piece == piece && f.Risky() {
			out = append(out, f)
		}
	}
	return out
}

func TestBlankUnderFullVacuumAtSeaLevel(t *testing.T) {
	// A blank of 12 x 5.5 in at sea level under full vacuum is held by about 970 lbf: common practice, no source. As
	// arithmetic: 66 in2 times 14.696 psi (ISO 2533:1975 at 0 m) = 969.9 lbf.
	const poundN = 4.4482216152605 // exact: NIST SP 811, B.8
	a := road(t, "G20 G90\nT1 M6\nS10000 M3\nG0 X6 Y2 Z1\nG1 Z0.4 F10\nX6.5\nG0 Z1\nM30\n", `
[site]
altitude = "0 m"
[stock]
corner = ["0 in", "0 in", "0 in"]
size = ["12 in", "5.5 in", "0.5 in"]
material = "aluminium-wrought"
[[zone]]
name = "whole"
area = [["0 in","0 in"],["12 in","5.5 in"]]
seal = "gasket"
[pump]
kind = "rotary-vane"
flow = "100 m3/h"
ultimate = "0.001 mbar"
leak = "0 m3/h"
[[tool]]
number = 1
diameter = "0.25 in"
`)
	body := a.bodyOf(&a.air[len(a.air)-1], bodyKey{piece: 1}, a.air[len(a.air)-1].state.Chuck, change{})
	body.WeightN = 0
	support, err := contact.NewSupport(body)
	if err != nil {
		t.Fatal(err)
	}
	if got := support.NormalN() / poundN; math.Abs(got-969.9) > 1 {
		t.Errorf("hold %.2f lbf, want 969.9 (about 970)", got)
	}
}

func TestHoldOfASquareByHand(t *testing.T) {
	// By hand, for the 40 mm square that the last side frees. At its rim, where the kerf opens a layer of thickness t,
	// the squared pressure falls off as exp(-x / lambda) with lambda = 0.74245 t (8 G / pi^2 with Catalan's constant:
	// lost width of an open edge of isotropic material, closed form). The pressure p = sqrt(pv^2 + (pa^2 - pv^2) exp(-x
	// / lambda)) then loses a band of width b = 2 lambda (1 - pv / (pa - pv) ln((pa + pv) / (2 pv))), integrated in
	// closed form, and
	//   hold = (pa - pv) (40 - 2 b)^2 + weight.
	a := road(t, square(40, 1200, 4.8, 6.2), aPlate().on(0.5))
	loose := riskOf(a.Result, 2)
	if len(loose) == 0 {
		t.Fatal("the square is not reported")
	}
	f := loose[0]
	if f.Line != 14 { // the last side of the second pass
		t.Errorf("reported at line %d, want 14", f.Line)
	}
	pa := 101325.0
	pv := pa - a.Result.Vacuum.LeastKPa*1e3
	band := 2 * 0.74245 * 0.4 * (1 - pv/(pa-pv)*math.Log((pa+pv)/(2*pv)))
	weight := 1600 * 6 * 1e-9 * 2700 * 9.80665
	byHand := (pa-pv)*math.Pow(40-2*band, 2)*1e-6 + weight
	if !(math.Abs(f.HoldN-byHand) <= 0.02*byHand) {
		t.Errorf("hold %.2f N, by hand %.2f N (band %.3f mm)", f.HoldN, byHand, band)
	}
	worst := a.least[2]
	// Straight slip by hand; the moment of an off-center load can only lower it.
	slip := 0.35 * (f.HoldN - worst.liftN) / f.LoadN
	if f.Margin > slip*1.001 {
		t.Errorf("margin %.3f above straight slip by hand %.3f", f.Margin, slip)
	}
	if f.Level != result.LevelError || a.Result.Verdict != result.Loose {
		t.Errorf("level %v, verdict %v; want error and loose", f.Level, a.Result.Verdict)
	}
}

func TestSlotLoadByHand(t *testing.T) {
	// Slot by hand, two flutes without helix, wrought aluminium: fz = 1200/(2 x 18000) = 0.0333 mm; the full tooth at
	// hmax: 660 x 0.0333 = 22 N/mm of chip along the motion and 0.3 of it outwards, and the edge force of 15 N/mm along
	// and 0.8 of it outwards: 1.2 x sqrt(37^2 + 18.6^2) = 49.7 N at the peak.
	p := aPlate()
	p.helixDeg = 0
	a := road(t, square(40, 1200, 4.8, 6.2), p.toml())
	_, load, err := a.loads.All(a.rec.Steps.At(a.least[2].step), steploads.Change{}, nil)
	if err != nil || math.Abs(load.Peak-49.7) > 0.02*49.7 {
		t.Errorf("peak %.2f N (%v), by hand 49.7 N", load.Peak, err)
	}
	// The finding names the load at the rotor angle that the piece stands least, which need not be the peak.
	if f := riskOf(a.Result, 2); len(f) == 0 || f[0].LoadN > 49.7*1.02 || f[0].LoadN < 49.7*0.85 {
		t.Errorf("findings %v, want a load of 49.7 N or little less", f)
	}
}

func TestLargePieceIsHeldAndSmallOneIsNot(t *testing.T) {
	p := aPlate()
	small := road(t, square(12, 1200, 4.8, 6.2), p.toml())
	large := road(t, square(74, 600, 5.6, 6.2), p.toml())
	if len(riskOf(small.Result, 2)) == 0 {
		t.Error("a 12 mm square is not reported loose")
	}
	if r := riskOf(large.Result, 2); len(r) != 0 {
		t.Errorf("a 74 mm square under a light last pass is reported: %v", r)
	}
}

// tabbed cuts a 12 mm square that hangs on four tabs, 6 mm wide, left by lifting the tool to the given height of
// material.
func tabbed(high float64) string {
	up := 6 - high
	var b strings.Builder
	fmt.Fprintf(&b, "G21 G90\nT1 M6\nS18000 M3\nG0 X17 Y17 Z5\nG1 Z-%g F300\nY35 F1200\nX35\nY17\nX17\n", up)
	// Of each side of 18 mm the 12 mm in the middle stay: the cutter takes 3 mm on both ends, which leaves 6 mm.
	fmt.Fprintf(&b, "G1 Z-6.2 F300\nY20 F1200\nG0 Z-%[1]g\nG1 Y32\nZ-6.2\nY35\nX20\nG0 Z-%[1]g\nG1 "+
		"X32\nZ-6.2\nX35\nY32\nG0 Z-%[1]g\nG1 Y20\nZ-6.2\nY17\nX32\nG0 Z-%[1]g\nG1 X20\nZ-6.2\nX17\nG0 Z5\nM30\n", up)
	return b.String()
}

func TestTabsHoldWhatVacuumCannot(t *testing.T) {
	// The square alone is thrown; on four tabs, 1.5 mm high and of 36 mm2 in all, it is never freed and stays. Tabs of
	// a third of that height bend: a bar held at both ends carries upright sigma_y w t^2 / (3 L), a ninth of it
	// (textbook, from memory).
	p := aPlate()
	p.web = "2 mm"
	thick, thin := road(t, tabbed(1.5), p.on(1)), road(t, tabbed(0.3), p.on(1))
	hung := func(a *Analysis) result.Piece {
		t.Helper()
		for _, piece := range a.Result.Pieces {
			if piece.Freed {
				t.Errorf("piece %d counts as freed at line %d", piece.ID, piece.FreedLine)
			}
			if piece.WebLine > 0 && math.Abs(piece.Centroid[0]-26) < 0.3 && math.Abs(piece.Centroid[1]-26) < 0.3 {
				return piece
			}
		}
		t.Fatalf("no hung piece in %+v", a.Result.Pieces)
		return result.Piece{}
	}
	strong, weak := hung(thick), hung(thin)
	if math.Abs(strong.WebMM2-36) > 0.05*36 {
		t.Errorf("section %.2f mm2, four tabs of 6 x 1.5 mm are 36", strong.WebMM2)
	}
	if thick.Result.Verdict == result.Loose {
		t.Errorf("verdict %v on thick tabs: %v", thick.Result.Verdict, thick.Result.Findings)
	}
	if weak.Least.Margin >= strong.Least.Margin/4 {
		t.Errorf("margin %.2f on thin tabs, %.2f on thick ones; they are a fifth as high and should carry far less",
			weak.Least.Margin, strong.Least.Margin)
	}
}

func TestUnreadProgramIsNeverHeld(t *testing.T) {
	prog := strings.Replace(square(74, 600, 5.6, 6.2), "G0 Z5\nM30", "G51 X0 Y0 P2\nG0 Z5\nM30", 1)
	a := road(t, prog, aPlate().toml())
	if v := a.Result.Verdict; v != result.Incomplete {
		t.Errorf("verdict %v, want incomplete", v)
	}
	if f := findingsOf(a.Result, result.RuleUnread); len(f) == 0 || f[0].Line != 15 {
		t.Errorf("unread finding: %v, want line 15", f)
	}
}

// A cutter that goes through material at rapid may break, whatever the plate stands (common practice, no source).
func TestARapidThroughMaterialIsNeverHeld(t *testing.T) {
	const groove = "G21 G90\nT1 M6\nS18000 M3\nG0 X60 Y60\nZ2\nG1 Z-0.5 F300\nX80\nG0 Z5\n"
	for end, want := range map[string]result.Verdict{"M30\n": result.Held, "X120\nZ-1\nZ5\nM30\n": result.AtRisk} {
		if r := road(t, groove+end, aPlate().toml()).Result; r.Verdict != want {
			t.Errorf("%q: %v, want %v: %v", end, r.Verdict, want, r.Findings)
		}
	}
}

func TestRulesOfTheTable(t *testing.T) {
	base := square(74, 600, 5.6, 6.2)
	for _, test := range []struct {
		name, rule string
		level      result.Level
		program    string
		change     func(*plate)
	}{
		{"below the layer's limit", result.RuleChuck, result.LevelWarning, square(74, 600, 5.6, 6.35), nil},
		{"through the layer", result.RuleChuck, result.LevelError, square(74, 600, 5.6, 6.5), nil},
		{"rapid through the plate", result.RuleRapidCut, result.LevelError, strings.Replace(base, "G0 Z5\nM30",
			"G0 Z5\nX60 Y60\nZ-3\nZ5\nM30", 1), nil},
		{"beside the stock", result.RuleOutside, result.LevelNote, strings.Replace(base, "G0 Z5\nM30",
			"G0 Z5\nX500\nG1 Z-2 "+
				"F300\nX550\nG0 Z5\nM30", 1), nil},
		{"never meets the stock", result.RuleNoCut, result.LevelError, "G21 G90\nT1 M6\nS9000 M3\nG0 X500 Y500 " +
			"Z5\nG1 Z-2 F300\nX600\nG0 Z5\nM30\n", nil},
		{"short flutes", result.RuleReach, result.LevelWarning, base, func(p *plate) { p.toolReach = 4 }},
		{"alarm above the vacuum", result.RulePumpShort, result.LevelWarning, base,
			func(p *plate) { p.alarm = "1000 mbar"; p.pumpM3h = 1 }},
		{"a table twice the plate's", result.RuleBareTable, result.LevelNote, base, func(p *plate) {
			*p = p.sized(400, 300)
			p.through, p.pumpM3h = "1e-12 m2", 10
			p.more = "[[zone]]\nname = \"B\"\narea = [[\"400 mm\",\"0 mm\"],[\"800 mm\",\"300 mm\"]]\n"
		}},
		{"spindle at rest", result.RuleCutData, result.LevelError, strings.Replace(base, "S18000 M3", "M5", 1), nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := aPlate()
			if test.change != nil {
				test.change(&p)
			}
			a := roadInFull(t, test.program, p.toml())
			found := findingsOf(a.Result, test.rule)
			if len(found) == 0 {
				t.Fatalf("no finding of rule %s in %v", test.rule, a.Result.Findings)
			}
			if found[0].Level != test.level {
				t.Errorf("level %v, want %v: %s", found[0].Level, test.level, found[0].Message)
			}
			if found[0].Line == 0 {
				t.Errorf("no line: %s", found[0].Message)
			}
		})
	}
	if v := roadInFull(t, base, aPlate().toml()).Result.Verdict; v != result.Held {
		t.Errorf("the plain program's verdict is %v, want held", v)
	}
}

func TestFeedRemedyCuresWhenWrittenIntoTheProgram(t *testing.T) {
	withoutDoubt(t)
	a := road(t, square(100, 3000, 5, 6.2), aPlate().toml())
	r := riskOf(a.Result, 2)
	if len(r) == 0 {
		t.Fatal("nothing to cure")
	}
	var feed, now float64
	if _, err := fmt.Sscanf(r[0].Remedy, "feed at most F%f (now F%f)", &feed, &now); err != nil {
		t.Fatalf("the first remedy is no feed: %q", r[0].Remedy)
	}
	if cured := road(t, square(100, feed, 5, 6.2), aPlate().toml()); len(riskOf(cured.Result, 2)) != 0 {
		t.Errorf("at F%g piece 2 is still reported: %v", feed, riskOf(cured.Result, 2))
	}
}

func TestUniformPressureIsTheDifferenceOfAmbientAndChuck(t *testing.T) {
	// Closed form: with w = 1 the difference is pa - pv.
	if got := (airflow.Chuck{ChuckPa: 20000}).DifferencePa(101325, airflow.Patch{W: 1}); math.Abs(got-81325) > 1e-6 {
		t.Errorf("%.6f Pa, want 81325", got)
	}
}
