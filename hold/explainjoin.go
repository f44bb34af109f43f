package hold

import (
	"fmt"

	"staydown/hold/result"
	"staydown/sweep"
)

// joinSection lists the joins of a piece in a trial, one row for each stretch.
func (a *Analysis) joinSection(p *sweep.Piece, t trial) result.Section {
	section := &p.Sections[t.section-1]
	out := result.Section{Title: fmt.Sprintf("joins of piece %d", p.ID), Rows: []result.Row{
		{What: "smallest section around it", Symbol: "S", Formula: "sum of width times height", Value: section.AreaMM2,
			Unit: "mm2", Source: "sweep, from the tool paths"},
		{What: "share of the line around it that has material", Value: section.Covered(), Source: "sweep"},
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
		length, force := a.units.Place(), a.units.Force()
		out.Rows = append(out.Rows, text(fmt.Sprintf("join %d", n), fmt.Sprintf(
			"%s wide, %s high, %s across the cut, about %s: carries %s sideways, %s upward",
			length.Text(wide), length.Text(area/wide), length.Text(section.Joins[first].LengthMM),
			a.units.Coordinates(x/wide, y/wide), force.Text(level), force.Text(upright))))
	}
	switch {
	case a.job.Stock.Material.Ductile:
		out.Rows = append(out.Rows, text("ductile", "joins, pressure and weight add up"))
	case t.alone:
		out.Rows = append(out.Rows, text("brittle", "only the joins count: they are stronger than pressure and "+
			"weight"))
	default:
		out.Rows = append(out.Rows, text("brittle", "only pressure and weight count: they are stronger than the "+
			"joins"))
	}
	return out
}
