package hold

import (
	"fmt"
	"strings"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow"
	"staydown/hold/job"
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

// coveredJob is the job with the bare part of every open zone covered; ok is false when that changes nothing.
func (a *Analysis) coveredJob() (covered *job.Job, ok bool) {
	covered = a.job.Varied(nil)
	for i := range covered.Zones {
		z := &covered.Zones[i]
		if z.Open && !z.Covered && z.Seal == job.LayerSeal {
			z.Covered, ok = true, true
		}
	}
	return covered, ok && a.Result.LeakM3h.Bare > leastBareLeak*a.weakest().state.LeakM3h
}

// bareFinding reports bare table that costs much of the vacuum, at the moment of least vacuum.
func (a *Analysis) bareFinding() []Finding {
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
	return []Finding{plain(RuleBareTable, LevelNote, a.lineOf(weakest.until), a.timeS(weakest.until),
		fmt.Sprintf("%s lets in air beside the stock; covered, the vacuum is %s here, not %s", a.bareInWords(),
			a.units.Pressure().Text(state.VacuumPa()/kilo), a.units.Pressure().Text(weakest.state.VacuumPa()/kilo)))}
}

// bareInWords names what lies bare of each open zone: "the bare 210 x 400 mm of zone A".
func (a *Analysis) bareInWords() string {
	var parts []string
	for _, z := range a.job.Zones {
		if !z.Open || z.Covered || z.Seal != job.LayerSeal {
			continue
		}
		mm2, b := bareOf(z.Area, a.inStock)
		if mm2 == 0 {
			continue
		}
		size := a.units.TableArea().Text(mm2)
		if w, h := b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]; mm2 >= wholeBare*w*h {
			size = a.units.Size(w, h)
		}
		parts = append(parts, fmt.Sprintf("%s of zone %s", size, z.Name))
	}
	return "the bare " + strings.Join(parts, " and ")
}

func (a *Analysis) inStock(at orb.Point) bool {
	for _, blank := range a.rec.Stock.Blanks {
		if planar.RingContains(blank.Outline[0], at) {
			return true
		}
	}
	return false
}

// bareOf gives the area of a zone that the stock leaves bare, mm2, and the rectangle round it.
func bareOf(zone orb.Polygon, inStock func(orb.Point) bool) (mm2 float64, round orb.Bound) {
	b := zone.Bound()
	dx, dy := (b.Max[0]-b.Min[0])/bareRows, (b.Max[1]-b.Min[1])/bareRows
	for i := range bareRows {
		for k := range bareRows {
			at := orb.Point{b.Min[0] + (float64(i)+0.5)*dx, b.Min[1] + (float64(k)+0.5)*dy}
			if !planar.PolygonContains(zone, at) || inStock(at) {
				continue
			}
			cell := orb.Bound{Min: orb.Point{at[0] - dx/2, at[1] - dy/2}, Max: orb.Point{at[0] + dx/2, at[1] + dy/2}}
			if mm2 == 0 {
				round = cell
			}
			mm2, round = mm2+dx*dy, round.Union(cell)
		}
	}
	return mm2, round
}
