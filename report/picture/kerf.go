package picture

import (
	"image"
	"image/color"
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/result"
)

// kerfDrawable tells whether a kerf has a raster of sane size.
func kerfDrawable(k result.Kerf) bool {
	return k.NX > 0 && k.NY > 0 && k.NX <= maxFieldCells/k.NY && len(k.ThroughS) == k.NX*k.NY && k.CellMM > 0 &&
		Finite(k.OriginX) && Finite(k.OriginY)
}

// kerfBound is the rectangle of its raster, mm.
func kerfBound(k result.Kerf) orb.Bound {
	return orb.Bound{Min: orb.Point{k.OriginX, k.OriginY},
		Max: orb.Point{k.OriginX + float64(k.NX)*k.CellMM, k.OriginY + float64(k.NY)*k.CellMM}}
}

// rasterImage paints one pixel for each cell of a raster of nx x ny, the lowest row at the foot; turned like a view.
func rasterImage(nx, ny int, turned bool, palette color.Palette, paint func(i, j int) uint8) *image.Paletted {
	w, h := nx, ny
	if turned {
		w, h = h, w
	}
	img := image.NewPaletted(image.Rect(0, 0, w, h), palette)
	for j := range ny {
		for i := range nx {
			x, y := i, ny-1-j
			if turned { // Y to the right, X down
				x, y = j, i
			}
			img.Pix[y*img.Stride+x] = paint(i, j)
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
	palette := color.Palette{color.NRGBA{}, throughKerf, partwayKerf}
	d.image(b, rasterImage(k.NX, k.NY, d.turned, palette, func(i, j int) uint8 {
		switch at := float64(k.ThroughS[j*k.NX+i]); {
		case math.IsNaN(at):
			return 0
		case math.IsInf(at, 1):
			return 2
		}
		return 1
	}))
}
