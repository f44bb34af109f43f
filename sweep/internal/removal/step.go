package removal

import "staydown/sweep/internal/raster"

// StepFlags tell what kind of cutting a step does.
type StepFlags uint16

const (
	FullWidth    StepFlags = 1 << iota // material on both sides of the cutter
	Plunge                             // the tool goes down without (or nearly without) sideways motion
	Breakthrough                       // the step removes the last material of at least one cell
	Rub                                // nothing is removed, but a wall or floor is touched again
	LeftWall                           // material remains on the left of the feed direction
	RightWall                          // material remains on the right of the feed direction
	ChuckCut                           // the tool tip is in the layer
	RapidCut                           // a rapid move goes through material
	OverReach                          // the cut is deeper than the tool's reach
	Retract                            // the tool moves up through what it touches
)

// Step is a stretch of one move over which the cut stays the same (within mergeCells cells at its sides and
// mergeHeightMM in height). Stretches in the air, or where nothing is touched, have no step.
//
// Angles are those of the cutter seen from above, counter-clockwise from the feed direction: a full slot is
// engaged from -pi/2 (right) to +pi/2 (left), material on the left half only from 0 to pi/2. A plunge is engaged
// all round, from -pi to +pi, and its angles are counted from the +X axis.
type Step struct {
	Move     int32   // index of the move
	From, To float32 // fractions of the move, From < To (equal for an instant)
	Flags    StepFlags

	RightRad, LeftRad float32 // the arc of engagement: from RightRad up to LeftRad
	LowMM, HighMM     float32 // Z of the lowest and highest material removed (of the wall touched, for Rub)
	WidthMM           float32 // radial width of cut
	TipMM             float32 // lowest Z of the tool tip
	OverMM            float32 // how much deeper than the tool's reach below the top of the stock; 0 if not
	TouchedList       uint32  // index in Record.touched
	VolumeMM3         float64 // removed in this step
}

// Begin is the moment at which the step begins.
func (s *Step) Begin() raster.Progress { return raster.Progress(s.Move) + raster.Progress(s.From) }

// End is the moment at which the step ends.
func (s *Step) End() raster.Progress { return raster.Progress(s.Move) + raster.Progress(s.To) }

// OnFloor marks steps with material below the tip until their owners are known.
const OnFloor StepFlags = 1 << 15
