package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/result"
	"staydown/sweep"
)

// clampOn is a clamp with corner and size in mm, 20 mm high.
func clampOn(x, y, w, h, forceN float64, more string) string {
	return fmt.Sprintf("[[clamp]]\ncorner = [\"%g mm\",\"%g mm\"]\nsize = [\"%g mm\",\"%g mm\"]\nheight = \"20 "+
		"mm\"\nforce = \"%g N\"\n%s\n", x, y, w, h, forceN, more)
}

// TestAClampHoldsThePieceBelowIt: a square of 40 mm at X20 Y20 comes free below a clamp on its middle, X30 to X50.
func TestAClampHoldsThePieceBelowIt(t *testing.T) {
	program := square(40, 600, 5.6, 6.2)
	free := road(t, program, onTable("", "")).Result
	if free.Verdict == result.Held {
		t.Fatalf("without a clamp: %v; the case needs a piece in danger", free.Verdict)
	}
	// A clamp on the frame does nothing for the piece.
	frame := road(t, program, onTable(clampOn(300, 200, 40, 40, 5000, ""), "")).Result
	if a, b := free.Pieces[1].Least.Margin, frame.Pieces[1].Least.Margin; a != b {
		t.Errorf("a clamp on the frame changes the margin of the piece from %g to %g", a, b)
	}
	before := 0.0
	for _, forceN := range []float64{100, 500, 5000} {
		r := road(t, program, onTable(clampOn(25, 25, 10, 10, forceN/2, "")+clampOn(45, 45, 10, 10, forceN/2, ""),
			"")).Result
		got := r.Pieces[1].Least
		if len(findingsOf(r, result.RuleCollision)) > 0 {
			t.Fatalf("%v", findingsOf(r, result.RuleCollision))
		}
		if got.Margin <= max(before, free.Pieces[1].Least.Margin) {
			t.Errorf("%g N: margin %g, with less %g", forceN, got.Margin, before)
		}
		if want := free.Pieces[1].Least.HoldN + forceN; math.Abs(got.HoldN-want) > 0.01*want {
			t.Errorf("%g N: hold %g, by hand %g", forceN, got.HoldN, want)
		}
		before = got.Margin
	}
}

// TestClampOnTheStockBeforeAndAfterAPieceComesFree: the clamp presses the stock until the piece below it is free, and
// the piece from then on.
func TestClampOnTheStockBeforeAndAfterAPieceComesFree(t *testing.T) {
	a := road(t, square(40, 600, 5.6, 6.2), onTable(clampOn(30, 30, 20, 20, 500, ""), ""))
	stock, piece := &a.rec.Pieces[0], &a.rec.Pieces[1]
	force := func(p *sweep.Piece, at sweep.Progress) (sum float64) {
		for _, press := range a.clamps.PressesOn(p, at) {
			sum += press.ForceN
		}
		return sum
	}
	for _, c := range []struct {
		name string
		p    *sweep.Piece
		at   sweep.Progress
		want float64
	}{
		{"stock before", stock, piece.Freed - 1e-6, 500}, {"stock after", stock, piece.Freed, 0},
		{"piece after", piece, piece.Freed, 500},
	} {
		if got := force(c.p, c.at); got != c.want {
			t.Errorf("%s: %g N, want %g", c.name, got, c.want)
		}
	}
	if press := a.clamps.PressesOn(piece, piece.Freed)[0]; math.Hypot(press.X-40, press.Y-40) > 1e-9 {
		t.Errorf("presses at %g %g, the middle is 40 40", press.X, press.Y)
	}
}

// TestAClampOverTheRimPressesOnTheStock: half of it stands beside the stock, which begins at X0.
func TestAClampOverTheRimPressesOnTheStock(t *testing.T) {
	a := road(t, square(40, 600, 5.6, 6.2), onTable(clampOn(-24, 100, 48, 24, 500, ""), ""))
	press := a.clamps.PressesOn(&a.rec.Pieces[0], 0)
	if len(press) != 1 || press[0].ForceN != 500 || math.Abs(press[0].X-12) > 1e-9 || math.Abs(press[0].Y-112) > 1e-9 {
		t.Errorf("%+v, want 500 N at X12 Y112", press)
	}
}

// TestAClampOnTwoPiecesIsSureOfTheLargerOnly: three quarters of it lie on one of two blanks: 2 x 3/4 - 1 of its force
// is sure to press that.
func TestAClampOnTwoPiecesIsSureOfTheLargerOnly(t *testing.T) {
	toml := strings.Replace(onTable(clampOn(90, 100, 40, 24, 600, ""), ""), "[layer]", `[[blank]]
corner = ["100 mm", "0 mm", "-6 mm"]
size = ["300 mm", "300 mm", "6 mm"]
[layer]`, 1)
	toml = strings.Replace(toml, `size = ["400 mm", "300 mm", "6 mm"]`, `size = ["100 mm", "300 mm", "6 mm"]`, 1)
	a := road(t, "G21 G90 G17\nT1 M6\nS18000 M3\nG0 X150 Y50 Z5\nG1 Z-1 F300\nX160\nG0 Z5\nM30\n", toml)
	if small := a.clamps.PressesOn(&a.rec.Pieces[0], 0); len(small) > 0 {
		t.Errorf("the smaller part is pressed by %+v", small)
	}
	if large := a.clamps.PressesOn(&a.rec.Pieces[1], 0); len(large) != 1 || math.Abs(large[0].ForceN-300) > 1e-9 {
		t.Errorf("%+v, by hand 300 N", large)
	}
	if all := strings.Join(a.Result.Assumed, "\n"); !strings.Contains(all, "clamp 1 lies on 2 pieces") {
		t.Errorf("not listed in\n%s", all)
	}
}

// TestAClampHoldsWithoutVacuum: a piece on no open zone is unheld; below a clamp it is not, and the alarm asks for
// nothing.
func TestAClampHoldsWithoutVacuum(t *testing.T) {
	closed := func(more string) string {
		return strings.Replace(onTable(more, ""), `area = [["0 mm","0 mm"],["400 mm","300 mm"]]`,
			`area = [["200 mm","0 mm"],["400 mm","300 mm"]]`, 1)
	}
	program := square(40, 600, 3, 5.6, 6.2)
	if found := findingsOf(roadInFull(t, program, closed("")).Result, result.RuleUnheld); len(found) != 1 {
		t.Fatalf("%v, want the piece unheld", found)
	}
	clamps := clampOn(22, 22, 8, 8, 20000, "friction = 0.2") + clampOn(50, 50, 8, 8, 20000, "friction = 0.2")
	r := roadInFull(t, program, closed(clamps)).Result
	if found := findingsOf(r, result.RuleUnheld); len(found) > 0 || r.Pieces[1].State != result.StateHeld {
		t.Errorf("%v, state %v, least %+v", found, r.Pieces[1].State, r.Pieces[1].Least)
	}
	// The alarm is asked for by the stock alone: with more of the same force on the piece it stays.
	if math.IsNaN(r.Vacuum.AlarmSetpointKPa) {
		t.Errorf("no alarm setting: %+v", r.Vacuum)
	}
}

func TestWhyShowsTheClamps(t *testing.T) {
	a := road(t, square(40, 600, 5.6, 6.2), onTable(clampOn(30, 30, 20, 20, 500, "friction = 0.2"), ""))
	k, err := a.Explain(a.Result.Pieces[1].FreedLine)
	if err != nil {
		t.Fatal(err)
	}
	text := fmt.Sprint(k.Sections)
	for _, want := range []string{"presses with 500 N of its 500 N at X40.000 Y40.000 mm", "P + W + C",
		"pressure + weight + clamps + webs", "friction of clamps on the top"} {
		if !strings.Contains(text, want) {
			t.Errorf("why does not show %q in\n%s", want, text)
		}
	}
}

// TestAClampedPieceSlipsAtMuN: 500 N at 0.35 hold 175 N besides the pressure: mu (N_pressure + W + 500).
func TestAClampedPieceSlipsAtMuN(t *testing.T) {
	a := road(t, square(40, 600, 5.6, 6.2), onTable(clampOn(30, 30, 20, 20, 500, ""), ""))
	piece := &a.rec.Pieces[1]
	var e *epoch
	for i := range a.air {
		if a.air[i].friction[2] > 0 {
			e = &a.air[i]
		}
	}
	// no vacuum
	s, err := contact.NewSupport(a.bodyOf(e, bodyKey{piece: 2}, airflow.Chuck{ChuckPa: a.job.AmbientPa}, change{}))
	if err != nil {
		t.Fatal(err)
	}
	weight := a.weightN(piece)
	o := s.All(contact.Load{XN: 100, X: 40, Y: 40})
	if want := 0.35 * (500 + weight) / 100; math.Abs(o[1].Margin/want-1) > 1e-9 {
		t.Errorf("slip margin %g, by hand 0.35 (500 + %g) / 100 = %g", o[1].Margin, weight, want)
	}
}

// TestAWetClampKeepsNothingByItsPad: flood from the start leaves the friction on the table alone.
func TestAWetClampKeepsNothingByItsPad(t *testing.T) {
	for _, c := range []struct {
		program string
		want    float64
	}{{square(40, 600, 5.6, 6.2), 0.2}, {strings.Replace(square(40, 600, 5.6, 6.2), "S18000 M3", "S18000 M3 M8", 1),
		0}} {
		a := road(t, c.program, onTable(clampOn(30, 30, 20, 20, 500, "friction = 0.2"), ""))
		if press := a.clamps.PressesOn(&a.rec.Pieces[1], a.rec.Pieces[1].Freed); len(press) != 1 ||
			press[0].Friction != c.want {
			t.Errorf("%+v, want friction %g", press, c.want)
		}
	}
}
