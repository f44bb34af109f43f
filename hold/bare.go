package hold

import (
	"fmt"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/sweep"
)

const (
	// bareShare is the share of the vacuum that bare table costs from which it is a finding.
	bareShare = 0.2
	// leastBareLeak is the share of the leak from which a run with the bare table covered is worth its time.
	leastBareLeak = 0.02
	bareRows      = 200 // in which the bare part of a zone is measured: its area is right within 1 % of the zone's
	// wholeBare of its rectangle must be bare for its two sides to describe it.
	wholeBare = 0.97
)

// bareZone is an open zone that material does not wholly cover.
type bareZone struct {
	index int // in job.Zones
	mm2   float64
	round orb.Bound // the rectangle round what lies bare
	whole bool      // no stock lies on it
}

// measureBare measures what of each open zone lies bare.
func (a *Analysis) measureBare() {
	a.bare = make([]bareZone, len(a.job.Zones))
	for i, z := range a.job.Zones {
		if z.Open {
			a.bare[i] = bareOf(z.Area, a.Result.Job.StockOutline)
			a.bare[i].index, a.Result.Job.Zones[i].BareMM2 = i, a.bare[i].mm2
		}
	}
}

// bareZones lists the zones where air comes in beside the stock: those on the layer with bare table, and all with no
// stock on them.
func (a *Analysis) bareZones() (out []bareZone) {
	for i, z := range a.job.Zones {
		if !z.Open || z.Covered {
			continue
		}
		b := a.bare[i]
		if b.mm2 > 0 && (b.whole || z.Seal == job.LayerSeal) {
			b.whole = b.whole && !a.power.SwitchesZones() // what the program opens cannot be closed by hand
			out = append(out, b)
		}
	}
	return out
}

// coveredJob is the job with the bare zones closed where no stock lies on them, else covered; ok is false when that
// changes nothing.
func (a *Analysis) coveredJob() (covered *job.Job, ok bool) {
	covered = a.job.Varied(nil)
	leakM3h := a.Result.LeakM3h.Bare
	for _, b := range a.bareZones() {
		z := &covered.Zones[b.index]
		if z.Seal == job.GasketSeal {
			leakM3h = a.Result.LeakM3h.Bare + a.Result.LeakM3h.Gaskets
		}
		z.Open, z.Covered = !b.whole, !b.whole
		ok = true
	}
	return covered, ok && leakM3h > leastBareLeak*a.weakest().state.LeakM3h
}

// bareFinding reports bare table that costs much of the vacuum, at the moment of least vacuum.
func (a *Analysis) bareFinding() []result.Finding {
	covered, ok := a.coveredJob()
	if !ok || a.noVacuum || a.otherZones {
		return nil
	}
	weakest := a.weakest()
	model, err := airflow.New(covered, a.rec, airflow.Options{})
	if err != nil {
		return nil
	}
	leak, err := model.Advance(weakest.until)
	if err != nil {
		return nil
	}
	state, err := airflow.Operate(covered.Pump, covered.AmbientPa, leak)
	if err != nil || state.VacuumPa()-weakest.state.VacuumPa() < bareShare*state.VacuumPa() {
		return nil
	}
	what, done := a.bareInWords()
	return []result.Finding{result.NewFinding(result.RuleBareTable, result.LevelNote, a.clock.LineOf(weakest.until),
		a.clock.TimeS(weakest.until),
		fmt.Sprintf("air leaks in through %s; %s, the vacuum is %s here, not %s", what, done,
			a.units.Pressure().Text(state.VacuumPa()/kilo), a.units.Pressure().Text(weakest.state.VacuumPa()/kilo)))}
}

// bareInWords names what lies bare, and what is done about it: "the bare 210 x 400 mm of zone A", "covered".
func (a *Analysis) bareInWords() (what, done string) {
	cover, whole := a.bareParts()
	switch {
	case len(whole) == 0:
		return "the bare " + strings.Join(cover, " and "), "covered"
	case len(cover) == 0:
		return zonesText(whole), "closed"
	}
	return "the bare " + strings.Join(cover, " and ") + " and " + zonesText(whole), "covered and closed"
}

// coverText says what to do about bare table.
func (a *Analysis) coverText() string {
	cover, whole := a.bareParts()
	var parts []string
	if len(whole) > 0 {
		parts = append(parts, "close "+zonesText(whole))
	}
	if len(cover) > 0 {
		parts = append(parts, "cover the bare "+strings.Join(cover, " and "))
	}
	return strings.Join(parts, " and ")
}

// zonesText names zones with no stock on them.
func zonesText(names []string) string {
	if len(names) == 1 {
		return "zone " + names[0] + " (no stock on it)"
	}
	last := len(names) - 1
	return "zones " + strings.Join(names[:last], ", ") + " and " + names[last] + " (no stock on them)"
}

// bareParts gives the sizes of the bare parts to cover, each with its zone, and the names of the zones to close.
func (a *Analysis) bareParts() (cover, whole []string) {
	for _, b := range a.bareZones() {
		name := a.job.Zones[b.index].Name
		if b.whole {
			whole = append(whole, name)
			continue
		}
		size := a.units.TableArea().Text(b.mm2)
		if w, h := b.round.Max[0]-b.round.Min[0], b.round.Max[1]-b.round.Min[1]; b.mm2 >= wholeBare*w*h {
			size = a.units.Size(w, h)
		}
		cover = append(cover, fmt.Sprintf("%s of zone %s", size, name))
	}
	return cover, whole
}

// bareOf measures what of a zone lies beside the stock; cut-outs of the stock are not beside it. Stock over less than a
// bareRows-th of the zone's width or height may be missed.
func bareOf(zone orb.Polygon, stock orb.MultiPolygon) bareZone {
	out := bareZone{whole: true}
	b := zone.Bound()
	dx, dy := (b.Max[0]-b.Min[0])/bareRows, (b.Max[1]-b.Min[1])/bareRows
	grid := sweep.Grid{CellMM: 1, NX: bareRows, NY: bareRows}
	rows := func(p orb.Polygon) [][]sweep.Span { return grid.Fill(inCells(p, b.Min, dx, dy)) }
	var covered [][][]sweep.Span // by part of the stock, without its cut-outs
	for _, polygon := range stock {
		covered = append(covered, rows(polygon[:1]))
	}
	for iy, row := range rows(zone) {
		for _, span := range row {
			for ix := span.From; ix < span.To; ix++ {
				if slices.ContainsFunc(covered, func(rows [][]sweep.Span) bool { return reachOver(rows[iy], ix) }) {
					out.whole = false
					continue
				}
				low := orb.Point{b.Min[0] + float64(ix)*dx, b.Min[1] + float64(iy)*dy}
				cell := orb.Bound{Min: low, Max: orb.Point{low[0] + dx, low[1] + dy}}
				if out.mm2 == 0 {
					out.round = cell
				}
				out.mm2, out.round = out.mm2+dx*dy, out.round.Union(cell)
			}
		}
	}
	return out
}

// inCells gives a polygon in cells of dx x dy mm, counted from a place.
func inCells(p orb.Polygon, from orb.Point, dx, dy float64) orb.Polygon {
	out := p.Clone()
	for _, ring := range out {
		for i, q := range ring {
			ring[i] = orb.Point{(q[0] - from[0]) / dx, (q[1] - from[1]) / dy}
		}
	}
	return out
}

func reachOver(row []sweep.Span, ix int32) bool {
	return slices.ContainsFunc(row, func(s sweep.Span) bool { return s.From <= ix && ix < s.To })
}
