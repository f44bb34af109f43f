package raster

import (
	"math/rand"
	"testing"

	"staydown/parse"
)

// The move of a tick is the same wherever the search begins.
func TestMoveNearFindsTheMove(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	var moves []parse.Move
	for range 300 {
		moves = append(moves, parse.Move{Kind: parse.Feed, End: parse.Point{X: rnd.ExpFloat64() * rnd.ExpFloat64()}})
	}
	c := NewClock(parse.NewMoves(moves...), 0.1)
	for n := range 20000 {
		at := FirstTick + Tick(rnd.Intn(int(c.First[len(moves)]-FirstTick)))
		if n < len(moves) {
			at = c.First[n]
		}
		want := c.MoveOf(at)
		if got := c.MoveNear(at, rnd.Intn(len(moves))); got != want {
			t.Fatalf("tick %d: move %d, want %d", at, got, want)
		}
	}
}
