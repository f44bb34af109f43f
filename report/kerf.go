package report

import (
	"image"
	"image/color"
	"math"

	"github.com/paulmach/orb"

	"staydown/hold"
)

// kerfDrawable tells whether a kerf has a raster of sane size.
func kerfDrawable(k hold.Kerf) bool {
	return k.NX > 0 && k.NY > 0 && k.NX <= maxFieldCells/k.NY && len(k.ThroughS) == k.NX*k.NY && k.CellMM > 0 &&
		finite(k.OriginX) && finite(k.OriginY)
}

// kerfBound is the rectangle of its raster, mm.
func kerfBound(k hold.Kerf) orb.Bound {
	return orb.Bound{Min: orb.Point{k.OriginX, k.OriginY},
		Max: orb.Point{k.OriginX + float64(k.NX)*k.CellMM, k.OriginY + float64(k.NY)*k.CellMM}}
}

// kerfImage paints one pixel for each cell that paint takes by its time of being cut through, in the picture's sense of
// up and turned if the view is.
func kerfImage(k hold.Kerf, v view, palette color.Palette, paint func(throughS float64) uint8) *image.Paletted {
	w, h := k.NX, k.NY
	if v.turned {
		w, h = h, w
	}
	img := image.NewPaletted(image.Rect(0, 0, w, h), palette)
	for j := range k.NY {
		for i := range k.NX {
			at := float64(k.ThroughS[j*k.NX+i])
			if math.IsNaN(at) {
				continue
			}
			x, y := i, k.NY-1-j
			if v.turned { // Y to the right, X down
				x, y = j, i
			}
			img.Pix[y*img.Stride+x] = paint(at)
		}
	}
	return img
}

// kerf draws what is cut, through and partway.
func (d *plan) kerf() {
	k := d.r.Kerf
	if !kerfDrawable(k) {
		return
	}
	b := d.extent(kerfBound(k))
	if !(spot{b.x0, b.y0}).drawable() || !(spot{b.x1, b.y1}).drawable() {
		return
	}
	d.image(b, kerfImage(k, d.view, color.Palette{color.NRGBA{}, throughKerf, partwayKerf}, func(s float64) uint8 {
		if math.IsInf(s, 1) {
			return 2
		}
		return 1
	}))
}
