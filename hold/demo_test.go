package hold

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"staydown/hold/result"
	"staydown/internal/testrun"
)

var (
	demoMu   sync.Mutex
	demoDone = map[string]*Analysis{} // an Analysis is not changed by looking at it
)

// demo runs a program of the demo with its job file, once for all tests, on cells of a millimeter, which is quicker
// than those that would be chosen; in the long run of half a millimeter.
func demo(t testing.TB, name string) (*Analysis, []string) {
	t.Helper()
	return demoOn(t, name, 0.5*float64(testrun.Draws(2, 1)))
}

func demoOn(t testing.TB, name string, cellMM float64) (*Analysis, []string) {
	t.Helper()
	const dir = "../testdata/demo/"
	program, err := os.ReadFile(dir + name)
	if err != nil {
		t.Fatal(err)
	}
	jobFile, err := os.ReadFile(dir + strings.TrimSuffix(strings.TrimSuffix(name, ".nc"), ".ngc") + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	demoMu.Lock()
	defer demoMu.Unlock()
	key := fmt.Sprint(name, cellMM)
	if demoDone[key] == nil {
		demoDone[key] = roadInFull(t, string(program), fmt.Sprintf("%s\n[grid]\ncell = \"%g mm\"\n", jobFile, cellMM))
	}
	return demoDone[key], strings.Split(string(program), "\n")
}

// lastCut is the line of the last feed move of the part whose name stands in a comment.
func lastCut(t testing.TB, lines []string, part string) int {
	t.Helper()
	last := 0
	inside := false
	for i, line := range lines {
		switch {
		case line == "("+part+")":
			inside = true
		case inside && strings.Contains(line, "G0 Z25."):
			return last
		case inside:
			last = i + 1
		}
	}
	t.Fatalf("part %s not found", part)
	return 0
}

func TestDemoPanels(t *testing.T) {
	a, lines := demoOn(t, "panels.nc", 0.5)
	r := a.Result
	rounded := func(w, h, radius float64) float64 { return w*h - (4-math.Pi)*radius*radius }
	disc := func(d float64) float64 { return math.Pi * d * d / 4 }
	for _, part := range []struct {
		name  string
		x, y  float64 // middle of it in the drawing, mm
		area  float64 // by its closed form, holes of the drill left in: at most 0.5 % of any part
		rim   float64 // perimeter, mm
		state result.State
	}{
		{"FRONT PANEL", 122, 82, rounded(220, 140, 6), 720, result.StateHeld},
		{"REAR PANEL", 330, 72, rounded(160, 120, 6), 560, result.StateHeld},
		{"SIDE PLATE 1", 72, 215, rounded(120, 90, 5), 420, result.StateHeld},
		{"COVER", 403, 320, rounded(150, 80, 5), 460, result.StateHeld},
		{"BRACKET 1", 468, 32, rounded(80, 40, 4), 240, result.StateAtRisk},
		{"LINK 1", 554, 19.5, rounded(60, 15, 3), 150, result.StateLoose},
		{"TAG 1", 438, 185, rounded(20, 10, 2), 60, result.StateLoose},
		{"SPACER 1", 506, 186, disc(12), 12 * math.Pi, result.StateLoose},
		{"SPACER 2", 532, 186, disc(12), 12 * math.Pi, result.StateLoose},
	} {
		var piece *result.Piece
		for i := range r.Pieces {
			p := &r.Pieces[i]
			if p.Freed && math.Hypot(p.Centroid[0]-part.x, p.Centroid[1]-part.y) < 1 {
				piece = p
			}
		}
		if piece == nil {
			t.Errorf("%s: no piece at X%g Y%g", part.name, part.x, part.y)
			continue
		}
		// A cell belongs to the piece when its center does: half a cell times the perimeter, and the drill's holes.
		if off := math.Abs(piece.AreaMM2 - part.area); off > 0.5*r.Grid.CellMM*part.rim+0.005*part.area {
			t.Errorf("%s: area %.2f mm2, drawn %.2f mm2", part.name, piece.AreaMM2, part.area)
		}
		// All of the table is one open zone: what is held is the piece, holes of the drill and the rounding of cells
		// apart.
		if piece.HeldAreaMM2 <= 0.97*part.area-0.5*r.Grid.CellMM*part.rim || piece.HeldAreaMM2 > piece.AreaMM2*1.001 {
			t.Errorf("%s: held area %.2f mm2 of %.2f", part.name, piece.HeldAreaMM2, piece.AreaMM2)
		}
		wantLine := lastCut(t, lines, part.name)
		if strings.HasPrefix(part.name, "SPACER") {
			if piece.FreedLine != wantLine {
				t.Errorf("%s: freed at line %d, want %d", part.name, piece.FreedLine, wantLine)
			}
		} else if piece.FreedLine != wantLine-1 && piece.FreedLine != wantLine { // the overlap is a block of its own
			t.Errorf("%s: freed at line %d, want %d", part.name, piece.FreedLine, wantLine-1)
		}
		risks := riskOf(r, piece.ID)
		if part.state != piece.State {
			t.Errorf("%s: %v, want %v, findings %v", part.name, piece.State, part.state, risks)
		}
		level := map[result.State]result.Level{result.StateLoose: result.LevelError,
			result.StateAtRisk: result.LevelWarning}[part.state]
		// Until the block that frees it a floor of 0.6 mm stands below that block: 10 mm of it carry 1 kN in shear (180
		// N/mm2), against 100 N of load at most. So it comes loose in that block and in none before.
		begins := slices.IndexFunc(risks, func(f result.Finding) bool { return f.Level == level })
		if part.state != result.StateHeld && (begins < 0 || risks[begins].Line != piece.FreedLine ||
			piece.Least.Line != piece.FreedLine) {
			t.Errorf("%s: %v and the least margin (line %d) do not begin at line %d, which frees it: %v", part.name,
				level,
				piece.Least.Line, piece.FreedLine, risks)
		}
	}
	if r.Verdict != result.Loose {
		t.Errorf("verdict %v, want loose", r.Verdict)
	}
	if stock := r.Pieces[0]; stock.HeldAreaMM2 <= 0 || stock.HeldAreaMM2 >= stock.AreaMM2 {
		t.Errorf("the stock's least held area is %.0f of %.0f mm2", stock.HeldAreaMM2, stock.AreaMM2)
	}
}

func TestDemoSkinCures(t *testing.T) {
	a, _ := demo(t, "panels-skin.nc")
	if a.Result.Verdict != result.Held {
		t.Errorf("verdict %v, want held: %v", a.Result.Verdict, a.Result.Findings)
	}
	hanging := 0
	for _, p := range a.Result.Pieces {
		if p.WebLine > 0 && !p.Freed {
			hanging++
			if p.HeldAreaMM2 < 0.9*p.AreaMM2 {
				t.Errorf("piece %d hangs on a skin with %.1f of %.1f mm2 held", p.ID, p.HeldAreaMM2, p.AreaMM2)
			}
			if math.IsInf(p.Least.Margin, 1) {
				t.Errorf("piece %d hangs on a skin and was never checked", p.ID)
			}
		}
	}
	if hanging != 22 { // 20 parts and the slugs of two rings
		t.Errorf("%d pieces hang on a skin, want 22", hanging)
	}
}

func TestDemoInchesMeasuresInchesOnce(t *testing.T) {
	a, _ := demo(t, "lantern.ngc")
	const inch = 25.4 // exact by definition
	// SIDE 1 is 5 x 7 in with two windows of 3 x 1.75 in; corners of the windows are rounded by the tool's radius.
	windows := 2 * (3*1.75 - (4-math.Pi)*0.125*0.125)
	want := (5*7 - windows) * inch * inch
	found := false
	for _, p := range a.Result.Pieces {
		if p.Freed && math.Abs(p.AreaMM2-want) < 0.5*a.Result.Grid.CellMM*(2*(5+7)+4*(3+1.75))*inch {
			found = true
		}
	}
	if !found {
		t.Errorf("no piece of %.0f mm2", want)
	}
}

func TestNoLoosePieceUnderABetterVerdict(t *testing.T) {
	for _, name := range []string{"panels.nc", "panels-skin.nc", "lantern.ngc"} {
		a, _ := demo(t, name)
		risky := map[int]bool{}
		for _, f := range a.Result.Findings {
			risky[f.Piece] = risky[f.Piece] || f.Level == result.LevelError
		}
		for _, p := range a.Result.Pieces {
			if p.State == result.StateLoose && (a.Result.Verdict != result.Loose || !risky[p.ID]) {
				t.Errorf("%s: piece %d is loose, verdict %v, an error names it: %t", name, p.ID, a.Result.Verdict,
					risky[p.ID])
			}
			if p.State == result.StateAtRisk && a.Result.Verdict == result.Held {
				t.Errorf("%s: piece %d is at risk under verdict held", name, p.ID)
			}
		}
	}
}
