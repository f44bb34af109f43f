package removal

import (
	"math"

	"staydown/sweep/internal/raster"
)

// ProbeCells is how far beyond the reach of the tool, in cells, a wall is looked for: the cell found there has its
// center outside the tool however it lies, and no wall thicker than two cells escapes.
const ProbeCells = 1.25

// probe looks beside and below the path, in the band of tiles ty, for material that the tool touches.
func (k *kernel) probe(s *segment, ty int) {
	if s.len == 0 {
		k.probeRound(s, ty)
		return
	}
	j := &k.chunk.jobs[s.job]
	off := s.reach + ProbeCells*k.g.CellMM
	y0 := k.g.OriginY + float64(ty<<raster.TileBits)*k.g.CellMM
	y1 := y0 + raster.TileSide*k.g.CellMM
	k0, k1 := j.sampleAt(s.f0)-j.base, j.sampleAt(s.f1)-j.base
	perMove := s.len / (s.f1 - s.f0)
	for n := k0; n <= k1; n++ {
		f := j.sampleEdge(n) + (j.fb-j.fa)/float64(2*j.n)
		u := (f - s.f0) * perMove
		if u < 0 || u >= s.len {
			// The middle of the sample lies on a neighboring chord; a sample with chords shorter than itself is
			// probed from the chord that holds its middle.
			continue
		}
		x, y := s.ax+float64(s.ux*u), s.ay+float64(s.uy*u)
		if y+off < y0 || y-off > y1 {
			continue
		}
		z := s.az + float64(s.climb*u)
		a := &k.acc[j.base+n]
		if k.wallAt(x-s.uy*off, y+s.ux*off, z, ty) {
			a.bits |= bitLeft
		}
		if k.wallAt(x+s.uy*off, y-s.ux*off, z, ty) {
			a.bits |= bitRight
		}
		if z > 0 && k.floorAt(x, y, z, ty) {
			a.bits |= bitFloor
		}
	}
}

// probeRound looks all round a plunge; both sides are set when there is a wall anywhere.
func (k *kernel) probeRound(s *segment, ty int) {
	j := &k.chunk.jobs[s.job]
	a := &k.acc[j.sampleAt(s.f0)]
	z := min(s.az, s.bz)
	off := s.reach + ProbeCells*k.g.CellMM
	for i := 0; i < 8; i++ {
		sin, cos := math.Sincos(float64(i) * math.Pi / 4)
		if k.wallAt(s.ax+off*cos, s.ay+off*sin, z, ty) {
			a.bits |= bitLeft | bitRight
		}
	}
	if z > 0 && k.floorAt(s.ax, s.ay, z, ty) {
		a.bits |= bitFloor
	}
}

// wallAt tells whether material reaches above z at a place of this band.
func (k *kernel) wallAt(x, y, z float64, ty int) bool {
	h, ok := k.heightAt(x, y, ty)
	return ok && h > k.through && h > raster.ToFixed(z)+k.through
}

// floorAt tells whether the tip rests on material.
func (k *kernel) floorAt(x, y, z float64, ty int) bool {
	h, ok := k.heightAt(x, y, ty)
	return ok && h > k.through && h >= raster.ToFixed(z)-k.through
}

func (k *kernel) heightAt(x, y float64, ty int) (raster.Fixed, bool) {
	ix := int(math.Floor((x - k.g.OriginX) / k.g.CellMM))
	iy := int(math.Floor((y - k.g.OriginY) / k.g.CellMM))
	if ix < 0 || ix >= k.g.NX || iy < 0 || iy >= k.g.NY || iy>>raster.TileBits != ty {
		return 0, false
	}
	return k.c.HeightAt(ix, iy), true
}
