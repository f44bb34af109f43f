package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/cutload"
	"staydown/sweep"
)

// Explain gives the working of the worst step of a block on every piece that it touches. It fails, with a reason and
// what to do, when the program has no such line or nothing is cut there.
func (a *Analysis) Explain(line int) (Working, error) {
	k, errs := a.ExplainEach([]int{line})
	return k[0], errs[0]
}

// ExplainEach does the same for several lines, in their order, and is quicker than as many calls of Explain.
func (a *Analysis) ExplainEach(lines []int) ([]Working, []error) {
	out, errs := make([]Working, len(lines)), make([]error, len(lines))
	steps := a.stepsOn(lines)
	modals := a.prog.ModalsAt(lines)
	for i, line := range lines {
		out[i], errs[i] = a.explain(line, steps[line], modals[i])
	}
	return out, errs
}

func (a *Analysis) explain(line int, steps []int, modal string) (Working, error) {
	k := Working{Program: a.prog.Name, Line: line}
	if line < 1 || line > a.prog.Lines {
		return k, fmt.Errorf("the program has lines 1 to %d; name one of them", a.prog.Lines)
	}
	worst, order, err := a.worstOn(steps)
	if err != nil {
		return k, err
	}
	if len(order) == 0 {
		return k, fmt.Errorf("nothing is cut or touched on this line; name a line that a finding names, or one that " +
			"cuts")
	}
	decides := Section{Title: fmt.Sprintf("the check that decides, margin %g asked for", a.asked)}
	lastStep := -1
	var workings []Section
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
		workings = append(workings, sections...)
		decides.Rows = append(decides.Rows, deciding(piece, outcome))
	}
	k.Sections = append(k.Sections, Section{Title: "reading", Rows: []Row{{Text: modal}}}, decides)
	k.Sections = append(k.Sections, workings...)
	return k, nil
}

// deciding names the check with the least margin of a piece.
func deciding(piece int32, o contact.Outcome) Row {
	what := fmt.Sprintf("piece %d", piece)
	if o.Mode == contact.None || math.IsInf(o.Margin, 1) {
		return text(what, "none: nothing on this line moves it")
	}
	return text(what, fmt.Sprintf("%s, margin %.4g", o.Mode, o.Margin))
}

// stepsOn lists the steps of each line, in their order.
func (a *Analysis) stepsOn(lines []int) map[int][]int {
	out := map[int][]int{}
	for _, line := range lines {
		out[line] = nil
	}
	for step := range a.rec.Steps {
		line := int(a.prog.Moves.At(int(a.rec.Steps[step].Move)).Line)
		if steps, ok := out[line]; ok {
			out[line] = append(steps, step)
		}
	}
	return out
}

// worstOn re-runs steps and keeps the worst trial of each piece, with the pieces in the order of their margins, the
// least first.
func (a *Analysis) worstOn(steps []int) (worst map[int32]trial, order []int32, err error) {
	worst = map[int32]trial{}
	for index := range a.air {
		e := &a.air[index]
		first, _ := slices.BinarySearch(steps, e.firstStep)
		end, _ := slices.BinarySearch(steps, e.lastStep)
		if first >= end {
			continue
		}
		setting := a.setting(index, e.state.ChuckPa, change{})
		for _, step := range steps[first:end] {
			err = setting.trials(step, func(t trial) {
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

func text(what, value string) Row { return Row{What: what, Text: value} }

// shownMM is what heights in a working are rounded to: the sweep keeps them in single precision.
const shownMM = 0.001

// programmed is the cut of a step as the program says it.
func (a *Analysis) programmed(s *sweep.Step) cutload.Cut {
	cut := a.cutOf(s, change{})
	cut.DepthMM = math.Round(cut.DepthMM/shownMM) * shownMM
	cut.TipGapMM = math.Round(cut.TipGapMM/shownMM) * shownMM
	return cut
}

func (a *Analysis) engagementSection(t trial) Section {
	s := &a.rec.Steps[t.step]
	m := a.prog.Moves.At(int(s.Move))
	cut := a.programmed(s)
	rows := []Row{
		{What: "time", Symbol: "t", Value: t.timeS, Unit: "s"},
		text("place", fmt.Sprintf("X%.3f Y%.3f, material met from Z%.3f to Z%.3f mm", t.at[0], t.at[1], s.LowMM,
			s.HighMM)),
		{What: "axial depth of the cut", Symbol: "ap", Value: cut.DepthMM, Unit: "mm", Source: "sweep"},
		{What: "radial width of the cut", Symbol: "ae", Value: cut.WidthMM, Unit: "mm", Source: "sweep"},
		text("kind of cut", flagWords(s.Flags)),
	}
	if s.LeftRad <= s.RightRad {
		rows = append(rows, text("direction", "the sweep cannot tell on which side the cutter pushes: all "+
			"directions are tried"))
	}
	return Section{Title: fmt.Sprintf("engagement, tool %d", m.Tool), Rows: rows}
}

// flagWords says what a step does.
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

func (a *Analysis) forceSection(t trial) Section {
	s := &a.rec.Steps[t.step]
	section := Section{Title: "force of the cutter on the material"}
	_, terms, err := a.cuts.Explain(a.job.Tools[int(a.prog.Moves.At(int(s.Move)).Tool)], a.programmed(s))
	if err != nil {
		section.Rows = []Row{{Text: err.Error()}}
		return section
	}
	section.Rows = terms
	return section
}

func (a *Analysis) vacuumSection(t trial) Section {
	e := &a.air[t.epoch]
	j := a.job
	rows := []Row{
		{What: "air pressure", Symbol: "pa", Value: j.AmbientPa / 1000, Unit: "kPa", Source: "job file, site"},
		{What: "conductance of layer and work", Symbol: "G", Formula: "sum over the exposed layer of k A / length, " +
			"and where air passes the work", Value: e.leak.ConductanceM3, Unit: "m3"},
		{What: "openings into the chuck", Symbol: "Ae", Formula: "sum of discharge coefficient times area",
			Value: e.leak.OrificeMM2, Unit: "mm2"},
		{What: "leak, free air", Symbol: "Q", Formula: "(pa^2 - pv^2) G / (2 mu R T) as a volume at pa, openings " +
			"and hoses added", Value: e.state.LeakM3h, Unit: "m3/h", Source: "Darcy's law, ideal gas"},
		{What: "pressure at the pump", Symbol: "pp", Formula: "where the pump draws what leaks",
			Value: e.state.PumpPa / 1000, Unit: "kPa"},
		{What: "the pump draws there", Symbol: "S", Value: airflow.PumpFlowM3h(j.Pump, j.AmbientPa, e.state.PumpPa),
			Unit: "m3/h", Source: "job file, pump"},
		{What: "pressure in the chuck", Symbol: "pv", Formula: "pp and what hose, valve, ports and grooves lose, as " +
			"far as the job gives them", Value: e.state.ChuckPa / 1000, Unit: "kPa"},
		{What: "vacuum", Symbol: "dp", Formula: "pa - pv", Value: e.state.VacuumPa() / 1000, Unit: "kPa"},
		text("exposed as at", fmt.Sprintf("%.1f s (line %d)", a.timeS(e.until), a.lineOf(e.until))),
	}
	return Section{Title: "vacuum", Rows: rows}
}

// pieceSections writes down the hold of a piece, the load on it and every check, and gives the outcome of the one that
// decides.
func (a *Analysis) pieceSections(t trial) ([]Section, contact.Outcome, error) {
	var none contact.Outcome
	e := &a.air[t.epoch]
	p := &a.rec.Pieces[t.piece-1]
	key := bodyKey{piece: t.piece, section: t.section, alone: t.alone}
	if !t.alone && !a.job.Stock.Material.Ductile {
		key.section = 0
	}
	body := a.bodyOf(e, key, e.state.ChuckPa, change{})
	body.Webs, body.Enough = a.websOf(key, change{}), 0
	support, err := contact.NewSupport(body)
	if err != nil {
		return nil, none, err
	}
	var area, force float64
	for _, q := range body.Patches {
		area += q.AreaMM2
		force += q.AreaMM2 * q.PressurePa * 1e-6
	}
	mean := 0.0
	if area > 0 {
		mean = force / area * 1000
	}
	name := fmt.Sprintf("piece %d", p.ID)
	from := "the stock"
	switch {
	case t.section > 0:
		from = fmt.Sprintf("on necks since line %d", a.lineOf(onNeck(p)))
	case p.Freed > 0 && p.Freed < sweep.Never:
		from = fmt.Sprintf("freed at line %d", a.lineOf(p.Freed))
	}
	hold := Section{Title: fmt.Sprintf("hold of %s (%s)", name, from), Rows: []Row{
		{What: "area when it was freed", Symbol: "A0", Value: p.AreaMM2, Unit: "mm2", Source: "sweep"},
		{What: "held area now", Symbol: "A", Value: area, Unit: "mm2", Source: "on open zones, less what is cut away"},
		{What: "mean pressure difference under it", Symbol: "q", Formula: "mean of pa - sqrt(pa^2 - w (pa^2 - pv^2))",
			Value: mean, Unit: "kPa"},
		{What: "pressure force", Symbol: "P", Formula: "q A", Value: force, Unit: "N"},
		{What: "weight", Symbol: "W", Formula: "density x volume x 9.80665 m/s2", Value: body.WeightN, Unit: "N",
			Source: a.job.Stock.Material.Density.Source},
	}}
	formula := "P + W"
	if clamps := a.clampRows(p, e.until); len(clamps) > 0 {
		hold.Rows, formula = append(hold.Rows, clamps...), "P + W + C"
	}
	hold.Rows = append(hold.Rows, []Row{
		{What: "hold", Symbol: "N", Formula: formula, Value: support.NormalN(), Unit: "N"},
		{What: "friction", Symbol: "mu", Value: body.Friction, Source: "job file, of the open zones that it lies on"},
		text("centre of pressure", fmt.Sprintf("X%.2f Y%.2f mm", support.Centre()[0], support.Centre()[1])),
		{What: "greatest moment without force", Symbol: "Mmax", Formula: "sum of mu p dA times distance",
			Value: support.MaxTwistNmm(), Unit: "N mm"},
	}...)
	if body.Anchored {
		hold.Rows = append(hold.Rows, text("anchored", "screwed or clamped as well: nothing that the vacuum does "+
			"moves it"))
	}
	loads, load, err := a.loadsOf(&a.rec.Steps[t.step], change{}, nil)
	if err != nil {
		return nil, none, err
	}
	sections := []Section{hold}
	if t.part != wholeStep {
		s := &a.rec.Steps[t.step]
		m := a.prog.Moves.At(int(s.Move))
		loads = a.put(load, s, along(&m, t.part), loads[:0])
	}
	if t.section > 0 {
		sections = append(sections, a.joinSection(p, t))
	}
	outcome, at := support.Worst(loads)
	if at < 0 {
		return sections, outcome, nil
	}
	l := loads[at]
	if outcome.Margin < 1 {
		outcome, at = standing(support, loads, outcome, at)
		l = loads[at]
	}
	sections = append(sections, Section{Title: "load on " + name + " where it is worst", Rows: []Row{
		text("place", fmt.Sprintf("X%.3f Y%.3f, %.2f mm above the layer", l.X, l.Y, l.HeightMM)),
		{What: "force along X", Symbol: "Lx", Value: l.XN, Unit: "N"},
		{What: "force along Y", Symbol: "Ly", Value: l.YN, Unit: "N"},
		{What: "horizontal force", Symbol: "H", Formula: "sqrt(Lx^2 + Ly^2)", Value: math.Hypot(l.XN, l.YN), Unit: "N"},
		{What: "vertical force, up positive", Symbol: "V", Value: l.ZN, Unit: "N"},
		{What: "moment about the tool's axis", Symbol: "Mz", Value: l.TorqueNmm, Unit: "N mm"},
	}})
	shown := l
	if outcome.Margin < 1 && outcome.Margin > 0 {
		shown = part(l, outcome.Margin)
		sections = append(sections, Section{Title: "share of this load that " + name + " stands", Rows: []Row{
			{What: "margin", Symbol: "m", Formula: "largest share of all parts of the load at which every check " +
				"below is 1 or more", Value: outcome.Margin},
			text("the checks below", "are those of the load times m"),
		}})
	}
	for _, o := range support.All(shown) {
		s := Section{Title: fmt.Sprintf("%s of %s", o.Mode, name)}
		if o.Mode == outcome.Mode {
			s.Title += ": decides"
		}
		for _, step := range o.Steps {
			s.Rows = append(s.Rows, Row{What: step.What, Symbol: "", Formula: step.Formula, Value: step.Value,
				Unit: step.Unit})
		}
		if o.Reason != "" {
			s.Rows = append(s.Rows, text("note", o.Reason))
		}
		sections = append(sections, s)
	}
	return sections, outcome, nil
}
