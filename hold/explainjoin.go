package hold

import (
	"fmt"

	"staydown/sweep"
)

// joinSection lists what joins a piece in a trial, stretch by stretch.
func (a *Analysis) joinSection(p *sweep.Piece, t trial) Section {
	section := &p.Sections[t.section-1]
	out := Section{Title: fmt.Sprintf("what joins piece %d", p.ID), Rows: []Row{
		{What: "smallest section round it", Symbol: "S", Formula: "sum of width times height", Value: section.AreaMM2,
			Unit: "mm2", Source: "sweep, from the paths of the tools"},
		{What: "of the line round it, with material", Value: section.Covered(), Source: "sweep"},
	}}
	webs := a.joins(section)
	for i, n := 0, 1; i < len(webs); n++ {
		var x, y, wide, area, level, upright float64
		first := i
		for ; i < len(webs) && section.Joins[i].WholeMM == section.Joins[first].WholeMM &&
			wide < section.Joins[first].WholeMM*(1-1e-9); i++ {
			w := &webs[i]
			x, y, wide, area = x+w.WidthMM*w.X, y+w.WidthMM*w.Y, wide+w.WidthMM, area+w.WidthMM*w.ThicknessMM
			level, upright = level+w.Level(), upright+w.Upright()
		}
		out.Rows = append(out.Rows, text(fmt.Sprintf("join %d", n), fmt.Sprintf(
			"%.3f mm wide, %.3f mm high, %.2f mm across the cut, about X%.2f Y%.2f: carries %.1f N level, %.1f N "+
				"upright",
			wide, area/wide, section.Joins[first].LengthMM, x/wide, y/wide, level, upright)))
	}
	switch {
	case a.job.Stock.Material.Ductile:
		out.Rows = append(out.Rows, text("ductile", "the joins carry together with pressure and weight"))
	case t.alone:
		out.Rows = append(out.Rows, text("brittle", "the joins alone are stronger than pressure and weight alone: "+
			"they count"))
	default:
		out.Rows = append(out.Rows, text("brittle", "pressure and weight alone are stronger than the joins alone: "+
			"they count"))
	}
	return out
}
