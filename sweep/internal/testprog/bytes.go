package testprog

import (
	"encoding/binary"
	"math"

	"staydown/parse"
	"staydown/sweep/internal/shape"
)

// FromBytes reads moves from bytes: kind, tool and plane, then six coordinates as 16-bit steps of a hundredth, now and
// then as raw floats.
func FromBytes(data []byte) []parse.Move {
	var moves []parse.Move
	at := parse.Point{X: 10, Y: 10, Z: 5}
	word := func(scale float64) float64 {
		if len(data) < 2 {
			return 0
		}
		v := int16(binary.LittleEndian.Uint16(data))
		data = data[2:]
		return float64(v) * scale
	}
	for len(data) > 2 && len(moves) < 60 {
		op, tl := data[0], data[1]
		data = data[2:]
		m := parse.Move{Kind: parse.Kind(op % 4), Plane: parse.Plane(op >> 2 % 3), Tool: int32(tl%6) + 1,
			Line: int32(len(moves) + 1), Start: at}
		m.End = parse.Point{X: word(0.002), Y: word(0.002), Z: word(0.0003)}
		if m.Kind == parse.Arc {
			m.Centre = parse.Point{X: word(0.002), Y: word(0.002), Z: word(0.0003)}
			m.TurnRad = word(0.001)
		}
		if op == 255 && len(data) >= 8 {
			m.End.X = math.Float64frombits(binary.LittleEndian.Uint64(data))
			data = data[8:]
		}
		if m.Kind == parse.Dwell {
			m.End = at
		}
		if op&64 != 0 {
			m.Start = m.Centre // a jump: moves need not hang together
		}
		at = m.End
		moves = append(moves, m)
	}
	return moves
}

// AllShapes has one of each shape.
func AllShapes() map[int]shape.Tool {
	return map[int]shape.Tool{
		1: {Number: 1, Shape: shape.Flat, DiameterMM: 6, ReachMM: 4}, 2: {Number: 2, Shape: shape.Ball, DiameterMM: 4},
		3: {Number: 3, Shape: shape.Bull, DiameterMM: 8, CornerMM: 2},
		4: {Number: 4, Shape: shape.Vee, DiameterMM: 10, AngleRad: 1}, 5: {Number: 5, Shape: shape.Drill, DiameterMM: 5,
			AngleRad: 2}, 6: {Number: 6, Shape: shape.Flat, DiameterMM: 1.5},
	}
}
