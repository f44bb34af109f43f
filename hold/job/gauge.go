package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb/planar"
)

// GaugeErrorPa is how far the reading of a vacuum gauge may be off, taken as its 5 and 95 % points: class 2.5 allows
// 2.5 % of the span, which is 100 kPa. Source: EN 837-1 (1996), table 11, maximum permissible errors.
const GaugeErrorPa = 2500

// Gauge is what the vacuum gauge shows on the table with its layer and a tight sheet on part of it.
type Gauge struct {
	Line     int
	Covered  float64   // share of the area of the open zones on the layer, 0 to 1
	VacuumPa []float64 // one reading or several
}

// gauges reads every [[layer.gauge]], for the zones that are open.
func (r *reader) gauges(root *node, zones []Zone, ambientPa float64) []Gauge {
	layer := r.section(root, "layer")
	openMM2 := 0.0
	for _, z := range zones {
		if z.Open && z.Seal == LayerSeal && len(z.Area) > 0 {
			openMM2 += math.Abs(planar.Area(z.Area))
		}
	}
	var out []Gauge
	for _, s := range layer.each(layer.node, "gauge", maxGauges) {
		s.name = "layer.gauge"
		g := Gauge{Line: s.at.Line}
		s.need("covered", `"50 %"`)
		s.need("readings", `["620 mbar", "630 mbar"]`)
		var okC, okR bool
		g.Covered, okC = s.covered(openMM2)
		g.VacuumPa, okR = s.readings("readings", func(v *node) (float64, bool) {
			pa, ok := s.measure(v, "readings", pressure, vacuumPa)
			if ok && pa >= ambientPa {
				s.say(v.at, "readings", fmt.Sprintf("%s is more than the ambient pressure of %s", pressure.write(pa),
					pressure.write(ambientPa)), "write what the gauge shows below ambient")
				ok = false
			}
			return pa, ok
		})
		if okC && okR {
			out = append(out, g)
		}
	}
	return out
}

// covered reads the share of the open zones that lies under a tight sheet: "50 %", or the area of the sheet.
func (s section) covered(openMM2 float64) (float64, bool) {
	v, ok := s.usable("covered")
	if !ok {
		return 0, false
	}
	if number, percent := strings.CutSuffix(strings.TrimSpace(v.text), "%"); v.form == text && percent {
		x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err != nil || !(x >= 0 && x <= 100) {
			s.say(v.at, "covered", strconv.Quote(v.text)+" is no share", `write "0 %" (bare) to "100 %"`)
			return 0, false
		}
		return x / 100, true
	}
	a, ok := s.measure(v, "covered", area, coveredMM2)
	switch {
	case !ok:
		return 0, false
	case a > openMM2*(1+1e-9):
		s.say(v.at, "covered", fmt.Sprintf("%s is more than the %s of the open zones on the layer", area.write(a),
			area.write(openMM2)), `write the covered area of the zones, or "100 %"`)
		return 0, false
	}
	return min(1, a/openMM2), true
}
