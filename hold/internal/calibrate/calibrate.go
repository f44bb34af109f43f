// Package calibrate brings the permeability of a layer and the leak of the hoses to readings of the vacuum gauge.
//
//	0 % covered   420 mbar  -->  permeability  (between them: a check)
//	100 % covered 780 mbar  -->  leak
//
// It asks the same model of the air as every check, over a tight sheet; it knows nothing of programs.
package calibrate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"
	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow"
	"staydown/hold/doubt"
	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/parse/units"
	"staydown/sweep"
)

// How the readings of a gauge are judged.
const (
	coveredWhole  = 0.95 // share of the zones from which a covered table tells the leak of the hoses
	mostPermeable = 1e4  // times what the job says, either way
	bareCellMM    = 2.0  // of the sweep's grid under the cover
)

// Job is a job with the permeability of its layer and the leak of its hoses brought to its gauge readings by
// the model itself: the same layer, zones and pump, under a tight sheet that covers a straight-edged share of the
// zones.
//
// One reading tells one figure: the permeability, or the leak if all is covered. The least and the most covered
// readings of several tell both; what is between is a check. Both figures are joined with what the job says of them.
// Since the gauge tells them as shares of the pump's flow, they then move with it. Readings that contradict each other
// or the job are told. The job that comes out has no readings left; one without comes back as it is. Check calibrates
// what it is given. It fails if the air of the table cannot be computed.
func Job(j *job.Job) (*job.Job, error) {
	if j.Layer == nil || len(j.Layer.Gauges) == 0 {
		return j, nil
	}
	c := &calibration{job: j.Varied(nil)}
	c.job.Doubts, c.job.Assumed = slices.Clone(j.Doubts), slices.Clone(j.Assumed)
	c.job.Layer.Gauges = nil
	for _, g := range byCover(j.Layer.Gauges) {
		leak, err := c.leakUnder(g.Covered)
		if err != nil {
			return nil, fmt.Errorf("the gauge reading on line %d cannot be computed: %w", g.Line, err)
		}
		c.readings = append(c.readings, newGaugeReading(g, leak))
	}
	c.bring()
	return c.job, nil
}

// byCover puts the least covered readings first, those of one cover together.
func byCover(gauges []job.Gauge) []job.Gauge {
	var out []job.Gauge
	for _, g := range gauges {
		i, found := slices.BinarySearchFunc(out, g, func(a, b job.Gauge) int {
			return cmp.Compare(a.Covered,
				b.Covered)
		})
		if found {
			out[i].VacuumPa = slices.Concat(out[i].VacuumPa, g.VacuumPa)
		} else {
			out = slices.Insert(out, i, g)
		}
	}
	return out
}

// gaugeReading is what the gauge shows under one cover.
type gaugeReading struct {
	line     int
	covered  float64
	vacuumPa float64
	errorPa  float64 // 5 and 95 % points
	leak     airflow.Leak
}

func newGaugeReading(g job.Gauge, leak airflow.Leak) gaugeReading {
	r := gaugeReading{line: g.Line, covered: g.Covered, errorPa: job.GaugeErrorPa, leak: leak}
	sorted := slices.Sorted(slices.Values(g.VacuumPa))
	n := float64(len(sorted))
	for _, v := range sorted {
		r.vacuumPa += v / n
	}
	squares := 0.0
	for _, v := range sorted {
		squares += (v - r.vacuumPa) * (v - r.vacuumPa)
	}
	if n > 1 {
		r.errorPa = math.Hypot(job.GaugeErrorPa, doubt.StudentT(n-1)*math.Sqrt(squares/(n-1)/n))
	}
	return r
}

// calibration brings a job to gauge readings, the least covered first.
type calibration struct {
	job      *job.Job
	readings []gaugeReading
}

// leakUnder is the leak of the table with a tight sheet on the share of its open zones, from one side on.
func (c *calibration) leakUnder(share float64) (airflow.Leak, error) {
	bare := *c.job
	bare.Stock = job.Stock{Stock: coverOf(c.job, share)}
	bare.Clamps = nil
	rec, err := sweep.Run(&parse.Moves{}, nil, bare.Stock.Stock, sweep.Options{CellMM: bareCellMM})
	if err != nil {
		return airflow.Leak{}, err
	}
	model, err := airflow.New(&bare, rec, airflow.Options{})
	if err != nil {
		return airflow.Leak{}, err
	}
	return model.Advance(0)
}

// coverOf is a sheet on the share of the open zones, a tiny one for none.
func coverOf(j *job.Job, share float64) sweep.Stock {
	box, total := orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}, 0.0
	var zones []orb.Polygon
	for _, z := range j.Zones {
		if z.Open && z.Seal == job.LayerSeal {
			zones = append(zones, z.Area)
			total += math.Abs(planar.Area(z.Area))
			if box = box.Union(z.Area.Bound()); len(zones) == 1 {
				box = z.Area.Bound()
			}
		}
	}
	low, high := box.Min[0], box.Max[0]
	for range 60 {
		mid := (low + high) / 2
		covered := 0.0
		for _, z := range zones {
			covered += math.Abs(planar.Area(clip.Polygon(orb.Bound{Min: box.Min, Max: orb.Point{mid, box.Max[1]}},
				orb.Clone(z).(orb.Polygon))))
		}
		if covered < share*total {
			low = mid
		} else {
			high = mid
		}
	}
	box.Max[0] = high
	if box.Max[0]-box.Min[0] < bareCellMM {
		box.Max = orb.Point{box.Min[0] + bareCellMM, box.Min[1] + bareCellMM}
	}
	outline := orb.Polygon{box.ToRing()}
	return sweep.Stock{BottomMM: j.Stock.BottomMM,
		Blanks: []sweep.Blank{{Outline: outline, TopMM: j.Stock.BottomMM + 1}}}
}

// table are the figures that the gauge tells.
type table struct {
	permeable float64 // times what the job says
	leakM3h   float64
}

// vacuumPa is what the gauge shows.
func (c *calibration) vacuumPa(r *gaugeReading, t table) float64 {
	pump := c.job.Pump
	pump.LeakM3h = t.leakM3h
	state, err := airflow.Operate(pump, c.job.AmbientPa, r.leak.OfLayerTimes(t.permeable))
	if err != nil {
		return 0
	}
	return state.VacuumPa()
}

// falling finds where a falling function of x in [low, high] reaches 0, or the end that is nearest to it.
func falling(low, high float64, f func(x float64) float64) float64 {
	for range 48 {
		if mid := (low + high) / 2; f(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// permeable is the permeability, as a multiple, with which a reading fits a leak.
func (c *calibration) permeable(r *gaugeReading, leakM3h float64) float64 {
	return math.Exp(falling(-math.Log(mostPermeable), math.Log(mostPermeable), func(x float64) float64 {
		return c.vacuumPa(r, table{math.Exp(x), leakM3h}) - r.vacuumPa
	}))
}

// fit finds the figures from readings, the least covered first.
func (c *calibration) fit(readings []gaugeReading) table {
	own := c.job.Pump
	bare, covered := &readings[0], &readings[len(readings)-1]
	leak := func(permeable func(leakM3h float64) float64) float64 {
		return falling(0, own.FlowM3h, func(leakM3h float64) float64 {
			return c.vacuumPa(covered, table{permeable(leakM3h), leakM3h}) - covered.vacuumPa
		})
	}
	switch {
	case covered.covered > bare.covered:
		at := leak(func(leakM3h float64) float64 { return c.permeable(bare, leakM3h) })
		return table{c.permeable(bare, at), at}
	case covered.covered >= coveredWhole:
		return table{1, leak(func(float64) float64 { return 1 })}
	}
	return table{c.permeable(bare, own.LeakM3h), own.LeakM3h}
}

// bring fits the figures, their ranges from the errors of the readings, and puts them into the job.
func (c *calibration) bring() {
	likely := c.fit(c.readings)
	var permeable, leak sides
	for i := range c.readings {
		for _, off := range []float64{-1, 1} {
			moved := slices.Clone(c.readings)
			moved[i].vacuumPa = min(max(moved[i].vacuumPa+off*moved[i].errorPa, 1), c.job.AmbientPa-1)
			t := c.fit(moved)
			permeable.add(math.Log(t.permeable / likely.permeable))
			leak.add(t.leakM3h - likely.leakM3h)
		}
	}
	if !c.explained(likely) {
		return
	}
	if permeable != (sides{}) {
		through := c.job.Layer.ThroughM2 * likely.permeable
		sp := material.OfGauge.Spread()
		c.join("layer.through", doubt.Input{Law: doubt.Lognormal, Likely: through,
			Low:  through * math.Exp(-math.Hypot(permeable.below, math.Log(sp.Low))),
			High: through * math.Exp(math.Hypot(permeable.above, math.Log(sp.High)))})
	}
	if leak != (sides{}) {
		c.join("pump.leak", doubt.Input{Law: doubt.Normal, Likely: likely.leakM3h,
			Low: max(0, likely.leakM3h-leak.below), High: likely.leakM3h + leak.above})
	}
}

// sides is the spread below and above a likely value.
type sides struct{ below, above float64 }

// add takes in one more cause, independent of the others.
func (s *sides) add(off float64) {
	if off < 0 {
		s.below = math.Hypot(s.below, off)
	} else {
		s.above = math.Hypot(s.above, off)
	}
}

// explained tells the readings that the figures do not explain, and whether they explain those that they were fitted
// to.
func (c *calibration) explained(t table) bool {
	const most = 2.326 / doubt.Score95 // of its 95 % point: 1 of 50 by chance
	fitted := true
	for i := range c.readings {
		r := &c.readings[i]
		got := c.vacuumPa(r, t)
		if math.Abs(got-r.vacuumPa) <= most*r.errorPa {
			continue
		}
		what := "the other readings and the pump make"
		if i == 0 || i == len(c.readings)-1 {
			fitted = false
			what = "the pump of the job file reaches at most or at least"
		}
		c.assume("gauge reading on line %d: %s with %.0f %% covered, where %s %s; check pump, cover and gauge", r.line,
			units.Figure{Kind: units.Vacuum, X: r.vacuumPa / 1000}, 100*r.covered, what,
			units.Figure{Kind: units.Vacuum, X: got / 1000})
	}
	if !fitted {
		c.assume("the gauge readings are not used")
	}
	return fitted
}

func (c *calibration) assume(format string, args ...any) {
	c.job.Assumed = append(c.job.Assumed, units.Statement{Format: format, Args: args})
}

// join puts a measured figure, together with what the job says of it, in its place. An exact one stays.
func (c *calibration) join(key string, measured doubt.Input) {
	i := slices.IndexFunc(c.job.Doubts, func(d job.Doubt) bool { return d.Key == key })
	if i < 0 {
		return
	}
	d := c.job.Doubts[i]
	joined, contradiction := d.Input.Combined(measured)
	if contradiction {
		c.assume("%s: the gauge readings give %.3g %s (%.3g to %.3g), far from %.3g to %.3g (%s); the wider range "+
			"counts",
			d.Name, measured.Likely, d.Unit, measured.Low, measured.High, d.Low, d.High, d.Source)
	}
	c.assume("%s: %.3g %s (%.3g to %.3g) by the gauge, %.3g (%.3g to %.3g), together with %.3g to %.3g", d.Name,
		joined.Likely, d.Unit, joined.Low, joined.High, measured.Likely, measured.Low, measured.High, d.Low, d.High)
	joined.Low = max(joined.Low, 0)
	joined.Source = "gauge readings; " + d.Source
	d.Input = joined
	d.Set(c.job, joined.Likely)
	c.job.Doubts[i] = d
	c.followFlow(i)
}

// followFlow lets a figure that the gauge tells move with the flow of the pump: the gauge tells their ratio.
func (c *calibration) followFlow(i int) {
	flow := c.job.Pump.FlowM3h
	d := &c.job.Doubts[i]
	set := d.Set
	d.Set = func(j *job.Job, v float64) { set(j, v*j.Pump.FlowM3h/flow) }
	value := func(j *job.Job) float64 { return j.Layer.ThroughM2 }
	if d.Key == "pump.leak" {
		c.job.Pump.LeakAssumed = false
		value = func(j *job.Job) float64 { return j.Pump.LeakM3h }
	}
	k := slices.IndexFunc(c.job.Doubts, func(d job.Doubt) bool { return d.Key == "pump.flow" })
	if k < 0 {
		return
	}
	setFlow := c.job.Doubts[k].Set
	c.job.Doubts[k].Set = func(j *job.Job, v float64) {
		times := v / j.Pump.FlowM3h
		setFlow(j, v)
		set(j, value(j)*times)
	}
}
