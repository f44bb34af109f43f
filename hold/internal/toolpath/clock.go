package toolpath

import (
	"math"

	"staydown/parse"
	"staydown/sweep"
)

// Clock tells the times and lines of the moments of a program.
type Clock struct {
	moves *parse.Moves
	times []float64 // start of every timesEvery-th move, s
}

// timesEvery is the number of moves between two whose times are kept: the others are summed up from them.
const timesEvery = 8

// NewClock sums the durations of the moves.
func NewClock(moves *parse.Moves) Clock {
	c := Clock{moves: moves, times: make([]float64, moves.Len()/timesEvery+1)}
	at := 0.0
	for i := range moves.Len() {
		if i%timesEvery == 0 {
			c.times[i/timesEvery] = at
		}
		at += moves.At(i).DurationS
	}
	if moves.Len()%timesEvery == 0 {
		c.times[moves.Len()/timesEvery] = at
	}
	return c
}

// StartS is the time at which a move begins, or the program ends.
func (c *Clock) StartS(move int) float64 {
	at := c.times[move/timesEvery]
	for i := move / timesEvery * timesEvery; i < move; i++ {
		at += c.moves.At(i).DurationS
	}
	return at
}

// TimeS is the time of a moment of the program.
func (c *Clock) TimeS(p sweep.Progress) float64 {
	i := p.Move()
	if i >= c.moves.Len() {
		return c.StartS(c.moves.Len())
	}
	return c.StartS(i) + (float64(p)-float64(i))*c.moves.At(i).DurationS
}

// LineOf is the line of the block at a moment that ends something: on the border of two moves, the earlier one.
func (c *Clock) LineOf(p sweep.Progress) int {
	i := lastMove(p)
	if i < 0 || c.moves.Len() == 0 {
		return 0
	}
	return int(c.moves.At(min(i, c.moves.Len()-1)).Line)
}

// lastMove is the move at a moment that ends something: on the border of two moves, the earlier one.
func lastMove(p sweep.Progress) int { return int(math.Ceil(float64(p))) - 1 }
