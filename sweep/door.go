package sweep

import (
	"staydown/sweep/internal/joins"
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
	"staydown/sweep/internal/shape"
)

// The names that the rooms below share with the outside.

// Tool is the cutting envelope of a tool, Shape the form of its lower end.
type (
	Tool  = shape.Tool
	Shape = shape.Shape
)

// Shapes of tools.
const (
	Flat  = shape.Flat  // square end
	Ball  = shape.Ball  // hemisphere
	Bull  = shape.Bull  // square end with a corner radius
	Vee   = shape.Vee   // cone down to a point
	Drill = shape.Drill // cone of the point angle below a cylinder
)

// Progress is a moment of the program, Grid places the cells, Span is a stretch of a row of them, Blank and Stock are
// what lies on the layer.
type (
	Progress = raster.Progress
	Grid     = raster.Grid
	Span     = raster.Span
	Blank    = raster.Blank
	Stock    = raster.Stock
)

const (
	Never     = raster.Never     // later than every moment of a program
	ThroughMM = raster.ThroughMM // a film up to this counts as cut
)

// Error tells why a sweep was not possible, and where in the program if a move is to blame.
type Error = plan.Error

// Step is a stretch of a move over which the cut stays the same, StepFlags tell what kind of cutting it does, Steps are
// all of them.
type (
	Step      = removal.Step
	Steps     = removal.Steps
	StepFlags = removal.StepFlags
)

// What a step does.
const (
	FullWidth    = removal.FullWidth    // material on both sides of the cutter
	Plunge       = removal.Plunge       // the tool goes down without (or nearly without) sideways motion
	Breakthrough = removal.Breakthrough // the last material of at least one cell is removed
	Rub          = removal.Rub          // nothing is removed, but a wall or floor is touched again
	LeftWall     = removal.LeftWall     // material remains on the left of the feed direction
	RightWall    = removal.RightWall    // material remains on the right of the feed direction
	ChuckCut     = removal.ChuckCut     // the tool tip is in the layer
	RapidCut     = removal.RapidCut     // a rapid move goes through material
	OverReach    = removal.OverReach    // the cut is deeper than the tool's reach
	Retract      = removal.Retract      // the tool moves up through what it touches
)

// Piece is a part of the stock that no full-thickness material joins to any other, Class tells parts from offcuts,
// Section is what joins a piece at a moment, Join a stretch of that.
type (
	Piece   = pieces.Piece
	Class   = pieces.Class
	Section = pieces.Section
	Join    = pieces.Join
)

// Classes of pieces.
const (
	Part   = pieces.Part   // a piece that the tool cannot throw about on its own account of size
	Sliver = pieces.Sliver // smaller than the tool that freed it, or narrower than half of it: it can be thrown
	Slug   = pieces.Slug   // a compact offcut from the inside of a closed cut, smaller than that tool
)

// Neck tells up to which size what joins a piece counts as a neck under the load of a step.
type Neck = joins.Neck
