package picture

import (
	"image/color"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/result"
)

// Limits of the pictures of the kerf in a page.
const (
	maxKerfMoments = 150
	evenMoments    = 12        // moments besides those at which a piece comes free
	maxKerfPixels  = 6_000_000 // of all pictures together; beyond it the even moments alone are shown
)

// kerf lays out what is cut: all of it in a pale tone, and over that, from moment to moment, what is cut through.
func (l *pageLayout) kerf() {
	k := l.r.Kerf
	if !kerfDrawable(k) {
		return
	}
	all, ok := l.kerfImage(cellSpan{0, 0, k.NX, k.NY}, 0, func(throughS float64) bool { return !math.IsNaN(throughS) })
	if !ok {
		return
	}
	l.Kerf = &all
	moments := kerfMoments(l.r, true)
	spans := kerfSpans(k, moments)
	if pixelsOf(spans) > maxKerfPixels {
		moments = kerfMoments(l.r, false)
		spans = kerfSpans(k, moments)
	}
	for n, s := range spans {
		if s.empty() {
			continue
		}
		from := math.Inf(-1)
		if n > 0 {
			from = moments[n-1]
		}
		if img, ok := l.kerfImage(s, moments[n], func(at float64) bool { return at > from && at <= moments[n] }); ok {
			l.Through = append(l.Through, img)
		}
	}
}

// kerfMoments are the times at which the page adds kerf, rising: those at which pieces come free if freed, and even
// ones to the end.
func kerfMoments(r *result.Result, freed bool) []float64 {
	var out []float64
	for _, p := range r.Pieces {
		if freed && p.Freed && len(out) < maxKerfMoments-evenMoments && Finite(p.FreedTimeS) {
			out = append(out, float64(float32(p.FreedTimeS))) // as exact as the times of the kerf
		}
	}
	for i := range evenMoments {
		out = append(out, SpanS(r)*float64(i+1)/evenMoments)
	}
	out[len(out)-1] *= 1 + 1e-6
	slices.Sort(out)
	return slices.Compact(out)
}

// cellSpan is a rectangle of cells, without the last column and row.
type cellSpan struct{ x0, y0, x1, y1 int }

func (s cellSpan) empty() bool { return s.x1 <= s.x0 }

func pixelsOf(spans []cellSpan) int {
	n := 0
	for _, s := range spans {
		if !s.empty() {
			n += (s.x1 - s.x0) * (s.y1 - s.y0)
		}
	}
	return n
}

// kerfSpans gives for each moment the rectangle of the cells cut through by it but not by the one before.
func kerfSpans(k result.Kerf, moments []float64) []cellSpan {
	out := make([]cellSpan, len(moments))
	for i := range out {
		out[i] = cellSpan{math.MaxInt, math.MaxInt, 0, 0}
	}
	for c, at := range k.ThroughS {
		if at := float64(at); !math.IsNaN(at) && !math.IsInf(at, 1) {
			if n, _ := slices.BinarySearch(moments, at); n < len(out) {
				x, y, s := c%k.NX, c/k.NX, &out[n]
				*s = cellSpan{min(s.x0, x), min(s.y0, y), max(s.x1, x+1), max(s.y1, y+1)}
			}
		}
	}
	return out
}

// kerfImage paints the cells of a rectangle that take wants.
func (l *pageLayout) kerfImage(s cellSpan, timeS float64, take func(throughS float64) bool) (pageImage, bool) {
	k := l.r.Kerf
	palette := color.Palette{color.NRGBA{}, throughKerf}
	uri, ok := pngURI(rasterImage(s.x1-s.x0, s.y1-s.y0, l.turned, palette, func(i, j int) uint8 {
		if take(float64(k.ThroughS[(s.y0+j)*k.NX+s.x0+i])) {
			return 1
		}
		return 0
	}))
	at, inside := l.rect(orb.Bound{
		Min: orb.Point{k.OriginX + float64(s.x0)*k.CellMM, k.OriginY + float64(s.y0)*k.CellMM},
		Max: orb.Point{k.OriginX + float64(s.x1)*k.CellMM, k.OriginY + float64(s.y1)*k.CellMM}})
	return pageImage{timeS, at, uri}, ok && inside
}
