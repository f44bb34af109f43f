package hold

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/contact"
	"staydown/sweep"
)

// A thinner last pass leaves floor that joins the piece until the pass comes there. It is a neck sooner than that of
// the program as it is. Before that is told a neck, what joins the piece is the floor along its rim where the kerf is
// not yet cut through; after, what is told. Both are no higher than the last pass.

// lastFloor is what a last pass has before it.
type lastFloor struct {
	p        remedySearch
	passMM   float64
	heightMM float64 // of the least floor that a pass leaves anywhere
	places   []floorPlace
	told     map[int]*epochState // by epoch, with the joins that are told
	ahead    map[floorKey][]*contact.Support
}

// floorPlace is a stretch of the rim and when the kerf beside it is cut through.
type floorPlace struct {
	segment
	cut sweep.Progress
}

type floorKey struct{ epoch, places int }

// standsOnFloor tells whether the piece holds in the blocks of its findings and at every moment along its rim, when the
// last pass takes no more than a depth.
func (p remedySearch) standsOnFloor(mm float64) bool {
	if !p.cures(change{passMM: mm, floorMM: mm}, nil) {
		return false
	}
	steps := p.rimSteps(mm)
	f := lastFloor{p: p, passMM: mm, heightMM: mm, told: map[int]*epochState{},
		ahead: map[floorKey][]*contact.Support{}}
	for _, step := range steps {
		if high := float64(p.a.rec.Steps.At(step).TipMM) - p.a.rec.Stock.BottomMM; high > 0 {
			f.heightMM = math.Min(f.heightMM, high)
		}
	}
	for _, s := range stretchesOf(p.rim(), skinSegments) {
		if p.borders(s.middle) {
			f.places = append(f.places, floorPlace{s, p.firstCutBeside(s.middle)})
		}
	}
	for _, step := range steps {
		if !f.holds(step) {
			return false
		}
	}
	return true
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

// holds checks the piece in a step: with what is told once that is a neck, before with the floor ahead.
func (f *lastFloor) holds(step int) bool {
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
		t = p.a.epochState(epoch, p.a.ownChuckPa(epoch), change{passMM: f.passMM, floorMM: f.heightMM})
		t.unchanged = p.unchanged.at(epoch)
		f.told[epoch] = t
	}
	missed, _, err := t.misses(step, []int32{p.id()}, remedyRoom*p.a.asked)
	if err != nil || len(missed) > 0 {
		return false
	}
	s := p.a.rec.Steps.At(step)
	until := p.piece.Freed
	if len(p.piece.Sections) > 0 {
		until = onNeck(p.piece)
	}
	load, err := p.a.loadOf(s, t.change)
	if err != nil {
		return false
	}
	m := p.a.prog.Moves.At(int(s.Move))
	from, to := float64(s.From), math.Min(float64(s.To), float64(until)-float64(s.Move))
	n := math.Ceil(m.LengthMM * (to - from) / f.p.spacingMM())
	for k := 0.0; k < n; k++ {
		next := from + (to-from)*(k+1)/n
		supports, err := f.supportsAt(epoch, sweep.Progress(s.Move)+sweep.Progress(next))
		t.spots = p.a.put(load, s, along(&m, from+(to-from)*k/n), t.spots[:0])
		t.spots = p.a.put(load, s, along(&m, next), t.spots)
		if c := (check{loads: t.spots, supports: supports}); err != nil || !c.stands(remedyRoom*p.a.asked) {
			return false
		}
	}
	return true
}

// spacingMM is how far apart the rim is looked at.
func (p remedySearch) spacingMM() float64 { return planar.Length(p.rim()) / skinSegments }

// supportsAt are the supports of the piece with the floor ahead of a moment, and with the first joins that are told,
// which are there sooner too.
func (f *lastFloor) supportsAt(epoch int, at sweep.Progress) ([]*contact.Support, error) {
	p, told := f.p, f.told[epoch]
	ahead := sweep.Section{RoundMM: planar.Length(p.rim())}
	for _, place := range f.places {
		if place.cut > at {
			ahead.Joins = append(ahead.Joins, sweep.Join{At: place.middle, WidthMM: leastSkinWidth * place.lengthMM,
				WholeMM: leastSkinWidth * place.lengthMM, HeightMM: f.heightMM,
				LengthMM: p.a.job.Tools[p.worst.tool].DiameterMM})
		}
	}
	key := floorKey{epoch, len(ahead.Joins)}
	if known := f.ahead[key]; known != nil {
		return known, nil
	}
	t := p.a.epochState(epoch, told.chuckPa, change{passMM: f.passMM, webs: p.a.joins(&ahead)})
	t.unchanged = told.unchanged
	supports, err := t.supports(p.id(), 0)
	if err == nil && len(p.piece.Sections) > 0 && len(p.piece.Sections[0].Joins) > 0 {
		var first []*contact.Support
		first, err = told.supports(p.id(), 1)
		supports = append(supports, first...)
	}
	f.ahead[key] = supports
	return supports, err
}
