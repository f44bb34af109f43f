package job

import "math"

// Bounds on what a job file may hold, so that a hostile one costs neither memory nor time.
const (
	maxFileBytes = 1 << 20
	maxNesting   = 12     // keys and values within one another
	maxValues    = 50_000 // in the whole file
	maxKeys      = 500    // of one table; the decoder's time grows with their square
	maxProblems  = 200    // reported at once
	maxGathered  = 1000   // looked for; more are not, as naming the nearest word takes time

	maxTools      = 500
	maxZones      = 64
	maxClamps     = 64
	maxFixtures   = 64
	maxBlanks     = 64
	maxCutouts    = 256 // in all blanks together
	maxMaterials  = 64
	maxOrigins    = 9
	maxCurve      = 200
	maxPulls      = 64
	maxGauges     = 16
	maxReadings   = 200
	maxExtensions = 64
	maxHarmlessM  = 64
	maxMCode      = 9999
	maxCorners    = 500    // of one polygon
	maxAllCorners = 10_000 // of all polygons together
)

// span is a range of sensible values in the unit that the Job carries.
type span struct {
	low, high float64
	above     bool // low itself is not in the range
}

// has allows for the rounding of a unit's conversion at either end: 60 deg is within +-60 deg.
func (s span) has(x float64) bool {
	const rounding = 1e-12
	if math.IsNaN(x) || x > s.high+rounding*math.Abs(s.high) || x < s.low-rounding*math.Abs(s.low) {
		return false
	}
	return !s.above || x > s.low
}

// Ranges outside of which a value is a slip of the pen. Millimeters, pascals, m3/h, newtons, radians.
// Common practice, no source: wide enough for any milling machine, narrow enough to catch a wrong unit.
var (
	anyPlaceMM       = span{low: -100_000, high: 100_000}
	blankMM          = span{low: 0.1, high: 20_000}
	diameterOfHoleMM = span{low: 0.1, high: 20_000}
	thickMM          = span{low: 0.01, high: 1_000}
	layerMM          = span{low: 0.01, high: 100}
	toleranceMM      = span{low: 0, high: 10}
	thinnerMM        = span{low: -10, high: 0}
	leastMM          = span{low: 0, high: 10}
	depthMM          = span{low: 0, high: 100}
	groovePitchMM    = span{low: 0.5, high: 1_000}
	grooveDeepMM     = span{low: 0.1, high: 100}
	portMM           = span{low: 0.5, high: 1_000}
	portPitchMM      = span{low: 1, high: 10_000}
	hoseMM           = span{low: 10, high: 1_000_000}
	grooveWideMM     = span{low: 0.1, high: 500}
	diameterMM       = span{low: 0.02, high: 500}
	toolLengthMM     = span{low: 0.1, high: 2_000}
	holderMM         = span{low: 1, high: 1_000}
	clampMM          = span{low: 0.1, high: 2_000}
	runoutMM         = span{low: 0, high: 1}
	cellMM           = span{low: 0.01, high: 50}
	chipMM           = span{low: 0.0005, high: 5}

	altitudeMM     = span{low: -2_000_000, high: 11_000_000} // where the formula of ISO 2533:1975 holds
	ambientPa      = span{low: 20_000, high: 115_000}
	absolutePa     = span{low: 0, high: 115_000}
	vacuumPa       = span{low: 0, high: 115_000, above: true}
	tackPa         = span{low: 0, high: 1e8}
	flowM3h        = span{low: 0, high: 50_000, above: true}
	someFlowM3h    = span{low: 0, high: 50_000}
	sonicM3sPa     = span{low: 1e-12, high: 1e-3}
	testFlowM3h    = span{low: 0, high: 10_000, above: true}
	testAreaMM2    = span{low: 1, high: 1e7}
	coveredMM2     = span{low: 0, high: 1e9}
	gurleyS        = span{low: 0, high: 1e6, above: true}
	permeabilityM2 = span{low: 1e-18, high: 1e-7}
	speedMMMin     = span{low: 1, high: 1e6}

	frictionRange = span{low: 0, high: 3, above: true}
	marginRange   = span{low: 1, high: 1_000}
	portCount     = span{low: 1, high: 100_000}
	criticalRange = span{low: 0, high: 0.6}
	fluteRange    = span{low: 1, high: 64}
	helixRad      = span{low: -math.Pi / 3, high: math.Pi / 3}
	cornerMM      = span{low: 0.001, high: 250}
	rakeRadRange  = span{low: -math.Pi / 4, high: math.Pi / 4}
	pointRad      = span{low: math.Pi / 180, high: math.Pi}

	densityKgM3   = span{low: 5, high: 25_000}
	cuttingPa     = span{low: 1e5, high: 2e10}
	strengthPa    = span{low: 0, high: 5e9}
	edgeNMM       = span{low: 0, high: 1_000}
	exponentRange = span{low: 0, high: 0.9}
	ratioRange    = span{low: 0, high: 3}
	liftRange     = span{low: 0, high: 1} // up to tan(helix), that of a rake face without friction
	powerW        = span{low: 0, high: 1e6, above: true}
	clampN        = span{low: 0, high: 1e6, above: true}
	forceN        = span{low: 0, high: 1e6, above: true}
	spindleRPM    = span{low: 1, high: 500_000}
)
