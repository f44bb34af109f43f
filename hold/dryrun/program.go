package dryrun

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// Care is how a contour is cut. The zero value is no care: one pass through everything.
type Care struct {
	PassMM    float64 // deepest pass; 0: the whole thickness. The last pass obeys ClosingMM
	ClosingMM float64 // depth of material that the last pass takes; 0: as much as the passes before it
	SkinMM    float64 // left below the last pass; 0: it goes through
	Tabs      int     // evenly round the contour, of the size below
	TabWideMM float64 // at the narrowest place
	TabHighMM float64
}

// Contour is a path with the care with which it is cut.
type Contour struct {
	Path Path
	Care Care
	Turn int // it is cut when all of the turns below are done
}

// Cut is the tool with what it is run at. The tool is a flat one of the job.
type Cut struct {
	Tool      int
	FeedMMMin float64
	RPM       float64
	// PlungeMMMin is the feed straight down; 0: a quarter of the feed (common practice, no source).
	PlungeMMMin float64
}

const (
	throughMM    = 0.2 // how far a cut goes below the stock, but no more than half of what the layer may be cut
	clearMM      = 5.0 // of rapids above stock and clamps
	plungeShare  = 0.25
	endDiameters = 3.0 // length of path that is left for the end, in diameters of the tool
	// A tab and the gap behind it take at least this many of its lengths along the path.
	tabSpacing = 2.0
)

// Write writes the program that cuts contours out of the stock of a job, in their order, and reads it as check would.
//
// Blocks are in millimeters and absolute; the tool's middle is programmed, without compensation. It fails if the job
// has no such tool, the tool is not flat, feed or speed are not above 0, a care does not fit the thickness or the tabs
// do not fit their contour.
func Write(name string, contours []Contour, cut Cut, j *job.Job) ([]byte, *parse.Program, error) {
	w, err := newWriter(contours, cut, j)
	if err != nil {
		return nil, nil, err
	}
	w.head()
	turns := map[int][]Contour{}
	for _, c := range contours {
		turns[c.Turn] = append(turns[c.Turn], c)
	}
	for _, turn := range slices.Sorted(maps.Keys(turns)) {
		w.cutOut(turns[turn])
	}
	w.line("G0 Z%s", w.z(w.safeMM))
	w.line("M5")
	w.line("M30")
	return w.text, parse.Read(w.text, j.Reading(name)), nil
}

// cutOut cuts contours: all passes but the last ones, those up to their ends, and the ends.
func (w *writer) cutOut(contours []Contour) {
	for i := range contours {
		w.roughing(&contours[i])
	}
	for i := range contours {
		w.lastPass(&contours[i], len(contours) > 1)
	}
	if len(contours) > 1 {
		for i := range contours {
			w.ends(&contours[i])
		}
	}
}

// writer writes a program block by block.
type writer struct {
	cut          Cut
	tool         job.Tool
	text         []byte
	system       string
	origin       job.Origin // of the work system, in the coordinates of the stock
	topMM, lowMM float64    // of the stock, Z
	bottomMM     float64    // of a cut that goes through, Z
	safeMM       float64
	atZ          float64 // of the tool
}

func newWriter(contours []Contour, cut Cut, j *job.Job) (*writer, error) {
	tool, ok := j.Tools[cut.Tool]
	switch {
	case !ok:
		return nil, fmt.Errorf("the job has no tool %d; add it, or choose another", cut.Tool)
	case tool.Shape != sweep.Flat:
		return nil, fmt.Errorf("tool %d is not flat; choose a flat end mill, outlines are cut with nothing else",
			cut.Tool)
	case !(cut.FeedMMMin > 0) || !(cut.RPM > 0):
		return nil, fmt.Errorf("feed F%g and speed S%g must both be above 0", cut.FeedMMMin, cut.RPM)
	}
	w := &writer{cut: cut, tool: tool, system: "G54", lowMM: j.Stock.BottomMM, topMM: j.Stock.TopMM()}
	if w.cut.PlungeMMMin == 0 {
		w.cut.PlungeMMMin = plungeShare * cut.FeedMMMin
	}
	w.bottomMM = w.lowMM
	if j.Layer != nil {
		w.bottomMM -= math.Min(throughMM, j.Layer.CutLimitMM/2)
	}
	w.safeMM = w.topMM + clearMM
	for _, c := range j.Clamps {
		w.safeMM = math.Max(w.safeMM, c.TopMM+clearMM)
	}
	w.useSystem(j.Origins)
	for i := range contours {
		if err := w.fits(&contours[i]); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// useSystem takes G54, or the first work system that the job places where it does not place that one.
func (w *writer) useSystem(origins map[string]job.Origin) {
	if len(origins) == 0 {
		return
	}
	at, ok := origins[w.system]
	if !ok {
		for name := range origins {
			if !ok || name < w.system {
				w.system, ok = name, true
			}
		}
		at = origins[w.system]
	}
	w.origin = at
}

// fits tells whether a care can be cut at all.
func (w *writer) fits(c *Contour) error {
	thick := w.topMM - w.lowMM
	switch care := c.Care; {
	case care.ClosingMM < 0 || care.ClosingMM >= thick && care.ClosingMM > 0:
		return fmt.Errorf("a last pass of %.4g mm is none in stock of %.4g mm; choose a thinner one", care.ClosingMM,
			thick)
	case care.SkinMM < 0 || care.SkinMM >= thick:
		return fmt.Errorf("a skin of %.4g mm is none in stock of %.4g mm; choose a thinner one", care.SkinMM, thick)
	case care.Tabs > 0 && !(care.TabWideMM > 0 && care.TabHighMM > 0 && care.TabHighMM < thick):
		return fmt.Errorf("tabs %.4g mm wide and %.4g mm high do not go with stock of %.4g mm", care.TabWideMM,
			care.TabHighMM, thick)
	case !c.Path.HasRoomFor(care):
		return fmt.Errorf("%d tabs of %.4g mm have no room round a contour of %.4g mm; choose fewer or narrower ones",
			care.Tabs, care.TabWideMM, c.Path.longest())
	}
	return nil
}

// HasRoomFor tells whether the tabs of a care have room round the longest loop of a path. A path without any loop, into
// which the tool does not fit, has room for anything.
func (p Path) HasRoomFor(care Care) bool {
	return len(p.Loops) == 0 || p.cleared || care.Tabs <= p.roomForTabs(p.longest(), care)
}

func (p Path) roomForTabs(lengthMM float64, care Care) int {
	if care.Tabs == 0 || p.cleared {
		return 0
	}
	return min(care.Tabs, int(lengthMM/(tabSpacing*(care.TabWideMM+p.diameterMM))))
}

func (p Path) longest() (mm float64) {
	for _, loop := range p.Loops {
		mm = math.Max(mm, planar.Length(loop))
	}
	return mm
}

func (w *writer) line(format string, args ...any) {
	w.text = append(fmt.Appendf(w.text, format, args...), '\n')
}

func (w *writer) z(mm float64) string { return strconv.FormatFloat(mm-w.origin.Z, 'f', 3, 64) }

func (w *writer) head() {
	w.line("(generated from outlines for a dry run: not for a machine)")
	w.line("(order, depths and feed are not those of any program)")
	w.line("G21 G17 G90 G94 G40")
	w.line("%s", w.system)
	if w.cut.Tool > 0 {
		w.line("T%d M6", w.cut.Tool)
	}
	turn := 3
	if w.tool.Hand == job.LeftHand {
		turn = 4
	}
	w.line("S%.0f M%d", w.cut.RPM, turn)
	w.line("G0 Z%s", w.z(w.safeMM))
}

// floorMM is the Z of the last pass.
func (w *writer) floorMM(care Care) float64 {
	if care.SkinMM > 0 {
		return w.lowMM + care.SkinMM
	}
	return w.bottomMM
}

// levels are the Z of the passes of a care, the last one left out.
func (w *writer) levels(care Care) (out []float64) {
	above, equal := w.floorMM(care), true // down to where the passes share the depth equally
	if care.ClosingMM > 0 {
		above, equal = w.lowMM+care.SkinMM+care.ClosingMM, false
	}
	n := 1.0
	if care.PassMM > 0 {
		// What is cut below the stock is no depth of cut.
		n = math.Max(1, math.Ceil((w.topMM-math.Max(above, w.lowMM))/care.PassMM-1e-9))
	}
	for k := 1.0; k <= n; k++ {
		if k < n || !equal {
			out = append(out, w.topMM-(w.topMM-above)*k/n)
		}
	}
	return out
}

// roughing cuts all passes but the last one.
func (w *writer) roughing(c *Contour) {
	levels := w.levels(c.Care)
	for _, loop := range c.Path.Loops {
		loop = fromFarthest(loop, c.Path.centre)
		for _, z := range levels {
			w.enter(loop[0], z)
			w.along(loop, w.tabs(c, loop), 0, planar.Length(loop))
		}
	}
}

// lastPass cuts the last pass, up to its end if ends follow and it frees something.
func (w *writer) lastPass(c *Contour, ends bool) {
	for _, loop := range c.Path.Loops {
		loop = fromFarthest(loop, c.Path.centre)
		to := planar.Length(loop)
		if ends && c.frees() {
			if to -= endDiameters * w.tool.DiameterMM; to <= 0 {
				continue // all of it is its end
			}
		}
		w.enter(loop[0], w.floorMM(c.Care))
		w.along(loop, w.tabs(c, loop), 0, to)
	}
}

// ends cuts what lastPass has left.
func (w *writer) ends(c *Contour) {
	if !c.frees() {
		return
	}
	for _, loop := range c.Path.Loops {
		loop = fromFarthest(loop, c.Path.centre)
		length := planar.Length(loop)
		from := math.Max(0, length-endDiameters*w.tool.DiameterMM)
		w.enter(pointAt(loop, from), w.floorMM(c.Care))
		w.along(loop, nil, from, length)
	}
}

// frees tells whether the last pass cuts something free.
func (c *Contour) frees() bool { return c.Care.SkinMM == 0 && c.Care.Tabs == 0 && !c.Path.cleared }

// raised is a stretch of a path over a tab, by length along it.
type raised struct{ from, to, topMM float64 }

// tabs places tabs evenly round a loop, the first half a spacing from its start.
func (w *writer) tabs(c *Contour, loop orb.Ring) (out []raised) {
	length := planar.Length(loop)
	n := c.Path.roomForTabs(length, c.Care)
	half := (c.Care.TabWideMM + w.tool.DiameterMM) / 2
	for k := range n {
		middle := (float64(k) + 0.5) * length / float64(n)
		out = append(out, raised{middle - half, middle + half, w.lowMM + c.Care.TabHighMM})
	}
	return out
}

// enter goes to a place at rapid and down to a Z at the feed of plunges.
func (w *writer) enter(at orb.Point, z float64) {
	w.line("G0 Z%s", w.z(w.safeMM))
	w.line("G0 X%s Y%s", w.x(at[0]), w.y(at[1]))
	w.plunge(z)
}

func (w *writer) plunge(z float64) {
	w.line("G1 Z%s F%.5g", w.z(z), w.cut.PlungeMMMin)
	w.line("F%.5g", w.cut.FeedMMMin)
	w.atZ = z
}

func (w *writer) x(mm float64) string { return strconv.FormatFloat(mm-w.origin.X, 'f', 3, 64) }
func (w *writer) y(mm float64) string { return strconv.FormatFloat(mm-w.origin.Y, 'f', 3, 64) }

// along follows a loop between two lengths from its start, at the Z at which the tool stands, and rises over tabs.
func (w *writer) along(loop orb.Ring, tabs []raised, fromMM, toMM float64) {
	type turn struct {
		at float64
		up *raised // nil: down again
	}
	var turns []turn
	for i := range tabs {
		if tabs[i].topMM > w.atZ {
			turns = append(turns, turn{tabs[i].from, &tabs[i]}, turn{tabs[i].to, nil})
		}
	}
	floor, done := w.atZ, 0.0
	for i := 1; i < len(loop); i++ {
		a, b := loop[i-1], loop[i]
		length := planar.Distance(a, b)
		for len(turns) > 0 && turns[0].at < done+length && turns[0].at < toMM {
			w.straight(between(a, b, (turns[0].at-done)/length))
			if up := turns[0].up; up != nil {
				w.line("G1 Z%s", w.z(up.topMM))
			} else {
				w.plunge(floor)
			}
			turns = turns[1:]
		}
		done += length
		if done >= toMM {
			w.straight(between(a, b, 1-(done-toMM)/length))
			return
		}
		if done > fromMM {
			w.straight(b)
		}
	}
}

func (w *writer) straight(to orb.Point) { w.line("X%s Y%s", w.x(to[0]), w.y(to[1])) }

func between(a, b orb.Point, t float64) orb.Point {
	return orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
}

// pointAt is the point of a loop at a length from its start.
func pointAt(loop orb.Ring, mm float64) orb.Point {
	for i := 1; i < len(loop); i++ {
		length := planar.Distance(loop[i-1], loop[i])
		if mm <= length && length > 0 {
			return between(loop[i-1], loop[i], mm/length)
		}
		mm -= length
	}
	return loop[len(loop)-1]
}
