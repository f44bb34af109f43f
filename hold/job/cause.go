package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"staydown/hold/doubt"
	"staydown/hold/internal/gas"
	"staydown/hold/material"
)

// Ways by which a shop narrows a figure down, as in README's hour at the machine.
const (
	byPull     = "pull a coupon on the table with a spring scale, 15 minutes"
	byPower    = "read the spindle's power in a known cut and idling, 20 minutes"
	byGauge    = "read the gauge with the table bare, half covered and covered, 5 minutes"
	bySheet    = "measure the sheet at its corners and touch off on it, 10 minutes"
	byFlow     = "measure the pump's flow with the hose off, 10 minutes"
	byIndicate = "indicate the cutters in their chucks, 5 minutes"
	byBreaking = "break a tab with a spring scale, 10 minutes"
	byScale    = "press the clamp on a scale, 5 minutes"
)

// How far off such a measurement may be, where no kind of figure says it; all of it common practice, no source.
var (
	offSheet    = doubt.Scatter{Low: -0.03, High: 0.03}   // mm: caliper, and touching off
	offIndicate = doubt.Scatter{Low: -0.003, High: 0.003} // mm
	offScale    = doubt.Scatter{Low: 0.95, High: 1.05}
)

// offBy is how far off one measurement of a kind may be, as factors.
func offBy(k material.Kind) doubt.Scatter {
	s := k.Spread()
	return doubt.Scatter{Low: s.Low, High: s.High}
}

// leastShare keeps a figure that may be 0 above it where the model divides by it.
const leastShare = 1e-3

// workDoubts are what is doubtful about a material. Radial ratio, exponent and edge force count with the specific
// force: one cause moves all of them.
func (r *reader) workDoubts(stock Stock) {
	w := stock.Material
	r.doubted(Doubt{
		Input: doubt.Input{Name: "specific force of " + w.Name, Unit: "N/mm2", Scope: doubt.Material, Measure: byPower,
			Reading: offBy(material.OfMeasuredForce)},
		Key: "material.specific_force",
		Set: func(j *Job, v float64) {
			m := &j.Stock.Material
			*m = m.ForcesTimes(v / m.KC11.Likely)
		},
	}, w.KC11)
	r.liftDoubt(w)
	r.strengthDoubt(w)
	if stock.Porous() {
		r.doubted(Doubt{
			Input: doubt.Input{Name: "permeability of work " + w.Name, Unit: "m2", Scope: doubt.Material},
			Key:   "material.through",
			Set: func(j *Job, v float64) {
				m := &j.Stock.Material
				k := v / m.Through.Likely
				m.Through, m.Along = m.Through.Times(k), m.Along.Times(k)
			},
		}, w.Through)
	}
}

// liftDoubt is that of the upward pull of a helix. The low end of Lift, which counts where the helix presses, stays.
func (r *reader) liftDoubt(w material.Work) {
	lift := w.Lift
	if strings.Contains(lift.Source, ofItsKind) {
		lift = clipped(single(lift.Likely, material.OfLiftRatio, fromFile), liftRange)
	}
	edge := doubt.Input{Law: doubt.Normal, Low: w.EdgeLift.Low, Likely: w.EdgeLift.Likely, High: w.EdgeLift.High}
	d := Doubt{
		Input: doubt.Input{Name: "lift ratio in " + w.Name, Law: doubt.Normal, Scope: doubt.Material},
		Key:   "material.lift_ratio",
	}
	in := doubt.Input{Law: doubt.Normal, Low: lift.Low, Likely: lift.Likely, High: lift.High}
	d.Set = func(j *Job, v float64) {
		m := &j.Stock.Material
		m.Lift = moved(m.Lift, v)
		if typed(w.Lift) { // it stands for both
			m.EdgeLift = m.Lift
			return
		}
		m.EdgeLift = moved(m.EdgeLift, edge.At(in.Score(v)))
	}
	r.doubted(d, lift)
}

// moved is a lift ratio with another likely value.
func moved(lift material.Range, likely float64) material.Range {
	lift.Likely = min(max(likely, leastShare), liftRange.high)
	lift.Low, lift.High = min(lift.Low, lift.Likely), max(lift.High, lift.Likely)
	return lift
}

// strengthDoubt is that of what joins carry: in shear, tension and bending by one factor.
func (r *reader) strengthDoubt(w material.Work) {
	of := w.Tensile
	for _, other := range []material.Range{w.Shear, w.Yield} {
		if of.Likely <= 0 || typed(other) && !typed(of) {
			of = other
		}
	}
	r.doubted(Doubt{
		Input: doubt.Input{Name: "strength of joins in " + w.Name, Unit: "N/mm2", Scope: doubt.Material,
			Measure: byBreaking, Reading: offBy(material.OfStrength)},
		Key: "material.tensile",
		Set: func(j *Job, v float64) {
			m := &j.Stock.Material
			k := v / of.Likely
			m.Shear, m.Tensile, m.Yield = w.Shear.Times(k), w.Tensile.Times(k), w.Yield.Times(k)
		},
	}, of)
}

// sheetDoubt is by how much the sheet is thicker than written, or touched off too high: its table side lies that much
// lower in the program's coordinates.
func (r *reader) sheetDoubt(bottomMM float64, thicker material.Range) {
	r.doubted(Doubt{
		Input: doubt.Input{Name: "thickness and Z zero of the sheet", Unit: "mm", Law: doubt.Normal, Scope: doubt.Sheet,
			Measure: bySheet, Reading: offSheet},
		Key: "stock.tolerance",
		Set: func(j *Job, v float64) { j.Stock.BottomMM = bottomMM - v },
	}, thicker)
}

// layerAirDoubt is that of the layer's permeability. Along it goes in proportion.
func (r *reader) layerAirDoubt(layer string, through material.Range) {
	r.doubted(Doubt{
		Input: doubt.Input{Name: "permeability of " + layer, Unit: "m2", Scope: doubt.Shop, Measure: byGauge,
			Reading: offBy(material.OfGauge)},
		Key: "layer.through",
		Set: func(j *Job, v float64) {
			j.Layer.AlongM2 *= v / j.Layer.ThroughM2
			j.Layer.ThroughM2 = v
		},
	}, through)
}

func (r *reader) tackDoubt(layer string, tack material.Range) {
	pull := offBy(material.OfPull)
	r.doubted(Doubt{
		Input: doubt.Input{Name: "tack of " + layer, Unit: "Pa", Law: doubt.Normal, Scope: doubt.Shop, Measure: byPull,
			Reading: doubt.Scatter{Low: (pull.Low - 1) * tack.Likely, High: (pull.High - 1) * tack.Likely}},
		Key: "layer.tack",
		Set: func(j *Job, v float64) { j.Layer.TackPa = max(0, v) },
	}, tack)
}

// onLayer and onZones give where a job keeps a friction.
func onLayer(j *Job) []*Friction { return []*Friction{&j.Layer.Friction} }

func onZones(at []int) func(*Job) []*Friction {
	return func(j *Job) []*Friction {
		var out []*Friction
		for _, i := range at {
			out = append(out, &j.Zones[i].Friction)
		}
		return out
	}
}

// frictionDoubts are those of one pair: what lies on what. Dry and wet move together, unless the wet one is given.
// of is the table that gives it.
func (r *reader) frictionDoubts(of, pair string, f slides, at func(*Job) []*Friction) {
	dry := doubt.Input{Low: f.dry.Low, Likely: f.dry.Likely, High: f.dry.High}
	wet := doubt.Input{Low: f.wet.Low, Likely: f.wet.Likely, High: f.wet.High}
	r.doubted(Doubt{
		Input: doubt.Input{Name: "friction of " + pair, Scope: doubt.Material, Measure: byPull,
			Reading: offBy(material.OfPull)},
		Key: of + ".friction",
		Set: func(j *Job, v float64) {
			for _, to := range at(j) {
				to.Dry = v
				if !f.wetAlone {
					to.Wet = wet.At(dry.Score(v))
				}
			}
		},
	}, f.dry)
	if f.wetAlone {
		r.doubted(Doubt{
			Input: doubt.Input{Name: "wet friction of " + pair, Scope: doubt.Material, Measure: byPull,
				Reading: offBy(material.OfPull)},
			Key: of + ".friction_wet",
			Set: func(j *Job, v float64) {
				for _, to := range at(j) {
					to.Wet = v
				}
			},
		}, f.wet)
	}
}

// gasketed is the friction on what carries a gasketed zone.
type gasketed struct {
	zone int
	name string
	on   material.Seat
	slides
}

// gasketDoubts are one for each kind of support; zones that say something else of it have their own.
func (r *reader) gasketDoubts(zones []gasketed, work material.Work) {
	var done []int
	for i, z := range zones {
		if slices.Contains(done, i) {
			continue
		}
		alike, all := []int{z.zone}, true
		for k := range zones {
			switch {
			case k == i || zones[k].on != z.on:
			case zones[k].slides == z.slides:
				alike = append(alike, zones[k].zone)
				done = append(done, k)
			default:
				all = false
			}
		}
		pair := fmt.Sprintf("%v on %s", z.on, work.Name)
		if !all {
			pair = fmt.Sprintf("%v of zone %s on %s", z.on, z.name, work.Name)
		}
		r.frictionDoubts("zone", pair, z.slides, onZones(alike))
	}
}

// flowDoubt is that of what the pump moves, at all pressures by one factor.
func (r *reader) flowDoubt(flow material.Range) {
	r.doubted(Doubt{
		Input: doubt.Input{Name: "flow of the pump", Unit: "m3/h", Scope: doubt.Shop, Measure: byFlow,
			Reading: offBy(material.OfPumpCurve)},
		Key: "pump.flow",
		Set: func(j *Job, v float64) {
			for i := range j.Pump.Curve {
				j.Pump.Curve[i].FlowM3h *= v / j.Pump.FlowM3h
			}
			j.Pump.FlowM3h = v
		},
	}, flow)
}

func (r *reader) ultimateDoubt(lowest material.Range) {
	r.doubted(Doubt{
		Input: doubt.Input{Name: "lowest pressure of the pump", Unit: "Pa", Scope: doubt.Shop, Measure: byGauge},
		Key:   "pump.ultimate",
		Set:   func(j *Job, v float64) { j.Pump.UltimatePa = v },
	}, lowest)
}

func (r *reader) leakDoubt(leak material.Range, flowM3h float64) {
	off := flowM3h * GaugeErrorPa / gas.SeaLevelPa // free air that the pump moves at as much pressure
	r.doubted(Doubt{
		Input: doubt.Input{Name: "leak of hoses and rims", Unit: "m3/h", Law: doubt.Normal, Scope: doubt.Shop,
			Measure: byGauge, Reading: doubt.Scatter{Low: -off, High: off}},
		Key: "pump.leak",
		Set: func(j *Job, v float64) { j.Pump.LeakM3h = max(0, v) },
	}, leak)
}

func (r *reader) runoutDoubt(t Tool, runout material.Range) {
	r.doubted(Doubt{
		Input: doubt.Input{Name: fmt.Sprintf("run-out of tool %d", t.Number), Unit: "mm", Law: doubt.Normal,
			Scope: doubt.Tool, Measure: byIndicate, Reading: offIndicate},
		Key:  "tool.runout",
		Tool: t.Number,
		Set: func(j *Job, v float64) {
			tool := j.Tools[t.Number]
			tool.RunoutMM = min(max(0, v), math.Nextafter(tool.DiameterMM/2, 0))
			j.Tools[t.Number] = tool
		},
	}, runout)
}

func (r *reader) clampDoubt(clamp int, name string, force material.Range) {
	r.doubted(Doubt{
		Input: doubt.Input{Name: "force of clamp " + name, Unit: "N", Scope: doubt.Job, Measure: byScale,
			Reading: offScale},
		Key: "clamp.force",
		Set: func(j *Job, v float64) { j.Clamps[clamp].ForceN = v },
	}, force)
}
