package raster

import (
	"math"
	"sort"

	"staydown/parse"
)

// clock turns moments of the program into ticks. Every move has at least one tick, and as many as keep one tick
// below a fraction of a cell along the path, so that ticks of different moves never meet.
type clock struct {
	First []Tick // first tick of each move; one more entry for the end
}

// Interval is a stretch of time, the end left out.
type Interval struct{ From, To Tick }

// NewClock spreads the ticks. Where a program is too long for 32 bits the ticks grow.
func NewClock(moves *parse.Moves, tickMM float64) clock {
	total := 0.0
	for _, m := range moves.All() {
		total += m.LengthMM
	}
	room := float64(math.MaxUint32) - 16 - 2*float64(moves.Len())
	if total/tickMM > room {
		tickMM = total / room * 1.0001
	}
	c := clock{First: make([]Tick, moves.Len()+1)}
	t := FirstTick
	for i, m := range moves.All() {
		c.First[i] = t
		t += 1 + Tick(m.LengthMM/tickMM)
	}
	c.First[moves.Len()] = t
	return c
}

// Ticks gives the number of ticks of a move.
func (c *clock) Ticks(move int) float64 { return float64(c.First[move+1] - c.First[move]) }

// At gives the tick of a fraction of a move.
func (c *clock) At(move int, f float64) Tick {
	n := c.Ticks(move)
	k := math.Floor(f * n)
	return c.First[move] + Tick(max(0, min(n-1, k)))
}

// MoveOf gives the move that a tick belongs to.
func (c *clock) MoveOf(t Tick) int {
	return sort.Search(len(c.First)-1, func(i int) bool { return c.First[i+1] > t })
}

// MoveNear does the same and is quick where the move is not far from another.
func (c *clock) MoveNear(t Tick, move int) int {
	lo, hi := move, move
	for step := 1; c.First[lo] > t; step *= 2 {
		lo, hi = max(0, lo-step), lo
	}
	for step := 1; c.First[hi] <= t && hi < len(c.First)-1; step *= 2 {
		lo, hi = hi, min(len(c.First)-1, hi+step)
	}
	for hi-lo > 1 {
		if m := (lo + hi) / 2; c.First[m] > t {
			hi = m
		} else {
			lo = m
		}
	}
	return lo
}

// Progress gives the moment in the middle of a tick, which lies inside its move.
func (c *clock) Progress(t Tick) Progress {
	move := 0
	return c.ProgressBy(t, &move)
}

// ProgressBy does the same for ticks that mostly lie in the move of the one before, which it keeps.
func (c *clock) ProgressBy(t Tick, move *int) Progress {
	if t == TickNever {
		return Never
	}
	if t < FirstTick {
		return 0
	}
	if t < c.First[*move] || t >= c.First[*move+1] {
		*move = c.MoveNear(t, *move)
	}
	return Progress(float64(*move) + c.Fraction(*move, t))
}

// Fraction gives the middle of a tick as a fraction of its move.
func (c *clock) Fraction(move int, t Tick) float64 {
	return (float64(t-c.First[move]) + 0.5) / c.Ticks(move)
}

// Progress is a moment of the program: the index of a move plus the fraction of it that is done. Whole numbers
// are ends of moves: 3.0 is the start of move 3. Never means "not in this program".
type Progress float64

// Never is later than every moment of a program.
const Never Progress = 1e18

// Move gives the index of the move that is under way.
func (p Progress) Move() int { return int(p) }

// TicksPerCell is the resolution of the moment at which a cell is cut: a cell's width divided by it.
const TicksPerCell = 8

// Tick counts small stretches of the program's path (see clock). Values below FirstTick tell that a cell had no
// material at the start.
type Tick = uint32

const (
	TickOutside Tick = 0 // beyond the rim of every blank
	tickHole    Tick = 1 // in a cut-out that was there from the start
	FirstTick   Tick = 2
	TickNever   Tick = math.MaxUint32
)
