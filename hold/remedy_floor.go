package hold

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/contact"
	"staydown/hold/internal/pieces"
	"staydown/hold/internal/steploads"
	"staydown/hold/internal/toolpath"
	"staydown/sweep"
)

// A thinner last pass leaves floor that joins the piece until the pass comes there. It is a neck sooner than that of
// the program as it is. Before that is told a neck, what joins the piece is the floor along its rim where the kerf is
// not yet cut through; after, what is told. Both are no higher than the last pass.

// passStep is the ratio of a depth of the last pass to the next one that is tried.
const passStep = 0.8

// lastPass finds a depth of the last pass, to the step of lengths, with which the piece holds in the blocks of its
// findings and at every moment along its rim, and on the floor that the pass before leaves: nearly the greatest, 0 when
// none does. What holds the worst of all like pieces along its rim is tried on the others in the blocks of their
// findings only.
func (p remedySearch) lastPass() float64 {
	p.like.once.Do(func() {
		q, ok := p, true
		if p.like.worst[0].piece != p.runs[0].piece {
			q, ok = p.a.remedySearch(p.like.worst)
		}
		if ok {
			p.like.passMM = q.ownLastPass()
		}
	})
	mm := p.like.passMM
	if p.like.worst[0].piece == p.runs[0].piece || mm > 0 && p.cures(change{Change: steploads.Change{PassMM: mm},
		floorMM: mm}, nil) {
		return mm
	}
	return p.ownLastPass()
}

func (p remedySearch) ownLastPass() float64 {
	if p.runsThrough() < len(p.runs) {
		return 0
	}
	least, depth := p.passDepths()
	bears := func(p remedySearch, mm float64) bool {
		return p.cures(change{Change: steploads.Change{PassMM: mm}}, nil)
	}
	stepMM := p.a.writing().stepMM()
	f := p.lastFloor()
	for mm := down(p.largest(least, depth, bears), stepMM); mm >= least; mm = down(passStep*mm, stepMM) {
		if p.cures(change{Change: steploads.Change{PassMM: mm}, floorMM: mm}, nil) && f.holds(mm) &&
			p.standsOnSkin(mm) {
			return mm
		}
	}
	return 0
}

// floorPlace is a stretch of the rim and when the kerf beside it is cut through.
type floorPlace struct {
	pieces.Segment
	cut sweep.Progress
}

// floorPlaces are the places round the rim where floor can join the piece, the last cut first.
func (p remedySearch) floorPlaces() []floorPlace {
	places := []floorPlace{}
	for _, s := range pieces.Segments(p.rim(), skinSegments) {
		if p.borders(s.Middle) {
			places = append(places, floorPlace{s, p.firstCutBeside(s.Middle)})
		}
	}
	slices.SortStableFunc(places, func(a, b floorPlace) int { return cmp.Compare(b.cut, a.cut) })
	return places
}

// firstCutBeside is the first moment at which anything is cut through at the cutter's radius from a place on the rim.
func (p remedySearch) firstCutBeside(rim orb.Point) sweep.Progress {
	grid := p.a.rec.Grid
	radius := p.a.job.Tools[p.worst.tool].DiameterMM / 2
	first := sweep.Progress(sweep.Never)
	for k := range acrossDirections {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / acrossDirections)
		ix := int(math.Floor((rim[0] + radius*cos - grid.OriginX) / grid.CellMM))
		iy := int(math.Floor((rim[1] + radius*sin - grid.OriginY) / grid.CellMM))
		if ix < 0 || iy < 0 || ix >= grid.NX || iy >= grid.NY {
			return 0
		}
		first = min(first, p.a.rec.CutAt(ix, iy))
	}
	return first
}

// lastFloor is what a last pass has before it.
type lastFloor struct {
	p        remedySearch
	roundMM  float64 // length of the rim
	places   []floorPlace
	missed   int // step that ruled out the last depth; -1: none
	passMM   float64
	heightMM float64             // of the least floor that a pass leaves anywhere
	told     map[int]*epochState // by epoch, with the joins that are told
	ahead    map[int]floorAhead  // by epoch
}

// floorAhead is the least floor that the piece was put on, as far as the pass has come.
type floorAhead struct {
	places   int // the last cut ones
	supports []*contact.Support
}

func (p remedySearch) lastFloor() *lastFloor {
	return &lastFloor{p: p, roundMM: planar.Length(p.rim()), missed: -1}
}

// holds tells whether the piece holds at every moment along its rim when the last pass takes no more than a depth. It
// looks at what ruled out another depth first, then at the end of the pass, where least floor is left: where that
// little is enough, more is.
func (f *lastFloor) holds(mm float64) bool {
	p := f.p
	if f.places == nil {
		f.places = p.floorPlaces()
	}
	steps := p.rimSteps(mm)
	f.passMM, f.heightMM, f.told, f.ahead = mm, mm, map[int]*epochState{}, map[int]floorAhead{}
	for _, step := range steps {
		if high := float64(p.a.rec.Steps.At(step).TipMM) - p.a.rec.Stock.BottomMM; high > 0 {
			f.heightMM = math.Min(f.heightMM, high)
		}
	}
	if f.missed >= 0 && slices.Contains(steps, f.missed) && !f.holdsIn(f.missed) {
		return false
	}
	for _, step := range slices.Backward(steps) {
		if !f.holdsIn(step) {
			f.missed = step
			return false
		}
	}
	return true
}

// holdsIn checks the piece in a step: with what is told once that is a neck, before with the floor ahead.
func (f *lastFloor) holdsIn(step int) bool {
	p := f.p
	epoch := p.a.epochOf(step)
	for epoch < len(p.a.air) && p.a.air[epoch].patches[p.id()] == nil {
		epoch++ // not on its own yet: under the vacuum with which it will be
	}
	if epoch == len(p.a.air) {
		return false
	}
	t := f.told[epoch]
	if t == nil {
		t = p.a.epochState(epoch, p.a.ownChuck(epoch), change{Change: steploads.Change{PassMM: f.passMM},
			floorMM: f.heightMM})
		t.unchanged = p.unchanged.at(epoch)
		f.told[epoch] = t
	}
	missed, _, err := t.misses(step, []int32{p.id()}, p.roomyFor(t.change))
	if err != nil || len(missed) > 0 {
		return false
	}
	s := p.a.rec.Steps.At(step)
	until := p.piece.Freed
	if len(p.piece.Sections) > 0 {
		until = p.piece.OnNeckFrom()
	}
	load, err := p.a.loads.Load(s, t.change.Change)
	if err != nil {
		return false
	}
	m := p.a.prog.Moves.At(int(s.Move))
	from, to := float64(s.From), math.Min(float64(s.To), float64(until)-float64(s.Move))
	n := math.Ceil(m.LengthMM * (to - from) / (f.roundMM / skinSegments))
	for k := 0.0; k < n; k++ {
		next := from + (to-from)*(k+1)/n
		t.spots = p.a.loads.Put(load, s, toolpath.Along(&m, from+(to-from)*k/n), t.spots[:0])
		t.spots = p.a.loads.Put(load, s, toolpath.Along(&m, next), t.spots)
		if !f.stands(t, sweep.Progress(s.Move)+sweep.Progress(next)) {
			return false
		}
	}
	return true
}

// stands tells whether the piece stands the spots of its told state with the floor ahead of a moment.
func (f *lastFloor) stands(told *epochState, at sweep.Progress) bool {
	margin := f.p.roomyFor(change{Change: steploads.Change{PassMM: f.passMM}})(f.p.id())
	places := sort.Search(len(f.places), func(i int) bool { return f.places[i].cut <= at })
	known := f.ahead[told.index]
	if known.supports != nil && known.places <= places && places <= known.places*4/3 {
		if c := (check{loads: told.spots, supports: known.supports}); c.stands(margin) {
			return true
		}
		if known.places == places {
			return false
		}
	}
	supports, err := f.supports(told, places)
	if err != nil {
		return false
	}
	f.ahead[told.index] = floorAhead{places, supports}
	c := check{loads: told.spots, supports: supports}
	return c.stands(margin)
}

// supports are the supports of the piece with the floor at the places that are cut last, and with the first joins that
// are told, which are there sooner too.
func (f *lastFloor) supports(told *epochState, places int) ([]*contact.Support, error) {
	p := f.p
	ahead := sweep.Section{RoundMM: f.roundMM}
	for _, place := range f.places[:places] {
		ahead.Joins = append(ahead.Joins, sweep.Join{At: place.Middle, WidthMM: leastSkinWidth * place.LengthMM,
			WholeMM: leastSkinWidth * place.LengthMM, HeightMM: f.heightMM,
			LengthMM: p.a.job.Tools[p.worst.tool].DiameterMM, UprightMM: p.a.job.Tools[p.worst.tool].DiameterMM})
	}
	t := p.a.epochState(told.index, told.chuck, change{Change: steploads.Change{PassMM: f.passMM},
		webs: p.a.joins(&ahead)})
	t.unchanged = told.unchanged
	supports, err := t.supports(p.id(), 0)
	if err == nil && len(p.piece.Sections) > 0 && len(p.piece.Sections[0].Joins) > 0 {
		var first []*contact.Support
		first, err = told.supports(p.id(), 1)
		supports = append(supports, first...)
	}
	return supports, err
}
