package steploads

// Change is a change of the cutting. The zero value changes nothing.
type Change struct {
	FeedMMMin float64 // greatest feed; rapids stay as they are
	PassMM    float64 // greatest depth of the cut
	SkinMM    float64 // height above the table below which the tool does not go in the blocks that are raised
	Raised    Blocks  // nil: all
	Plunge    bool    // straight down where the tool goes along now, through the last of the material
	DownCut   bool    // a flute of the other hand
}

// Blocks is a set of lines of a program; nil stands for all.
type Blocks map[int32]bool

// Have tells whether a line is one of the blocks.
func (b Blocks) Have(line int32) bool { return b == nil || b[line] }
