package sweep

import (
	"encoding/binary"
	"math"
	"slices"
	"sort"

	"staydown/parse"
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
	"staydown/sweep/parallel"
)

// assignPieces turns the gathered steps into the published ones: split where a piece comes free, each with the pieces
// that the tool touches, by their place in the lists of such pieces. The blocks of the gathered ones are filled with
// them.
func assignPieces(s *plan.Setup, c *raster.Cells, tree *pieces.Tree, steps *removal.Steps) (removal.Steps, [][]int32) {
	var freed []freeing
	for id := 1; id < len(tree.Freed); id++ {
		if at := tree.Freed[id]; at >= raster.FirstTick {
			freed = append(freed, freeing{at, int32(id)})
		}
	}
	sort.SliceStable(freed, func(i, j int) bool { return freed[i].at < freed[j].at })
	assigners := make([]assigner, max(1, s.Opt.Jobs))
	lists := touchLists{}
	var parts [assignBlocks][]assignedStep
	steps.Replace(assignBlocks, func(blocks [][]removal.Step) {
		clear(parts[:])
		parallel.For(s.Opt.Jobs, len(blocks), func(worker, n int) {
			o := &assigners[worker]
			o.s, o.c, o.tree, o.freed = s, c, tree, freed
			part := make([]assignedStep, 0, len(blocks[n])+len(blocks[n])/8)
			for i := range blocks[n] {
				part = o.publish(part, &blocks[n][i])
			}
			parts[n] = part
		})
	}, func(add func(*removal.Step)) {
		for _, part := range parts {
			for i := range part {
				part[i].TouchedList = lists.index(part[i].ids)
				add(&part[i].Step)
			}
		}
	})
	return *steps, lists.all
}

// assignedStep is a step with the pieces that it touches.
type assignedStep struct {
	removal.Step
	ids []int32
}

// touchLists are lists of pieces, each once.
type touchLists struct {
	all   [][]int32
	known map[string]uint32 // by the bytes of a list
	key   []byte
	last  uint32
}

// index gives the place of a list, which is entered where it is new.
func (l *touchLists) index(ids []int32) uint32 {
	if len(l.all) > 0 && slices.Equal(l.all[l.last], ids) {
		return l.last
	}
	l.key = l.key[:0]
	for _, id := range ids {
		l.key = binary.LittleEndian.AppendUint32(l.key, uint32(id))
	}
	at, ok := l.known[string(l.key)]
	if !ok {
		if l.known == nil {
			l.known = map[string]uint32{}
		}
		at = uint32(len(l.all))
		l.all, l.known[string(l.key)] = append(l.all, slices.Clone(ids)), at
	}
	l.last = at
	return at
}

// assignBlocks is the number of blocks that are turned at once: few enough to take little memory beside all the steps,
// so many that no worker waits.
const assignBlocks = 64

type freeing struct {
	at raster.Tick
	id int32
}

type assigner struct {
	s       *plan.Setup
	c       *raster.Cells
	tree    *pieces.Tree
	freed   []freeing // by rising time
	set     []int32
	last    []int32
	pool    []int32 // room for the lists of the steps
	contact contactPoints
}

// contactPoints is what the places looked at along a stretch have in common.
type contactPoints struct {
	r       *removal.Step
	m       *parse.Move
	off     float64 // of the places beside the tool from its axis, mm
	ux, uy  float64 // direction of feed, where it is the same all along
	turns   bool    // it is not
	upright bool    // the tool does not go sideways
	fx, fy  float64 // where the cut is made, in the direction of feed and to its left, mm
}

// turnTo turns to a stretch of a step.
func (o *assigner) turnTo(r *removal.Step, m *parse.Move) {
	cell := o.s.Grid.CellMM
	tool := o.s.Cutters[m.Tool]
	reach := tool.Within(min(o.s.Top, o.s.Top+o.s.Stock.BottomMM-float64(r.TipMM)))
	if reach < 0 {
		reach = tool.R
	}
	ux, uy, ok := 0.0, 0.0, true
	if m.Kind != parse.Arc {
		ux, uy, ok = m.Heading(0)
	}
	// Where the cut is made: the middle of the engaged arc.
	sin, cos := math.Sincos(float64(r.RightRad+r.LeftRad) / 2)
	d := reach + 0.25*cell
	o.contact = contactPoints{r, m, reach + removal.ProbeCells*cell, ux, uy, m.Kind == parse.Arc,
		r.Flags&removal.Plunge != 0 || !ok, d * cos,
		d * sin}
}

// publish appends a step, cut where pieces come free and where its owners change.
func (o *assigner) publish(out []assignedStep, r *removal.Step) []assignedStep {
	clock := &o.c.Clock
	move := int(r.Move)
	lo, hi := clock.At(move, float64(r.From)), clock.At(move, float64(r.To))
	if r.To >= 1 {
		hi = clock.First[move+1]
	}
	k := sort.Search(len(o.freed), func(i int) bool { return o.freed[i].at >= lo })
	from := float64(r.From)
	for k < len(o.freed) && o.freed[k].at < hi {
		// The piece is free from the middle of its tick on: the step ends there.
		f := max(from, min(float64(r.To), clock.Fraction(move, o.freed[k].at)))
		at := o.freed[k].at
		var must []int32
		for ; k < len(o.freed) && o.freed[k].at == at; k++ {
			must = append(must, o.freed[k].id, o.tree.PieceAt(o.freed[k].id, at-1))
		}
		out = o.stretch(out, r, from, f, at, must)
		from = f
	}
	if from < float64(r.To) || r.From == r.To {
		out = o.stretch(out, r, from, float64(r.To), hi-1, nil)
	}
	return out
}

// stretch appends the part of a step between two fractions, cut where its owners change. at is the moment that counts
// for the owners.
func (o *assigner) stretch(out []assignedStep, r *removal.Step, from, to float64, at raster.Tick,
	must []int32) []assignedStep {
	m := o.s.Moves.At(int(r.Move))
	n := 1
	if r.Flags&removal.Plunge == 0 {
		n = max(1, int(math.Ceil(m.LengthMM*(to-from)/o.s.Grid.CellMM-0.01)))
	}
	n = min(n, removal.MaxSamples)
	o.turnTo(r, &m)
	begin := from
	o.last = o.last[:0]
	emit := func(end float64, more []int32) {
		st := *r
		st.Flags &^= removal.OnFloor
		st.From, st.To = float32(begin), float32(end)
		if r.To > r.From {
			st.VolumeMM3 = r.VolumeMM3 * float64(st.To-st.From) / float64(r.To-r.From)
		}
		out = append(out, assignedStep{st, o.list(more)})
		begin = end
	}
	for i := 0; i < n; i++ {
		f := from + (to-from)*(float64(i)+0.5)/float64(n)
		o.set = o.set[:0]
		o.touched(f, at)
		if i > 0 && !slices.Equal(o.set, o.last) && len(o.set) > 0 {
			if len(o.last) > 0 {
				emit(from+(to-from)*float64(i)/float64(n), nil)
			}
			o.last = append(o.last[:0], o.set...)
		} else if i == 0 {
			o.last = append(o.last[:0], o.set...)
		}
	}
	emit(to, must)
	return out
}

// list gives the owners at hand, and more, as a slice of their own; nil for none.
func (o *assigner) list(more []int32) []int32 {
	n := len(o.last) + len(more)
	if n == 0 {
		return nil
	}
	if n > cap(o.pool)-len(o.pool) {
		o.pool = make([]int32, 0, max(n, 1<<12))
	}
	at := len(o.pool)
	o.pool = o.pool[:at+n]
	list := append(o.pool[at:at:at+n], o.last...)
	for _, id := range more {
		list = insert(list, id)
	}
	return list
}

// touched gathers the pieces that the tool touches at a fraction of the move aimed at: ahead of it, beside it, below
// it.
func (o *assigner) touched(f float64, at raster.Tick) {
	a := &o.contact
	p := a.m.At(f)
	now := o.c.Clock.At(int(a.r.Move), f)
	if a.r.Flags&removal.OnFloor != 0 {
		o.look(p.X, p.Y, now, at)
	}
	ux, uy, ok := a.ux, a.uy, true
	if a.turns {
		ux, uy, ok = a.m.Heading(f)
	}
	if a.upright || !ok {
		if a.r.Flags&removal.Rub == 0 {
			o.look(p.X, p.Y, now-1, at)
		}
		for i := 0; i < 8; i++ {
			sin, cos := math.Sincos(float64(i) * math.Pi / 4)
			o.look(p.X+a.off*cos, p.Y+a.off*sin, now, at)
		}
		return
	}
	if a.r.Flags&removal.LeftWall != 0 {
		o.look(p.X-uy*a.off, p.Y+ux*a.off, now, at)
	}
	if a.r.Flags&removal.RightWall != 0 {
		o.look(p.X+uy*a.off, p.Y-ux*a.off, now, at)
	}
	if a.r.Flags&removal.Rub == 0 {
		o.look(p.X+(ux*a.fx-uy*a.fy), p.Y+(uy*a.fx+ux*a.fy), now-1, at)
	}
}

// look adds the owner of a place if material stood there at tick now.
func (o *assigner) look(x, y float64, now, at raster.Tick) {
	g := o.s.Grid
	ix, iy := int(math.Floor((x-g.OriginX)/g.CellMM)), int(math.Floor((y-g.OriginY)/g.CellMM))
	if ix < 0 || ix >= g.NX || iy < 0 || iy >= g.NY {
		return
	}
	if cut := o.c.CutAt(ix, iy); cut < raster.FirstTick || cut <= now {
		return
	}
	if id := o.tree.PieceAt(o.c.LabelAt(ix, iy), at); id > 0 {
		o.set = insert(o.set, id)
	}
}

// insert keeps a short list of ids in rising order.
func insert(a []int32, id int32) []int32 {
	i, ok := slices.BinarySearch(a, id)
	if ok {
		return a
	}
	return slices.Insert(a, i, id)
}
