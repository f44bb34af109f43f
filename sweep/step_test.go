package sweep

import (
	"math"
	"reflect"
	"slices"
	"testing"
	"unsafe"

	"staydown/sweep/internal/testprog"
)

// stepsOf gives the steps of a move.
func stepsOf(r *Record, move int) []Step {
	var out []Step
	for _, s := range r.Steps.All() {
		if int(s.Move) == move {
			out = append(out, *s)
		}
	}
	return out
}

// The longest step of a move stands for it where caps at its ends differ.
func longest(t *testing.T, r *Record, move int) Step {
	t.Helper()
	all := stepsOf(r, move)
	if len(all) == 0 {
		t.Fatalf("move %d has no steps", move)
	}
	best := all[0]
	for _, s := range all {
		if s.To-s.From > best.To-best.From {
			best = s
		}
	}
	return best
}

// Geometry of the engaged arc: a slot is engaged from -90 to +90 degrees; a cut of radial width a on the left side of a
// tool of radius R from asin(1 - a/R) to 90 degrees, with the wall on the left: the tool turns clockwise (M3), so that
// is conventional milling; on the right it is climb milling.
func TestEngagementOfStraightCuts(t *testing.T) {
	const r = 5.0
	slot := testprog.New(1).Enter(10, 20, -4).Line(60, 20, -4).Up()
	rec := sweep(t, slot, testprog.EndMill(2*r), testprog.Plate(80, 60, 6), 0.25)
	s := longest(t, rec, 3)
	near(t, "slot right", float64(s.RightRad), -math.Pi/2, 1e-6)
	near(t, "slot left", float64(s.LeftRad), math.Pi/2, 1e-6)
	if want := FullWidth | LeftWall | RightWall; s.Flags != want {
		t.Errorf("slot flags %b, want %b", s.Flags, want)
	}
	near(t, "slot volume", s.VolumeMM3, float64(s.To-s.From)*50*10*4, 0.01*50*10*4)
	if len(stepsOf(rec, 3)) > 3 {
		t.Errorf("%d steps for a straight slot", len(stepsOf(rec, 3)))
	}
	for _, a := range []float64{1, 2.5, 5, 8} {
		// Along the lower edge of the plate (Y = 0) in +X: material on the left.
		p := testprog.New(1).Enter(-10, a-r, -4).Line(90, a-r, -4).Up()
		s := longest(t, sweep(t, p, testprog.EndMill(2*r), testprog.Plate(80, 60, 6), 0.25), 3)
		near(t, "left", float64(s.LeftRad), math.Pi/2, 1e-6)
		near(t, "right", math.Sin(float64(s.RightRad)), 1-a/r, 0.26/r)
		near(t, "width", float64(s.WidthMM), a, 0.26)
		if s.Flags != LeftWall {
			t.Errorf("width %g: flags %b, want only the left wall", a, s.Flags)
		}
		near(t, "low", float64(s.LowMM), -4, 1e-4)
		near(t, "high", float64(s.HighMM), 0, 1e-4)
		// Back in -X: the same material on the right.
		p = testprog.New(1).Enter(90, a-r, -4).Line(-10, a-r, -4).Up()
		s = longest(t, sweep(t, p, testprog.EndMill(2*r), testprog.Plate(80, 60, 6), 0.25), 3)
		near(t, "back right", float64(s.RightRad), -math.Pi/2, 1e-6)
		if s.Flags != RightWall {
			t.Errorf("width %g back: flags %b, want only the right wall", a, s.Flags)
		}
	}
}

// The same cut in blocks shorter than a cell has the same engagement.
func TestEngagementOfShortBlocks(t *testing.T) {
	const r, a = 5.0, 2.5
	p := testprog.New(1).Enter(-10, a-r, -4)
	for x := -9.9; x < 60; x += 0.1 {
		p.Line(x, a-r, -4)
	}
	rec := sweep(t, p.Up(), testprog.EndMill(2*r), testprog.Plate(80, 60, 6), 0.25)
	checked := 0
	for _, s := range rec.Steps.All() {
		if m := rec.Steps.At(0).Move; s.Move < m+200 || s.VolumeMM3 == 0 || s.Move > 600 {
			continue
		}
		checked++
		near(t, "right", math.Sin(float64(s.RightRad)), 1-a/r, 0.52/r)
	}
	if checked < 100 {
		t.Errorf("only %d steps", checked)
	}
}

func TestFlagsOfSteps(t *testing.T) {
	tools := testprog.EndMill(6)
	tools[1] = Tool{Number: 1, Shape: Flat, DiameterMM: 6, ReachMM: 5}
	p := testprog.New(1).Enter(20, 20, -6.3). // 2: plunge into the layer, beyond the reach
							Line(60, 20, -6.3).Line(20, 20, -6.3). // 3: slot; 4: back through it: rub
							Rapid(20, 20, 5).                      // 5: retract
							Rapid(20, 40, 5).Rapid(20, 40, -3)     // 6, 7: rapid into material
	p.Rapid(20, 60, -3).Up().Rapid(70, 5, 5)
	rec := sweep(t, p, tools, testprog.Plate(80, 70, 6), 0.25)
	for _, c := range []struct {
		move       int
		has, lacks StepFlags
	}{
		{2, Plunge | Breakthrough | ChuckCut | OverReach, Rub | RapidCut | Retract},
		{3, FullWidth | Breakthrough | ChuckCut | OverReach, Rub | Plunge | RapidCut},
		{4, Rub | LeftWall | RightWall, Breakthrough | RapidCut | FullWidth},
		{5, Rub | Retract, Breakthrough},
		{7, RapidCut | Plunge, Breakthrough | ChuckCut | Rub},
		{8, RapidCut | FullWidth, Plunge | ChuckCut},
	} {
		s := longest(t, rec, c.move)
		if s.Flags&c.has != c.has || s.Flags&c.lacks != 0 {
			t.Errorf("move %d: flags %011b, want %011b and none of %011b", c.move, s.Flags, c.has, c.lacks)
		}
	}
	s := longest(t, rec, 3)
	near(t, "over", float64(s.OverMM), 1.3, 1e-5)
	near(t, "tip", float64(s.TipMM), -6.3, 1e-5)
	for _, m := range []int{0, 1, 6, 10} {
		if n := len(stepsOf(rec, m)); n != 0 {
			t.Errorf("move %d is in the air but has %d steps", m, n)
		}
	}
}

// A spring pass along a finished contour removes nothing, touches the wall of the part on one side and of the frame on
// the other, and costs no look at the cells inside.
func TestASpringPassRubsBothOwners(t *testing.T) {
	p := testprog.New(1).Enter(20, 20, -6.2)
	for range 2 {
		p.Line(60, 20, -6.2).Line(60, 50, -6.2).Line(20, 50, -6.2).Line(20, 20, -6.2)
	}
	rec := sweep(t, p.Up(), testprog.EndMill(6), testprog.Plate(80, 70, 6), 0.25)
	wantPieces(t, rec, 2)
	for m := 7; m <= 10; m++ {
		s := longest(t, rec, m)
		if s.Flags&Rub == 0 || len(rec.Touched(&s)) != 2 || rec.Touched(&s)[0] != 1 || rec.Touched(&s)[1] != 2 ||
			s.VolumeMM3 != 0 {
			t.Errorf("move %d: %+v", m, s)
		}
	}
	// The first time round, before the piece is free, everything belongs to the stock.
	if s := longest(t, rec, 3); len(rec.Touched(&s)) != 1 || rec.Touched(&s)[0] != 1 {
		t.Errorf("first pass: %+v", s)
	}
}

// A groove 1 mm deep by a 90 degree vee of 12 mm is 2 mm wide, wherever the table lies: it touches what is beside it
// and not the piece beyond the kerf, 6 mm away, where the tool's rim is.
func TestAVeeTouchesWhatItsDepthReaches(t *testing.T) {
	tools := map[int]Tool{1: {Number: 1, Shape: Flat, DiameterMM: 4}, 2: {Number: 2, Shape: Vee, DiameterMM: 12,
		AngleRad: math.Pi / 2}}
	for _, bottom := range []float64{-6, 0, 10} {
		over, through := bottom+11, bottom-0.2
		p := testprog.New(1).Rapid(20, 20, over).Line(20, 20, through).Line(60, 20, through).Line(60, 50,
			through).Line(20,
			50, through).
			Line(20, 20, through).Rapid(20, 20, over) // the kerf reaches from X 18 to 22
		p.Tool = 2
		p.Rapid(16.5, 26, over).Line(16.5, 26, bottom+5).Line(16.5, 44, bottom+5).Rapid(16.5, 44, over)
		s := testprog.Plate(80, 70, 6)
		s.BottomMM, s.Blanks[0].TopMM = bottom, bottom+6
		rec := sweep(t, p, tools, s, 0.25)
		wantPieces(t, rec, 2)
		groove := longest(t, rec, len(p.Moves)-2)
		if !slices.Equal(rec.Touched(&groove), []int32{1}) {
			t.Errorf("table at Z %g: the groove touches %v, want the stock", bottom, rec.Touched(&groove))
		}
	}
}

// An arc along the inside of a bore has its wall on one side only: on the right when it goes counter-clockwise.
func TestAnArcInABoreHasItsWallOutside(t *testing.T) {
	p := testprog.New(1).Enter(43, 40, -6.2).Arc(40, 40, 2*math.Pi, -6.2).Line(44, 40, -6.2).Arc(40, 40, 2*math.Pi,
		-6.2).Up()
	rec := sweep(t, p, testprog.EndMill(8), testprog.Plate(80, 80, 6), 0.25)
	s := longest(t, rec, 5)
	if s.Flags&(LeftWall|RightWall) != RightWall || s.Flags&Rub != 0 {
		t.Errorf("flags %011b, want the right wall", s.Flags)
	}
	// The tool's circle (radius 4, 4 from the bore's middle) meets the old bore of radius 7 where its offset to the
	// right is (49 - 16 - 16)/8 = 2.125: the arc goes from there to 4.
	near(t, "right", float64(s.RightRad), -math.Pi/2, 1e-6)
	near(t, "left", 4*math.Sin(float64(s.LeftRad)), -2.125, 0.3)
}

// Steps cover the moves in order and never overlap.
func TestStepsAreInOrder(t *testing.T) {
	rec := sweep(t, nest(2, 2, 60, 20, 40), testprog.EndMill(6), testprog.Plate(120, 120, 6), 0.25)
	last := Progress(-1)
	for i, s := range rec.Steps.All() {
		from, to := Progress(float64(s.Move)+float64(s.From)), Progress(float64(s.Move)+float64(s.To))
		if float64(from) < float64(last)-1e-6 || to < from || s.To > 1 || s.From < 0 {
			t.Fatalf("step %d: %v..%v after %v", i, from, to, last)
		}
		last = to
		if len(rec.Touched(s)) == 0 && s.VolumeMM3 > 0 {
			t.Errorf("step %d removes material of nobody: %+v", i, s)
		}
	}
}

// A long program has tens of millions of steps. They hold no pointers, so that the garbage collector passes them by.
func TestStepsAreSmall(t *testing.T) {
	if n := unsafe.Sizeof(Step{}); n > 56 {
		t.Errorf("a step takes %d bytes, want at most 56", n)
	}
	for i := range reflect.TypeFor[Step]().NumField() {
		switch f := reflect.TypeFor[Step]().Field(i); f.Type.Kind() {
		case reflect.Slice, reflect.Pointer, reflect.String, reflect.Map, reflect.Interface:
			t.Errorf("%s holds a pointer", f.Name)
		}
	}
}
