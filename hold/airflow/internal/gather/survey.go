package gather

import (
	"fmt"
	"runtime"

	"staydown/sweep"
	"staydown/sweep/parallel"
)

const mostMoves = 100_000_000 // that can be computed

// survey tells how much each move cuts through, and where.
type survey struct {
	byMove []int32        // cells that are cut through
	byCell []surveyedCell // by air cell; nil where nobody asks
}

// surveyedCell is what a program makes of an air cell.
type surveyedCell struct {
	label int32 // of what covers it; 0 for nothing
	bare  bool  // something of it is never covered
	cut   bool  // it is not the same all over from the start to the end
}

// add takes in cells that are all alike.
func (c *surveyedCell) add(label int32, cut sweep.Progress, depthMM float32) {
	switch {
	case label <= 0:
		c.bare = true
	case c.label == 0:
		c.label = label
	}
	c.cut = c.cut || label > 0 && (label != c.label || cut < sweep.Never) || depthMM > 0
}

// surveyed surveys a sweep, with or without what is made of each air cell of m by m cells. The rows are shared out
// among the processors; the counts are whole numbers and do not depend on how.
func surveyed(src Source, m int, byCell bool) (survey, error) {
	s := survey{}
	across, up := (src.Grid.NX+m-1)/m, (src.Grid.NY+m-1)/m
	if byCell {
		s.byCell = make([]surveyedCell, across*up)
	}
	shares := runtime.GOMAXPROCS(0)
	counts, errs := make([][]int32, shares), make([]error, shares)
	parallel.For(shares, shares, func(_, k int) {
		rows := surveyedRows{src: src, ratio: m, across: across, byCell: s.byCell}
		errs[k] = rows.read(up*k/shares*m, min(up*(k+1)/shares*m, src.Grid.NY))
		counts[k] = rows.byMove
	})
	s.byMove = counts[0]
	for k, count := range counts {
		if errs[k] != nil {
			return survey{}, errs[k]
		}
		if k == 0 {
			continue
		}
		s.byMove = append(s.byMove, make([]int32, max(0, len(count)-len(s.byMove)))...)
		for move, n := range count {
			s.byMove[move] += n
		}
	}
	return s, nil
}

// surveyedRows surveys some rows.
type surveyedRows struct {
	src           Source
	ratio, across int
	byMove        []int32
	byCell        []surveyedCell // of all rows
}

// read surveys the rows from up to, but without, to.
func (s *surveyedRows) read(from, to int) error {
	nx := s.src.Grid.NX
	row := sweep.RowCells{Cut: make([]sweep.Progress, nx), Label: make([]int32, nx)}
	if s.byCell != nil {
		row.DepthMM = make([]float32, nx)
	}
	for iy := from; iy < to; iy++ {
		for ix := 0; ix < nx; {
			end, alike := s.src.Stretch(ix, iy)
			s.src.Read(ix, end, iy, row.Cut, row.Label, row.DepthMM)
			if s.byCell != nil {
				s.mark(ix, end, iy, alike, row)
			}
			if alike && (row.Label[ix] <= 0 || row.Cut[ix] >= sweep.Never) {
				ix = end
				continue
			}
			for ; ix < end; ix++ {
				if err := s.count(row.Label[ix], row.Cut[ix]); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// mark takes the cells of a stretch in with their air cells.
func (s *surveyedRows) mark(from, to, iy int, alike bool, row sweep.RowCells) {
	air := s.byCell[iy/s.ratio*s.across:]
	for ix := from; ix < to; {
		column := ix / s.ratio
		air[column].add(row.Label[ix], row.Cut[ix], row.DepthMM[ix])
		if ix++; alike {
			ix = (column + 1) * s.ratio
		}
	}
}

// count counts a cell for the move that cuts it through.
func (s *surveyedRows) count(label int32, at sweep.Progress) error {
	if label <= 0 || at >= sweep.Never {
		return nil
	}
	if !(at >= 0) || at >= mostMoves {
		return fmt.Errorf("a cell is cut through at moment %g; at most %d moves can be computed", float64(at),
			mostMoves)
	}
	move := at.Move()
	if move >= len(s.byMove) {
		s.byMove = append(s.byMove, make([]int32, move+1-len(s.byMove))...)
	}
	s.byMove[move]++
	return nil
}
