package parse

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"unsafe"

	"staydown/internal/testrun"

	"pgregory.net/rapid"
)

// oddNumbers are those that a careless store would change.
var oddNumbers = []float64{0, math.Copysign(0, -1), 1, 0.1, 1e-300, math.NaN(), math.Inf(1)}

// moveOf draws a move that need not hang together with the one before.
func moveOf(t *rapid.T) Move {
	number := func(name string) float64 { return rapid.SampledFrom(oddNumbers).Draw(t, name) }
	point := func(name string) Point { return Point{number(name), number(name), number(name)} }
	return Move{
		Kind:    rapid.SampledFrom([]Kind{Rapid, Feed, Arc, Dwell}).Draw(t, "kind"),
		Plane:   Plane(rapid.IntRange(0, 2).Draw(t, "plane")),
		Spindle: Spindle(rapid.IntRange(-1, 1).Draw(t, "spindle")), Tool: rapid.Int32Range(0, 3).Draw(t, "tool"),
		Line: rapid.Int32Range(0, 5).Draw(t, "line"), Sub: rapid.Int32Range(0, 1).Draw(t, "sub"), Start: point("start"),
		End:    point("end"),
		Centre: point("centre"), TurnRad: number("turn"), LengthMM: number("length"), FeedMMMin: number("feed"),
		RPM:       number("rpm"),
		DurationS: number("duration"),
	}
}

// identical compares bit for bit: %x prints all of a number, and its sign.
func identical(a, b Move) bool { return fmt.Sprintf("%x", a) == fmt.Sprintf("%x", b) }

// A plain list is the reference.
func TestMovesComeBackBitForBit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s Moves
		var list []Move
		fill := rapid.SampledFrom([]int{0, moveChunkLen - 3}).Draw(t, "fill") // up to where a chunk ends
		for range fill {
			list = append(list, Move{Kind: Feed})
			s.add(&list[len(list)-1])
		}
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			m := moveOf(t)
			switch what := rapid.IntRange(0, 5).Draw(t, "what"); {
			case what < 4 || len(list) == fill:
				if n := len(list); n > 0 && what < 2 { // as programs do
					m.Start = list[n-1].End
					m.LengthMM = pathLength(&m)
				}
				list = append(list, m)
				s.add(&m)
			default:
				i := rapid.IntRange(fill, len(list)-1).Draw(t, "index")
				list[i] = m
				s.set(i, &m)
			}
		}
		if s.Len() != len(list) {
			t.Fatalf("%d moves, want %d", s.Len(), len(list))
		}
		for i, m := range s.All() {
			if !identical(m, list[i]) {
				t.Fatalf("move %d of %d:\n%+v\nwant\n%+v", i, len(list), m, list[i])
			}
		}
	})
}

// bytesOf is what the store holds, unused room included.
func bytesOf(s *Moves) uintptr {
	n := uintptr(cap(s.chunks))*unsafe.Sizeof(moveChunk{}) + uintptr(cap(s.rests))*unsafe.Sizeof(moveRest{})
	for i := range s.chunks {
		c := &s.chunks[i]
		n += uintptr(cap(c.moves))*unsafe.Sizeof(packedMove{}) + uintptr(cap(c.turns))*unsafe.Sizeof(moveTurn{}) +
			uintptr(cap(c.odd))*unsafe.Sizeof(oddMove{})
	}
	return n
}

// Programs of many moves take few bytes for each: 34 where they are straight, 90 where they are arcs.
func TestMovesAreSmall(t *testing.T) {
	testrun.NotForRaces(t)
	for _, c := range []struct {
		name, even, odd string
		most            float64
	}{
		{"lines", "G1 X%d.125 F1800\n", "X%d Z-1.5\n", 34},
		{"feeds that change", "G1 X%d.125 F1800\n", "X%d Z-1.5 F900\n", 34},
		{"rapids", "G0 X%d.125\n", "G1 X%d Z-1.5 F900\n", 34},
		{"arcs", "G2 X%d.125 Y3 R500 F1800\n", "G3 X%d Y0 R500\n", 90},
	} {
		var b strings.Builder
		b.WriteString("G21 G90 G17 S18000 M3\n G0 X0 Y0 Z0\n")
		const n = 100_000
		for i := range n / 2 {
			fmt.Fprintf(&b, c.even, i%100)
			fmt.Fprintf(&b, c.odd, i%100+1)
		}
		b.WriteString("M30\n")
		p := Read([]byte(b.String()), Options{Name: "p"})
		if p.Moves.Len() < n*9/10 {
			t.Fatalf("%s: %d moves: %v", c.name, p.Moves.Len(), p.Notes)
		}
		if got := float64(bytesOf(&p.Moves)) / float64(p.Moves.Len()); got > c.most {
			t.Errorf("%s: %.1f bytes for a move, want at most %g", c.name, got, c.most)
		}
	}
}
