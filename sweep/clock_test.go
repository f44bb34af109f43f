package sweep

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
	c := newClock(movesOf(moves), 0.1)
	for n := range 20000 {
		at := firstTick + tick(rnd.Intn(int(c.first[len(moves)]-firstTick)))
		if n < len(moves) {
			at = c.first[n]
		}
		want := c.move(at)
		if got := c.moveNear(at, rnd.Intn(len(moves))); got != want {
			t.Fatalf("tick %d: move %d, want %d", at, got, want)
		}
	}
}
