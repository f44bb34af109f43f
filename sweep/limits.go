package sweep

// Limits and tolerances of the package. Lengths in mm.
const (
	// ThroughMM is the thickness of a film that counts as cut: tools are set to a hundredth of a millimetre, and
	// a thinner film holds nothing.
	ThroughMM = 0.01

	// belowLayerMM is how far below the layer the depth of a cell is still told: beyond, the tool is in the chuck
	// anyway.
	belowLayerMM = 5

	tileBits = 5 // a tile is 32 x 32 cells: 4 KiB of heights, one page
	tileSide = 1 << tileBits
	tileArea = tileSide * tileSide
	tileMask = tileSide - 1

	// chordPart bounds the deviation of the chords that stand for an arc: a cell's width divided by it.
	chordPart = 64
	// ticksPerCell is the resolution of the moment at which a cell is cut: a cell's width divided by it.
	ticksPerCell = 8
	// crumbCells is the number of cells below which a fragment is a trick of the raster (the tip of a wedge between
	// two cuts falls apart into single cells) and belongs to no piece of its own.
	crumbCells = 5

	maxHeightMM   = 30000     // of a height or depth, fits the fixed-point unit
	maxCoordMM    = 1e7       // of a coordinate
	maxCells      = 1 << 30   // in the bounding box of the stock
	maxTileSlots  = 1 << 21   // tiles with memory
	maxMoves      = 1 << 27   // moves of a program
	maxVertices   = 1 << 20   // of all outlines of the stock
	maxBlanks     = 1 << 12   // blanks on the table
	minCellMM     = 0.01      // finest cell accepted
	maxCellMM     = 50        // coarsest cell accepted
	defaultMemory = 512 << 20 // bytes, when Options.MemoryBytes is 0

	chunkSamples = 1 << 13 // samples of a path worked on between two meetings of the workers
	chunkSegs    = 1 << 13
	maxSamples   = 1 << 18 // of one move; longer ones have samples longer than a cell
)
