package airflow

// Limits and defaults of the package.
const (
	defaultMaxCells = 1_200_000 // air cells
	mostCells       = 16_000_000
	mostFineCells   = 2_000_000_000 // cells of the sweep
	mostMoves       = 100_000_000
	mostZones       = 1000
	mostZonePoints  = 100_000

	// defaultTol bounds the error of w. A piece's hold follows w by a factor of at most (pa + pv)/(2 pv), relative: 26
	// at 2 kPa in the chuck. 3e-5 in w therefore stays below 0.08 % of the hold.
	defaultTol = 3e-5

	// eventsAhead is how many events the field may run ahead of the program, for layers whose decay length is small:
	// some 20 mm of kerf. It grows with the area over which a cut is felt.
	eventsAhead = 24

	// MaxPatches is the most patches that Patches gives for one piece.
	MaxPatches = 512

	// maxDeepening bounds how much more a layer leaks where it is cut down to a thin rest.
	maxDeepening = 100.0
)
