package parse

// Limits that keep memory and time bounded whatever the input. Beyond one of them the reader says so (Unread) and
// stops or skips; nothing is cut off in silence.
const (
	maxMoves  = 20_000_000 // moves of one program, some 32 bytes each
	maxBlocks = 40_000_000 // blocks executed, counting every pass through a subprogram
	// lines run again in loops and subprograms; each 16 bytes of a line count as one more
	maxRepeatedBlocks = 2_000_000
	maxCycleMoves     = 1_000_000 // moves made by repeats of canned cycles
	maxRepeats        = 9_999     // L or K of a canned cycle, L of a subprogram call
	maxPecks          = 10_000    // pecks of one hole
	maxTurns          = 10_000    // P of an arc
	maxExtendedSystem = 999       // P of G54.1
	maxSubDepth       = 16        // subprograms inside subprograms
	maxSubFiles       = 512       // names of subprogram files asked for
	maxPrograms       = 10_000    // O-numbers of one file
	maxStatements     = 1_000_000 // lines of flow control in one file
	maxSubBytes       = 64 << 20  // bytes of one subprogram file
	maxLineBytes      = 16 << 10  // longer lines are not read
	maxNestedBrackets = 64        // brackets and indirect parameters in one value
	maxNotes          = 1_000     // notes kept; how many more there were is said in the last one
	maxNoteLines      = 1_000     // further lines kept of which one note is true
	maxWords          = 64        // words of one block

	publishedLineBytes = 256 // longest line of the published grammar (NIST RS274NGC v3, 3.3)

	maxCoordinateMM = 1e6  // a kilometer: beyond any machine
	maxNumber       = 1e9  // of any word
	minFeedMMMin    = 1e-3 // a slower feed is taken for a slip
	maxDwellS       = 1e6
)
