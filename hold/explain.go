package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/cutload"
	"staydown/hold/internal/steploads"
	"staydown/hold/internal/toolpath"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/sweep"
	"staydown/sweep/parallel"
)

// Explain returns the full calculation of the worst step of a block for every piece that it touches. It fails, with the
// reason and what to do, if the program has no such line or cuts nothing there.
func (a *Analysis) Explain(line int) (result.Working, error) {
	k, errs := a.ExplainEach([]int{line})
	return k[0], errs[0]
}

// ExplainEach does the same for several lines, in their order, faster than separate calls of Explain.
func (a *Analysis) ExplainEach(lines []int) ([]result.Working, []error) {
	out, errs := make([]result.Working, len(lines)), make([]error, len(lines))
	steps := a.stepsOn(lines)
	modals := a.prog.ModalsAt(lines)
	parallel.For(a.workers, len(lines), func(_, i int) {
		out[i], errs[i] = a.explain(lines[i], steps[lines[i]], modals[i])
	})
	return out, errs
}

func (a *Analysis) explain(line int, steps []int, modal string) (result.Working, error) {
	k := result.Working{Program: a.prog.Name, Line: line, Units: a.units}
	if line < 1 || line > a.prog.Lines {
		return k, fmt.Errorf("the program has lines 1 to %d; name one of them", a.prog.Lines)
	}
	worst, order, err := a.worstOn(steps)
	if err != nil {
		return k, err
	}
	if len(order) == 0 {
		return k, fmt.Errorf("this block does not cut; choose a block that cuts, e.g. one from the findings")
	}
	decides := result.Section{Title: fmt.Sprintf("the deciding check, required margin %g", a.asked)}
	lastStep := -1
	var workings []result.Section
	for _, piece := range order {
		t := worst[piece]
		if t.step != lastStep {
			workings = append(workings, a.engagementSection(t), a.forceSection(t), a.vacuumSection(t))
			lastStep = t.step
		}
		sections, outcome, err := a.pieceSections(t)
		if err != nil {
			return k, err
		}
		workings = append(workings, append(sections, a.doubtSections(t)...)...)
		decides.Rows = append(decides.Rows, deciding(piece, outcome))
	}
	k.Sections = append(k.Sections, result.Section{Title: "reading", Rows: []result.Row{{Text: modal}}}, decides)
	k.Sections = append(k.Sections, workings...)
	return k, nil
}

// deciding is the row of the check with the least margin of a piece.
func deciding(piece int32, o contact.Outcome) result.Row {
	what := fmt.Sprintf("piece %d", piece)
	if o.Mode == contact.None || math.IsInf(o.Margin, 1) {
		return text(what, "none: nothing in this block moves it")
	}
	return text(what, fmt.Sprintf("%s, margin %.4g", o.Mode, o.Margin))
}

// stepsOn lists the steps of each line, in their order.
func (a *Analysis) stepsOn(lines []int) map[int][]int {
	out := map[int][]int{}
	for _, line := range lines {
		out[line] = nil
	}
	for step := range a.rec.Steps.Len() {
		line := int(a.prog.Moves.At(int(a.rec.Steps.At(step).Move)).Line)
		if steps, ok := out[line]; ok {
			out[line] = append(steps, step)
		}
	}
	return out
}

// worstOn re-runs steps and keeps the worst trial of each piece. order lists the pieces by margin, least first.
func (a *Analysis) worstOn(steps []int) (worst map[int32]trial, order []int32, err error) {
	worst = map[int32]trial{}
	for index := range a.air {
		e := &a.air[index]
		first, _ := slices.BinarySearch(steps, e.firstStep)
		end, _ := slices.BinarySearch(steps, e.lastStep)
		if first >= end {
			continue
		}
		state := a.epochState(index, e.state.Chuck, change{})
		for _, step := range steps[first:end] {
			err = state.trials(step, func(t trial) {
				if old, ok := worst[t.piece]; !ok || t.worse(old) {
					worst[t.piece] = t
				}
			})
			if err != nil {
				return nil, nil, err
			}
		}
	}
	for i := range a.rec.Pieces {
		if _, ok := worst[int32(a.rec.Pieces[i].ID)]; ok {
			order = append(order, int32(a.rec.Pieces[i].ID))
		}
	}
	slices.SortStableFunc(order, func(p, q int32) int { return cmp.Compare(worst[p].margin, worst[q].margin) })
	return worst, order, nil
}

func text(what, value string) result.Row { return result.Row{What: what, Text: value} }

// shownMM is the rounding of heights in a calculation: the sweep keeps them in single precision.
const shownMM = 0.001

// programmed is the cut of a step as programmed.
func (a *Analysis) programmed(s *sweep.Step) cutload.Cut {
	cut := a.loads.Cut(s, steploads.Change{})
	cut.DepthMM = math.Round(cut.DepthMM/shownMM) * shownMM
	cut.TipGapMM = math.Round(cut.TipGapMM/shownMM) * shownMM
	return cut
}

func (a *Analysis) engagementSection(t trial) result.Section {
	s := a.rec.Steps.At(t.step)
	m := a.prog.Moves.At(int(s.Move))
	cut := a.programmed(s)
	rows := []result.Row{
		{What: "time", Symbol: "t", Value: t.timeS, Unit: "s"},
		text("place", fmt.Sprintf("%s, material met from Z%s to %s", a.units.Coordinates(t.at[0], t.at[1]),
			a.units.Place().Number(float64(s.LowMM)), a.units.Height(float64(s.HighMM)))),
		{What: "axial depth of the cut", Symbol: "ap", Value: cut.DepthMM, Unit: "mm", Source: "sweep"},
		{What: "radial width of the cut", Symbol: "ae", Value: cut.WidthMM, Unit: "mm", Source: "sweep"},
		text("kind of cut", flagWords(s.Flags)),
	}
	if s.LeftRad <= s.RightRad {
		rows = append(rows, text("direction", "the side on which the cutter pushes is unknown: all "+
			"directions are tried"))
	}
	return result.Section{Title: fmt.Sprintf("engagement, tool %d", m.Tool), Rows: rows}
}

// flagWords describes the flags of a step.
func flagWords(f sweep.StepFlags) string {
	out := ""
	for _, w := range []struct {
		flag sweep.StepFlags
		word string
	}{
		{sweep.FullWidth, "full width"}, {sweep.Plunge, "plunge"}, {sweep.Breakthrough, "breaks through"},
		{sweep.Rub, "rubs, removes nothing"}, {sweep.LeftWall, "wall on the left"},
		{sweep.RightWall, "wall on the right"},
		{sweep.ChuckCut, "tip in the layer"}, {sweep.RapidCut, "at rapid"}, {sweep.OverReach, "deeper than the flutes"},
		{sweep.Retract, "on the way up"},
	} {
		if f&w.flag != 0 {
			if out != "" {
				out += ", "
			}
			out += w.word
		}
	}
	return out
}

func (a *Analysis) forceSection(t trial) result.Section {
	s := a.rec.Steps.At(t.step)
	section := result.Section{Title: "force of the cutter on the material"}
	_, terms, err := a.loads.Cuts.Explain(a.job.Tools[int(a.prog.Moves.At(int(s.Move)).Tool)], a.programmed(s))
	if err != nil {
		section.Rows = []result.Row{{Text: a.wordsOf(err)}}
		return section
	}
	section.Rows = terms
	return section
}

func (a *Analysis) vacuumSection(t trial) result.Section {
	e := &a.air[t.epoch]
	j := a.job
	rows := []result.Row{
		{What: "air pressure", Symbol: "pa", Value: j.AmbientPa / 1000, Unit: "kPa", Source: "job file, site"},
		{What: "conductance of layer and work", Symbol: "G", Formula: "sum of k A / length over the exposed layer, " +
			"and over the work if air passes through it", Value: e.leak.ConductanceM3, Unit: "m3"},
		{What: "openings into the chuck", Symbol: "Ae", Formula: "sum of discharge coefficient times area",
			Value: e.leak.OrificeMM2, Unit: "mm2"},
		{What: "leak, free air", Symbol: "Q",
			Formula: "(pa^2 - pv^2) G / (2 mu R T) as a volume at pa, plus openings " +
				"and hoses", Value: e.state.LeakM3h, Unit: "m3/h", Source: "Darcy's law, ideal gas"},
		{What: "pressure at the pump", Symbol: "pp", Formula: "where the pump's flow equals the leak",
			Value: e.state.PumpPa / 1000, Unit: "kPa"},
		{What: "flow of the pump there", Symbol: "S", Value: airflow.PumpFlowM3h(j.Pump, j.AmbientPa, e.state.PumpPa),
			Unit: "m3/h", Source: "job file, pump"},
		{What: "pressure in the chuck", Symbol: "pv", Formula: "pp plus the losses of hoses, valves, ports and " +
			"grooves, if the job gives them; of the weakest zone with material on it", Value: e.state.ChuckPa / 1000,
			Unit: "kPa"},
		{What: "vacuum", Symbol: "dp", Formula: "pa - pv", Value: e.state.VacuumPa() / 1000, Unit: "kPa"},
		text("leakage computed for", fmt.Sprintf("the table as cut at %.1f s (line %d)", a.clock.TimeS(e.until),
			a.clock.LineOf(e.until))),
	}
	if e.state.ZonesPa != nil {
		for i, zone := range j.Zones {
			rows = append(rows, result.Row{What: "pressure in zone " + zone.Name, Value: e.state.ZonesPa[i+1] / 1000,
				Unit: "kPa"})
		}
	}
	return result.Section{Title: "vacuum", Rows: rows}
}

// pieceSections writes down the hold of a piece, the load on it and every check, and returns the outcome of the
// deciding one.
func (a *Analysis) pieceSections(t trial) ([]result.Section, contact.Outcome, error) {
	var none contact.Outcome
	e := &a.air[t.epoch]
	p := &a.rec.Pieces[t.piece-1]
	key := bodyKey{piece: t.piece, section: t.section, alone: t.alone}
	if !t.alone && !a.job.Stock.Material.Ductile {
		key.section = 0
	}
	body := a.bodyOf(e, key, e.state.Chuck, change{})
	body.Webs, body.Enough = a.websOf(key, change{}), 0
	support, err := contact.NewSupport(body)
	if err != nil {
		return nil, none, err
	}
	loads, load, err := a.loads.All(a.rec.Steps.At(t.step), steploads.Change{}, nil)
	if err != nil {
		return nil, none, err
	}
	if t.part != wholeStep {
		s := a.rec.Steps.At(t.step)
		m := a.prog.Moves.At(int(s.Move))
		loads = a.loads.Put(load, s, toolpath.Along(&m, t.part), loads[:0])
	}
	sections := []result.Section{a.holdSection(t, p, body, support)}
	if t.section > 0 {
		sections = append(sections, a.joinSection(p, t))
	}
	outcome, at := support.Worst(loads)
	if at < 0 {
		return sections, outcome, nil
	}
	if outcome.Margin < 1 {
		outcome, at = support.LoadShare(loads, outcome, at)
	}
	name := fmt.Sprintf("piece %d", p.ID)
	sections = append(sections, a.loadSection(name, loads[at]))
	shown := loads[at]
	if outcome.Margin < 1 && outcome.Margin > 0 {
		shown = shown.Part(outcome.Margin)
		sections = append(sections, result.Section{Title: "share of this load that " + name + " can take",
			Rows: []result.Row{
				{What: "margin", Symbol: "m", Formula: "largest share of the whole load at which every check below " +
					"is 1 or more",
					Value: outcome.Margin},
				text("the checks below", "use the load multiplied by m"),
			}})
	}
	all := support.All(shown)
	return append(sections, checkSections(name, all[:], outcome.Mode)...), outcome, nil
}

// holdSection lists what presses a piece down and what friction makes of it.
func (a *Analysis) holdSection(t trial, p *sweep.Piece, body contact.Body, support *contact.Support) result.Section {
	var area, force, mean float64
	for _, q := range body.Elements {
		area += q.AreaMM2
		force += q.AreaMM2 * q.PressurePa * 1e-6
	}
	if area > 0 {
		mean = force / area * 1000
	}
	from := "the stock"
	switch {
	case t.section > 0:
		from = fmt.Sprintf("joined by necks since line %d", a.clock.LineOf(p.OnNeckFrom()))
	case p.ComesFree():
		from = fmt.Sprintf("freed at line %d", a.clock.LineOf(p.Freed))
	}
	out := result.Section{Title: fmt.Sprintf("hold of piece %d (%s)", p.ID, from), Rows: []result.Row{
		{What: "area when freed", Symbol: "A0", Value: p.AreaMM2, Unit: "mm2", Source: "sweep"},
		{What: "held area now", Symbol: "A", Value: area, Unit: "mm2", Source: "on open zones, less what is cut away"},
		{What: "mean pressure difference under it", Symbol: "q", Formula: "mean of pa - sqrt(pa^2 - w (pa^2 - pv^2))",
			Value: mean, Unit: "kPa"},
		{What: "pressure force", Symbol: "P", Formula: "q A", Value: force, Unit: "N"},
		{What: "weight", Symbol: "W", Formula: "density x volume x 9.80665 m/s2", Value: body.WeightN, Unit: "N",
			Source: a.job.Stock.Material.Density.Source},
	}}
	formula := "P + W"
	if clamps := a.clampRows(p, a.air[t.epoch].until); len(clamps) > 0 {
		out.Rows, formula = append(out.Rows, clamps...), "P + W + C"
	}
	out.Rows = append(out.Rows,
		result.Row{What: "hold", Symbol: "N", Formula: formula, Value: support.NormalN(), Unit: "N"},
		result.Row{What: "friction", Symbol: "mu", Value: body.Friction,
			Source: "job file, of the open zones under the piece"},
		text("center of pressure", a.units.Coordinates(support.Center()[0], support.Center()[1])),
		result.Row{What: "largest moment without force", Symbol: "Mmax", Formula: "sum of mu p dA times distance",
			Value: support.MaxTwistNmm(), Unit: "N mm"})
	if body.Anchored {
		out.Rows = append(out.Rows, text("anchored", "also screwed or clamped, so loss of vacuum cannot move it"))
	}
	return out
}

// loadSection lists the components of a load.
func (a *Analysis) loadSection(name string, l contact.Load) result.Section {
	return result.Section{Title: "worst load on " + name, Rows: []result.Row{
		text("place", fmt.Sprintf("%s, %s above the layer", a.units.Coordinates(l.X, l.Y),
			a.units.Depth().Text(l.HeightMM))),
		{What: "force along X", Symbol: "Lx", Value: l.XN, Unit: "N"},
		{What: "force along Y", Symbol: "Ly", Value: l.YN, Unit: "N"},
		{What: "horizontal force", Symbol: "H", Formula: "sqrt(Lx^2 + Ly^2)", Value: math.Hypot(l.XN, l.YN), Unit: "N"},
		{What: "vertical force, up positive", Symbol: "V", Value: l.ZN, Unit: "N"},
		{What: "moment about the tool axis", Symbol: "Mz", Value: l.TorqueNmm, Unit: "N mm"},
	}}
}

// checkSections lists the steps of every check and marks the deciding one.
func checkSections(name string, outcomes []contact.Outcome, decides contact.Mode) []result.Section {
	var out []result.Section
	for _, o := range outcomes {
		s := result.Section{Title: fmt.Sprintf("%s of %s", o.Mode, name)}
		if o.Mode == decides {
			s.Title += ": decides"
		}
		for _, step := range o.Steps {
			s.Rows = append(s.Rows, result.Row{What: step.What, Formula: step.Formula, Value: step.Value,
				Unit: step.Unit})
		}
		if o.Reason != "" {
			s.Rows = append(s.Rows, text("note", o.Reason))
		}
		out = append(out, s)
	}
	return out
}

// clampRows lists the clamps that press a piece.
func (a *Analysis) clampRows(p *sweep.Piece, at sweep.Progress) []result.Row {
	var rows []result.Row
	total := 0.0
	a.clamps.Each(p, at, func(clamp *job.Clamp, press contact.Press) {
		total += press.ForceN
		rows = append(rows, text("clamp "+clamp.Name, fmt.Sprintf("presses with %s of its %s at %s",
			a.units.Force().Text(press.ForceN), a.units.Force().Text(clamp.ForceN), a.units.Coordinates(press.X,
				press.Y))))
	})
	if total > 0 {
		rows = append(rows, result.Row{What: "clamps", Symbol: "C", Formula: "sum of what presses", Value: total,
			Unit:   "N",
			Source: "job file, clamp"})
	}
	return rows
}
