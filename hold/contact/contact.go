// Package contact decides whether a loaded piece lifts, slips, twists or tips.
//
// It takes the pressure field under a piece, its weight, friction, tack and webs, and a load with its point of action, and gives
// the margin of each check. It knows nothing of how pressure and load came about.
package contact

// Patch is a small part of the contact face with the pressure difference that presses it down.
type Patch struct {
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
