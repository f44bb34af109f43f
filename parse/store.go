package parse

import (
	"iter"
	"math"
	"slices"
)

// Moves are the moves of a program in their order, in some 32 bytes each instead of the 144 of a Move. A place and a
// line are kept for each move; what repeats from move to move stands once in a table; the start is the end of the move
// before; length and duration follow from the rest. Where a move is not so it is kept apart, so that every move comes
// back bit for bit. The zero value is empty.
type Moves struct {
	chunks []moveChunk
	n      int
	rests  []moveRest
	known  map[moveRest]uint32 // index in rests
	rapid  float64             // mm/min; durations of rapids follow from it
}

// moveChunkLen is the number of moves that are kept together: a program grows without being copied.
const moveChunkLen = 1 << 10

type moveChunk struct {
	moves []packedMove
	turns []moveTurn // by rising index
	odd   []oddMove  // by rising index
}

// packedMove is what differs from move to move.
type packedMove struct {
	end  Point
	line int32
	rest uint32 // index in rests, and the flags
}

// Flags of packedMove.rest.
const (
	hasTurn  = 1 << 31 // the chunk has its turn
	isOdd    = 1 << 30 // the chunk has its start, length and duration
	restMask = isOdd - 1
)

// moveRest is what many moves share. Its numbers are kept as bits, so that it can be looked up whatever they are.
type moveRest struct {
	feed, rpm uint64
	tool, sub int32
	kind      Kind
	plane     Plane
	spindle   Spindle
}

func (r *moveRest) setSpindle(s Spindle, rpm float64) { r.spindle, r.rpm = s, math.Float64bits(rpm) }

// moveTurn is what arcs have besides.
type moveTurn struct {
	at      uint16 // index in the chunk
	centre  Point
	turnRad float64
}

// oddMove is what could not be derived.
type oddMove struct {
	at                  uint16 // index in the chunk
	start               Point
	lengthMM, durationS float64
}

// NewMoves keeps the moves of a list. A length that is not given is that of the path.
func NewMoves(list ...Move) *Moves {
	s := new(Moves)
	for _, m := range list {
		if m.LengthMM == 0 {
			m.LengthMM = pathLength(&m)
		}
		s.add(&m)
	}
	return s
}

// Len is the number of moves.
func (s *Moves) Len() int { return s.n }

// At gives move i, counted from 0. It panics if there is none.
func (s *Moves) At(i int) (m Move) {
	c := &s.chunks[i/moveChunkLen]
	at := i % moveChunkLen
	p := &c.moves[at]
	r := &s.rests[p.rest&restMask]
	m.Kind, m.Plane, m.Spindle, m.Tool = r.kind, r.plane, r.spindle, r.tool
	m.Line, m.Sub = p.line, r.sub
	m.End = p.end
	m.FeedMMMin, m.RPM = math.Float64frombits(r.feed), math.Float64frombits(r.rpm)
	if p.rest&hasTurn != 0 {
		t := &c.turns[indexIn(c.turns, at, turnAt)]
		m.Centre, m.TurnRad = t.centre, t.turnRad
	}
	if p.rest&isOdd != 0 {
		o := &c.odd[indexIn(c.odd, at, oddAt)]
		m.Start, m.LengthMM, m.DurationS = o.start, o.lengthMM, o.durationS
		return m
	}
	m.Start = s.endBefore(i)
	m.LengthMM = pathLength(&m)
	m.DurationS = s.duration(&m)
	return m
}

// All gives the moves in their order, with their indices.
func (s *Moves) All() iter.Seq2[int, Move] {
	return func(yield func(int, Move) bool) {
		for i := range s.n {
			if !yield(i, s.At(i)) {
				return
			}
		}
	}
}

// endBefore is where the move before i ends; the origin for the first.
func (s *Moves) endBefore(i int) Point {
	if i == 0 {
		return Point{}
	}
	return s.chunks[(i-1)/moveChunkLen].moves[(i-1)%moveChunkLen].end
}

// duration is the time (s) that a move takes at its feed, or at the rapid rate.
func (s *Moves) duration(m *Move) float64 {
	switch m.Kind {
	case Dwell:
		return 0
	case Rapid:
		return m.LengthMM / s.rapid * 60
	}
	return m.LengthMM / m.FeedMMMin * 60
}

func (s *Moves) add(m *Move) {
	if s.n%moveChunkLen == 0 {
		s.chunks = append(s.chunks, moveChunk{})
	}
	c := &s.chunks[s.n/moveChunkLen]
	if len(c.moves) == cap(c.moves) { // append would leave a part of the room unused
		room := moveChunkLen
		if len(s.chunks) == 1 {
			room = min(room, max(16, 2*len(c.moves)))
		}
		c.moves = append(make([]packedMove, 0, room), c.moves...)
	}
	c.moves = append(c.moves, packedMove{})
	s.n++
	s.write(s.n-1, m)
}

// set changes move i and no other.
func (s *Moves) set(i int, m *Move) {
	if i+1 == s.n {
		s.write(i, m)
		return
	}
	next := s.At(i + 1) // its start may be kept as the end of this one
	s.write(i, m)
	s.write(i+1, &next)
}

// write fills in move i.
func (s *Moves) write(i int, m *Move) {
	c, at := &s.chunks[i/moveChunkLen], i%moveChunkLen
	c.drop(at)
	p := packedMove{end: m.End, line: m.Line}
	r := moveRest{
		feed: math.Float64bits(m.FeedMMMin), rpm: math.Float64bits(m.RPM),
		tool: m.Tool, sub: m.Sub, kind: m.Kind, plane: m.Plane, spindle: m.Spindle,
	}
	p.rest = s.restOf(&r)
	if m.Centre.bits() != [3]uint64{} || math.Float64bits(m.TurnRad) != 0 {
		p.rest |= hasTurn
		n := indexIn(c.turns, at, turnAt)
		c.turns = slices.Insert(c.turns, n, moveTurn{uint16(at), m.Centre, m.TurnRad})
	}
	c.moves[at] = p
	got := s.At(i)
	if got.Start.bits() != m.Start.bits() || !sameBits(got.LengthMM, m.LengthMM) || !sameBits(got.DurationS,
		m.DurationS) {
		c.moves[at].rest |= isOdd
		n := indexIn(c.odd, at, oddAt)
		c.odd = slices.Insert(c.odd, n, oddMove{uint16(at), m.Start, m.LengthMM, m.DurationS})
	}
}

// drop forgets what is kept apart of a move.
func (c *moveChunk) drop(at int) {
	p := &c.moves[at]
	if p.rest&hasTurn != 0 {
		n := indexIn(c.turns, at, turnAt)
		c.turns = slices.Delete(c.turns, n, n+1)
	}
	if p.rest&isOdd != 0 {
		n := indexIn(c.odd, at, oddAt)
		c.odd = slices.Delete(c.odd, n, n+1)
	}
	p.rest &= restMask
}

// restOf gives the index of a rest, which is entered where it is new.
func (s *Moves) restOf(r *moveRest) uint32 {
	if n := len(s.rests); n > 0 && s.rests[n-1] == *r {
		return uint32(n - 1)
	}
	k, ok := s.known[*r]
	if !ok {
		if s.known == nil {
			s.known = map[moveRest]uint32{}
		}
		k = uint32(len(s.rests))
		s.rests, s.known[*r] = append(s.rests, *r), k
	}
	return k
}

// indexIn finds the entry of a move, or where it would stand.
func indexIn[T any](list []T, at int, atOf func(*T) uint16) int {
	lo, hi := 0, len(list)
	for lo < hi {
		if mid := (lo + hi) / 2; int(atOf(&list[mid])) < at {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

func turnAt(t *moveTurn) uint16 { return t.at }
func oddAt(o *oddMove) uint16   { return o.at }

func (p Point) bits() [3]uint64 {
	return [3]uint64{math.Float64bits(p.X), math.Float64bits(p.Y), math.Float64bits(p.Z)}
}

func sameBits(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }
