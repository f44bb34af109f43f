package sweep

import (
	"fmt"
	"slices"

	"staydown/parse"
	"staydown/sweep/internal/joins"
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
	"staydown/sweep/internal/shape"
	"staydown/sweep/internal/subcell"
)

// Run moves the tools through the stock in the order of the program.
//
// Errors of the result: a cell's center decides for the whole cell; straight moves are exact for it whatever the
// tool and the slope, arcs are followed by chords that deviate by at most a 64th of a cell. Moments are kept to an
// eighth of a cell along the path and never leave their move. Heights are whole multiples of 2^-16 mm. A film of at
// most ThroughMM counts as cut. The result does not depend on Options.Jobs, to the last bit.
//
// It fails, with an *Error, when the stock is empty or too large for the memory, when a tool that cuts is not
// described, or when a move has coordinates beyond reason.
func Run(moves *parse.Moves, tools map[int]shape.Tool, stock raster.Stock, opt Options) (*Record, error) {
	s, err := plan.Prepare(moves, tools, stock, opt.planned())
	if err != nil {
		return nil, err
	}
	r := &Record{Grid: s.Grid, Stock: stock, Assumed: s.Assumed, WebMM: s.Opt.WebMM, WebsKept: opt.KeepWebs}
	c := raster.NewCells(s.Grid, stock, raster.NewClock(moves, s.Grid.CellMM/raster.TicksPerCell))
	r.cells = c
	cut := removal.Run(s, c)
	r.StockMM3, r.RemovedMM3 = cut.StockMM3, cut.RemovedMM3
	c.ListTiles()
	near := plan.NewMoveIndex(s)
	b := subcell.New(s, c, near)
	if !b.OpenGaps() {
		r.Assumed = append(r.Assumed, "cuts narrower than a cell count as closed beyond the first places looked at: "+
			"pieces may come free that are not reported")
	}
	if s.Slits() {
		r.Assumed = append(r.Assumed, "cuts by the tip of a tool that are narrower than a cell at the table may "+
			"count as closed: pieces may come free that are not reported; a smaller cell tells them")
	}
	c.CompleteThin()
	tree, all := b.GrowTree()
	if !all {
		r.Assumed = append(r.Assumed, "bridges thinner than a cell count as cut beyond the first places looked at: "+
			"pieces may come free later than reported")
	}
	r.Pieces = tree.Pieces(s, c)
	un := unjoined{setup: s, cells: c, near: near, steps: cut.Steps, pieces: r.Pieces, freed: tree.Freed,
		webs: c.HasThin(), assumed: r.Assumed}
	if !opt.KeepWebs {
		c.DropThin()
	}
	if opt.KeepJoins {
		un.pieces, un.steps = slices.Clone(r.Pieces), cut.Steps.Clone()
		r.unjoined = &un
	}
	un.join(r, opt.Neck)
	r.Steps, r.touched = assignPieces(s, c, tree, &cut.Steps)
	return r, nil
}

// unjoined is what a sweep learned before it looked for what joins the pieces.
type unjoined struct {
	setup   *plan.Setup
	cells   *raster.Cells
	near    *plan.MoveIndex
	steps   removal.Steps // before pieces are assigned to them
	pieces  []pieces.Piece
	freed   []raster.Tick
	webs    bool // some cell became a web
	assumed []string
}

// join gives a record its joins, and the pieces that hang on them.
func (u *unjoined) join(r *Record, neck func(*removal.Step) joins.Neck) {
	r.Pieces, r.Assumed, r.Hanging = u.pieces, u.assumed, nil
	j := joins.NewFinder(u.setup, u.cells, u.near, neck, &u.steps)
	hung, narrow := j.Join(r.Pieces, u.freed, u.webs)
	for _, p := range hung {
		p.ID = len(r.Pieces) + 1
		r.Hanging = append(r.Hanging, len(r.Pieces))
		r.Pieces = append(r.Pieces, p)
	}
	if narrow {
		r.Assumed = append(slices.Clip(r.Assumed), fmt.Sprintf(
			"full material up to %s wide counts as a neck: ten times the peak load breaks or bends it, and it "+
				"is no wider than the largest cutter", u.setup.Opt.Units.Depth().Text(j.NeckMM())))
	}
}

// Rejoined is the record that Run gives with other bounds of necks, as for other feeds along the same path, in a
// part of its time; nil unless Options.KeepJoins was set.
func (r *Record) Rejoined(neck func(*removal.Step) joins.Neck) *Record {
	if r.unjoined == nil {
		return nil
	}
	out, u := *r, *r.unjoined
	u.pieces = slices.Clone(u.pieces)
	u.join(&out, neck)
	return &out
}
