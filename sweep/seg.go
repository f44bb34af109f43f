package sweep

import (
	"math"

	"staydown/parse"
)

// seg is a straight piece of a move's path, in mm; heights count from the table side of the stock.
type seg struct {
	ax, ay, az float64
	bx, by, bz float64
	ux, uy     float64 // direction seen from above; 0, 0 for a plunge
	len        float64 // seen from above
	climb      float64 // height gained per mm along
	reach      float64 // distance from the path within which the tool can meet material
	f0, f1     float64 // fractions of the move
	perLen     float64 // fraction of the move per mm along
	job        int32   // index in the chunk's jobs
	again      bool    // the same path was run before: nothing is left to remove
}

// bounds in Y of all cells that the segment or its probes look at.
func (s *seg) ySpan(margin float64) (lo, hi float64) {
	return min(s.ay, s.by) - margin, max(s.ay, s.by) + margin
}

// job is a move that comes near the material, with its place in the chunk's samples.
type job struct {
	move   int32
	tool   *cutter
	fa, fb float64 // the fractions of the move that have samples
	base   int     // first sample
	n      int     // number of samples
	plunge bool
	again  bool
	rough  bool // moments inside the move do not matter

	mm    float64 // of the whole move's path
	perF  float64 // samples per fraction of the move
	first tick    // of the move
	ticks float64 // of the move
}

// sampleAt gives the sample in which fraction f of the move lies.
func (j *job) sampleAt(f float64) int {
	return j.base + max(0, min(j.n-1, int((f-j.fa)*j.perF)))
}

// tickAt gives the tick in which fraction f of the move lies, as clock.at.
func (j *job) tickAt(f float64) tick {
	return j.first + tick(max(0, min(j.ticks-1, f*j.ticks)))
}

// sampleEdge gives the fraction of the move at which sample k of the job begins.
func (j *job) sampleEdge(k int) float64 {
	return j.fa + (j.fb-j.fa)*float64(k)/float64(j.n)
}

// cutter is a tool with its profile.
type cutter struct {
	Tool
	profile
}

// pathMM is the length of a move's path, the climb included.
func pathMM(m *parse.Move) float64 {
	switch m.Kind {
	case parse.Dwell:
		return 0
	case parse.Arc:
		r, climb := arcShape(m)
		return math.Hypot(r*m.TurnRad, climb)
	}
	return math.Hypot(math.Hypot(m.End.X-m.Start.X, m.End.Y-m.Start.Y), m.End.Z-m.Start.Z)
}

// arcShape gives the radius, the larger one where those at the two ends differ, and the travel along the normal.
func arcShape(m *parse.Move) (r, climb float64) {
	sa, sb, sn := m.Plane.Axes(m.Start)
	ca, cb, _ := m.Plane.Axes(m.Centre)
	ea, eb, en := m.Plane.Axes(m.End)
	return max(math.Hypot(sa-ca, sb-cb), math.Hypot(ea-ca, eb-cb)), en - sn
}

// headingAt gives the direction of feed seen from above after a fraction of a move; ok is false where the tool
// does not move sideways.
func headingAt(m *parse.Move, f float64) (ux, uy float64, ok bool) {
	dx, dy := m.End.X-m.Start.X, m.End.Y-m.Start.Y
	if m.Kind == parse.Arc {
		const d = 1e-4
		a, b := m.At(max(0, f-d)), m.At(min(1, f+d))
		dx, dy = b.X-a.X, b.Y-a.Y
	}
	n := math.Hypot(dx, dy)
	if m.Kind == parse.Dwell || n < 1e-9 {
		return 0, 0, false
	}
	return dx / n, dy / n, true
}

// chords gives the number of equal straight pieces that stay within dev of a move's path:
// dev = r (1 - cos(step/2)).
func chords(m *parse.Move, dev float64) int {
	if m.Kind != parse.Arc {
		return 1
	}
	r, _ := arcShape(m)
	if r <= dev {
		return max(1, int(math.Ceil(math.Abs(m.TurnRad)/(math.Pi/4))))
	}
	n := math.Ceil(math.Abs(m.TurnRad) / (2 * math.Acos(1-dev/r)))
	return int(max(1, min(n, maxChords+1)))
}

// lowestZ is a lower bound of the tip's Z over a move.
func lowestZ(m *parse.Move) float64 {
	z := min(m.Start.Z, m.End.Z)
	if m.Kind == parse.Arc && m.Plane != parse.PlaneXY {
		r, _ := arcShape(m)
		z = min(z, m.Centre.Z-r)
	}
	return z
}
