package job

import (
	"fmt"
	"math"
	"time"

	"staydown/hold/material"
	"staydown/parse"
	"staydown/parse/units"
)

// defaultMargin is the margin asked of the low end of each margin's range where the job names none: 1 is the limit.
const defaultMargin = 1.0

// Parse reads and checks a job file. Name is what messages call it. The error is an Errors with every problem found, in
// order of place; with a file that is no TOML it is the first place that is none.
func Parse(name string, data []byte) (*Job, error) { return ParseLayers(File{Name: name, Data: data}) }

// ParseLayers reads and checks a job that stands in several files, the farthest first (the shop's), the program's own
// last: the nearest wins, key by key. Errors are as those of Parse, file by file.
func ParseLayers(files ...File) (*Job, error) {
	root, err := layered(files)
	if err != nil {
		return nil, err
	}
	return parsed(root, files)
}

// parsed reads and checks the job that files give together.
func parsed(root *node, files []File) (*Job, error) {
	own := ownFile(files)
	r := &reader{file: own, meant: map[string]bool{}}
	r.checkWords(root, "", schema())
	j := r.job(root)
	j.Path = own
	if len(r.problems) > 0 {
		all := r.problems.inOrder(files)
		spelledOut(all, files)
		if len(all) > maxProblems {
			all = append(all[:maxProblems:maxProblems], Problem{Pos: parse.Pos{File: own},
				What: "there are more problems", Do: "fix those above first"})
		}
		return nil, all
	}
	r.assumeSpreads()
	j.Assumed, j.Decisive = r.assumed, r.decisive
	j.Doubts = r.doubts
	j.Sources = sources(root, files)
	return j, nil
}

// ownFile is the name of the nearest file.
func ownFile(files []File) string {
	own := ""
	for _, f := range files {
		if f.set == nil {
			own = f.Name
		}
	}
	return own
}

func (r *reader) job(root *node) *Job {
	j := &Job{}
	var where string
	j.AmbientPa, where = r.site(root)
	var okStock bool
	j.Stock, okStock = r.stock(root, r.userMaterials(root))
	thinnest := math.Inf(1)
	for _, b := range j.Stock.Blanks {
		thinnest = min(thinnest, b.TopMM-j.Stock.BottomMM)
	}
	r.workDoubts(j.Stock)
	j.Layer = r.layer(root, j.AmbientPa, j.Stock.Material)
	j.Zones = r.zones(root, j.Layer, j.Stock.Material)
	if j.Layer != nil {
		j.Layer.Gauges = r.gauges(root, j.Zones, j.AmbientPa)
	}
	j.Pump = r.pump(root, j.AmbientPa, where)
	j.Machine = r.machine(root)
	j.Clamps = r.clamps(root, j.Stock)
	j.Machine.Outputs = r.outputs(root, j)
	j.Fixtures = r.fixtures(root)
	j.Origins = r.origins(root)
	j.Tools = r.tools(root)
	if len(j.Tools) == 0 && r.absent(root, "tool") {
		r.say(r.section(root, "tool").at, "tool", "the job has no tool", "write a [[tool]] with number and diameter "+
			"for each tool that the program calls")
	}

	j.Limits = r.limits(root, j.Stock.Material)
	j.RecordsSince = r.recordsSince(root)
	j.CellMM, _ = r.section(root, "grid").quantity("cell", length, cellMM)
	j.Units = r.units(root)
	web := r.section(root, "web")
	if h, ok := web.quantity("height", length, thickMM); ok {
		if okStock && h >= thinnest {
			web.say(web.where("height"), "height", fmt.Sprintf("%s is not less than the stock's thickness of %s",
				r.length(h), r.length(thinnest)),
				"write the height of tabs or skin that are to count as webs")
		}
		j.WebMM = h
	}
	return j
}

// units reads [report].
func (r *reader) units(root *node) units.System {
	i, ok := r.section(root, "report").choice("units", "metric", "inch")
	if !ok {
		return units.Unchosen
	}
	return [...]units.System{units.Metric, units.Inch}[i]
}

// recordsSince reads the day of [records] since.
func (r *reader) recordsSince(root *node) string {
	s := r.section(root, "records")
	day, ok := s.phrase("since")
	if !ok {
		return ""
	}
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		s.say(s.where("since"), "since", fmt.Sprintf("%q is no day", day), `write e.g. "2026-05-04"`)
	}
	return day
}

// limits reads [limits]; what is too thin to be of use depends on the material.
func (r *reader) limits(root *node, work material.Work) Limits {
	s := r.section(root, "limits")
	out := Limits{Margin: defaultMargin}
	if m, ok := s.number("margin", marginRange); ok {
		out.Margin = m
	} else if !s.has("margin") {
		r.assume("margin %.1f required of the low end of each range (margin)", defaultMargin)
	}
	least := work.LeastUseful()
	for _, l := range []struct {
		key, what string
		mm        *float64
	}{{"least_skin", "skin", &out.LeastSkinMM}, {"least_pass", "pass", &out.LeastPassMM}} {
		v, ok := s.quantity(l.key, length, leastMM)
		if *l.mm = v; !ok && !s.has(l.key) {
			*l.mm = least.Likely
			r.assume("least useful %s %s assumed (%s; %s)", l.what, inLength(least.Likely), l.key, least.Source)
		}
	}
	return out
}
