// Package doubt computes with figures that nobody knows exactly: friction, cutting force, permeability, and so on.
//
// An Input is such a figure with its 5, 50 and 95 % points. Every input runs on a normal score: 0 is the likely value,
// -1.645 the low one, +1.645 the high one. The scores of different inputs are independent; what several materials,
// tools or pieces share is an input of its own.
//
//	low ---------- likely -------------- high      value, two-piece: each side has its own spread
//	-1.645 --------- 0 ---------------- +1.645     score, standard normal
//
// It knows nothing of jobs, programs or pieces.
package doubt

import (
	"errors"
	"fmt"
	"math"
)

// Score95 is the normal score of the 95 % point; that of the 5 % point is its negative. Source: tables of the standard
// normal distribution.
const Score95 = 1.6448536269514722

// Scope tells what shares a value of an input: all that is computed for one shop, one material, one tool, and so on.
type Scope uint8

const (
	Shop     Scope = iota // table, layer, pump, and the model itself
	Material              // every sheet of the material
	Tool
	Sheet // one blank: thickness, Z zero
	Job   // one run of a program
	Piece // each piece has its own
)

// String gives the word for messages and records.
func (s Scope) String() string {
	return [...]string{"shop", "material", "tool", "sheet", "job", "piece"}[s]
}

// Law tells how the values of an input spread.
type Law uint8

const (
	Lognormal Law = iota // factors: whatever is above 0
	Normal               // lengths, and what may be 0
)

// String gives the word for records.
func (l Law) String() string { return [...]string{"lognormal", "normal"}[l] }

// Input is a doubtful figure. Low, Likely and High are in Unit.
type Input struct {
	Name    string // "friction of porous-card on aluminium-wrought"
	Unit    string // "" for a bare number
	Scope   Scope
	Law     Law
	Low     float64 // 5 % point
	Likely  float64 // 50 % point
	High    float64 // 95 % point
	Source  string
	Measure string // how a shop narrows it down: "pull test, 10 minutes"; "" when it cannot
	// Reading is how far off that measurement may be, at the 5 and 95 % points: factors of a lognormal input,
	// differences in Unit of a normal one. The zero value: not told, and nothing is gained.
	Reading Scatter
}

// ErrRange says that low, likely and high are not in order, not finite, or not above 0 where the law asks for it.
var ErrRange = errors.New("no such range")

// Check fails with ErrRange.
func (in Input) Check() error {
	least := 0.0
	if in.Law == Normal {
		least = math.Inf(-1)
	}
	if !(in.Low > least && in.Low <= in.Likely && in.Likely <= in.High && in.High < math.Inf(1)) {
		return fmt.Errorf("%w: %s from %g, likely %g, to %g", ErrRange, in.Name, in.Low, in.Likely, in.High)
	}
	return nil
}

// Exact reports whether the input has no spread.
func (in Input) Exact() bool { return in.Low == in.Likely && in.Likely == in.High }

// At is the value at a normal score.
func (in Input) At(score float64) float64 {
	end := in.High
	if score < 0 {
		end = in.Low
	}
	share := math.Abs(score) / Score95
	if in.Law == Normal {
		return in.Likely + share*(end-in.Likely)
	}
	return in.Likely * math.Pow(end/in.Likely, share)
}

// Score is the normal score of a value: the inverse of At. It is 0 on a side without spread.
func (in Input) Score(value float64) float64 {
	end, sign := in.High, 1.0
	if value < in.Likely {
		end, sign = in.Low, -1
	}
	if end == in.Likely {
		return 0
	}
	if in.Law == Normal {
		return sign * Score95 * (value - in.Likely) / (end - in.Likely)
	}
	return sign * Score95 * math.Log(value/in.Likely) / math.Log(end/in.Likely)
}
