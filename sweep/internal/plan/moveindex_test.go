package plan

import (
	"math/rand"
	"reflect"
	"testing"
	"unsafe"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/testprog"
)

// The index finds the moves whose boxes meet another, in their order.
func TestMoveIndexFindsAllMovesNear(t *testing.T) {
	rnd := rand.New(rand.NewSource(3))
	p := testprog.New(1)
	for range 9000 {
		p.Line(300*rnd.Float64(), 300*rnd.Float64(), 2-8*rnd.Float64())
		if rnd.Intn(5) == 0 {
			p.Arc(p.Tip.X+3, p.Tip.Y, rnd.Float64(), p.Tip.Z)
		}
	}
	s, err := Prepare(parse.NewMoves(p.Moves...), testprog.EndMill(6), testprog.Plate(300, 300, 6), Options{CellMM: 1})
	if err != nil {
		t.Fatal(err)
	}
	ix := NewMoveIndex(s)
	found := 0
	for range 200 {
		at := orb.Point{300 * rnd.Float64(), 300 * rnd.Float64()}
		box := orb.Bound{Min: at, Max: at}.Pad(20 * rnd.Float64())
		var got, want []int
		ix.Each(box, func(i int, _ *parse.Move) { got = append(got, i) })
		for i, m := range s.Moves.All() {
			if b := s.reachOf(&m); b.Intersects(box) {
				want = append(want, i)
			}
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%v: %d moves, want %d", box, len(got), len(want))
		}
		found += len(want)
	}
	if found < 1000 {
		t.Errorf("only %d moves found", found)
	}
}

// Boxes of 8, 64, ... moves: 32 bytes (1/8 + 1/64 + ...) a move. Programs have up to 20 million.
func TestMoveIndexTakesFiveBytesAMove(t *testing.T) {
	p := testprog.New(1)
	const moves = 20_000
	for i := range moves {
		p.Line(0.01*float64(i), 5, -1)
	}
	s, err := Prepare(parse.NewMoves(p.Moves...), testprog.EndMill(6), testprog.Plate(300, 300, 6), Options{CellMM: 1})
	if err != nil {
		t.Fatal(err)
	}
	bytes := uintptr(0)
	for _, level := range NewMoveIndex(s).boxes {
		bytes += uintptr(len(level)) * unsafe.Sizeof(orb.Bound{})
	}
	if bytes > 5*moves {
		t.Errorf("%.1f bytes a move", float64(bytes)/moves)
	}
}
