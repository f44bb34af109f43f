// Package contact decides whether a loaded piece lifts, slips, twists or tips.
//
// It takes the pressure field under a piece, its weight, friction, tack, webs and clamps, and a load with its point of
// action, and gives the margin of each check. It knows nothing of how pressure and load came about.
//
// A margin is capacity divided by demand: 1 is the limit, +Inf means that the load does not ask for it, and it is never
// negative. Wherever a sum is approximated, the margin given is a lower bound, short of the model's true one by the
// amounts stated at Support.
//
//	   load H at height h, V up          lift   V against pressure, weight, clamps and webs
//	        --> |                        slip   H against friction, tack and webs
//	      +-----+---------+              twist  H and its moment about the sliding center, on the limit surface
//	      |     piece     |              tip    H h and V about an edge of the hull or a line through webs
//	======^=^=^=^=^=^=^=^=+====
//	  pressure of each element
//
// The worst of many loads is found from quick bounds up to the exact search (worst.go). It does not know speeds,
// impacts, or how a piece bends: pieces are stiff and loads stand still.
package contact

import (
	"fmt"
	"math"
)

// Element is a small part of the contact face with the pressure difference that presses it down.
type Element struct {
	X, Y       float64 // mm
	AreaMM2    float64
	PressurePa float64
}

// Load is what the cutter does to the piece at one instant.
type Load struct {
	XN, YN, ZN float64 // force on the piece, N; ZN positive upwards
	X, Y       float64 // point of action, mm
	HeightMM   float64 // of the point of action above the contact face
	TorqueNmm  float64 // about +Z through the point of action, on the piece, beyond what XN and YN do
}

// Limits of what NewSupport and Check accept. They keep time, memory and every product of two inputs bounded.
const (
	maxElements = 1 << 22
	maxWebs     = 1 << 12
	maxOutline  = 1 << 20
	maxPresses  = 1 << 12
	maxMM       = 1e6  // lengths and places
	maxMM2      = 1e12 // areas
	maxN        = 1e9  // forces
	maxNmm      = 1e15 // torques
	maxPa       = 1e9  // pressure and tack
	maxMPa      = 1e5  // strength of webs
	maxFriction = 10
)

// validate refuses a load that is not a number or is out of all proportion; the error names the field.
func (l *Load) validate() error {
	// The sum is finite and within the loosest limit for every sensible load; only then is a field looked at by itself.
	if sum := math.Abs(l.XN) + math.Abs(l.YN) + math.Abs(l.ZN) + math.Abs(l.X) + math.Abs(l.Y) + math.Abs(l.HeightMM) +
		math.Abs(l.TorqueNmm); sum <= maxMM {
		return nil
	}
	for _, f := range [...]quantity{
		{"XN", l.XN, maxN}, {"YN", l.YN, maxN}, {"ZN", l.ZN, maxN}, {"X", l.X, maxMM}, {"Y", l.Y, maxMM},
		{"HeightMM", l.HeightMM, maxMM}, {"TorqueNmm", l.TorqueNmm, maxNmm},
	} {
		if err := f.check(-f.limit); err != nil {
			return fmt.Errorf("load: %w", err)
		}
	}
	return nil
}

// quantity is an input with its name and the greatest size that is accepted.
type quantity struct {
	name         string
	value, limit float64
}

// check tells why the value does not lie in [low, limit], nil when it does. NaN never does.
func (q quantity) check(low float64) error {
	if q.value >= low && q.value <= q.limit {
		return nil
	}
	return fmt.Errorf("%s is %g; give a number from %g to %g", q.name, q.value, low, q.limit)
}
