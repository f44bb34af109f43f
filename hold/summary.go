package hold

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/cutload"
	"staydown/hold/internal/machine"
	"staydown/hold/internal/pieces"
	"staydown/hold/internal/progcheck"
	"staydown/hold/internal/steploads"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/sweep"
)

// noteTrial keeps the worst trial of every piece and the least margins of the timeline.
func (a *Analysis) noteTrial(t trial) {
	if old, ok := a.least[t.piece]; !ok || t.worse(old) {
		a.least[t.piece] = t
	}
	e := &a.air[t.epoch]
	if old, ok := e.least[t.piece]; !ok || t.worse(old) {
		e.least[t.piece] = t
	}
	a.noteCritical(t)
	a.marks.note(t, a.clock.TimeS(a.rec.Steps.At(t.step).End()))
}

// report assembles the result.
func (a *Analysis) report(runs []*stretch) {
	r, checks := a.Result, a.checks()
	a.measureBare()
	r.Pieces = a.pieces()
	runs = a.splitCrumbs(runs)
	for _, run := range runs {
		r.Findings = append(r.Findings, run.finding(&r.Pieces[run.piece-1], a.rangeOf(run.piece), a.units))
	}
	a.tooWeak = a.tooWeakPieces(runs)
	r.Findings = append(r.Findings, checks.Notes()...)
	r.Findings = append(r.Findings, checks.AskedMargin()...)
	r.Findings = append(r.Findings, checks.Unplaced()...)
	r.Findings = append(r.Findings, checks.NoCut()...)
	r.Findings = append(r.Findings, checks.Outside()...)
	r.Findings = append(r.Findings, checks.Chuck()...)
	r.Findings = append(r.Findings, checks.Collisions()...)
	r.Findings = append(r.Findings, checks.Flagged()...)
	r.Findings = append(r.Findings, a.pieceFindings()...)
	r.Findings = append(r.Findings, a.crumbFindings()...)
	r.Findings = append(r.Findings, a.milledFindings()...)
	unheld := a.unheldFindings()
	for _, f := range unheld {
		if !a.cutters.Crumb(&a.rec.Pieces[f.Piece-1]) {
			r.Findings = append(r.Findings, f)
		}
	}
	r.Findings = append(r.Findings, checks.Chips(a.sound)...)
	r.Findings = append(r.Findings, checks.Thickness()...)
	r.Findings = append(r.Findings, a.airFindings()...)
	r.Findings = append(r.Findings, a.cutDataFindings()...)
	r.Vacuum, r.LeakM3h = result.UnknownVacuum(), result.UnknownLeaks()
	if result.FullyRead(r.Findings) {
		lows := a.lowest()
		r.Vacuum, r.LeakM3h = a.vacuum(lows), a.leaks()
		if a.options.Figures != NoFigures && !a.options.proof {
			r.Findings = append(r.Findings, a.operate(&r.Vacuum, lows, unheld)...)
			r.Gauge = a.gauge()
			r.Findings = append(r.Findings, a.bareFinding()...)
		}
	}
	result.Sort(r.Findings)
	a.NumberFindings()
	r.Verdict = result.Judge(r.Findings)
	r.Chance = a.ranges.chance
	if id := a.ranges.decides; id > 0 {
		r.Doubts = a.ranges.doubts(a.ranges.pieces[id].steps[0].to)
	}
	r.Timeline = a.timeline()
	r.Tools = a.toolUses()
	r.Entries = a.entries()
}

// unheldFindings reports freed pieces over no open zone, or with all of their pressure lost.
func (a *Analysis) unheldFindings() []result.Finding {
	var out []result.Finding
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !p.ComesFree() || !a.unheld(p) {
			continue
		}
		f := result.NewFinding(result.RuleUnheld, result.LevelError, a.clock.LineOf(p.Freed), a.clock.TimeS(p.Freed),
			fmt.Sprintf("%s is not over any open vacuum zone once freed; only its weight holds it",
				a.Result.Pieces[i].Name(a.units)))
		f.Piece, f.At, f.HasAt = p.ID, p.Centroid, true
		f.HoldN, f.Margin = 0, 0
		out = append(out, f)
	}
	return out
}

// airFindings reports zones that are cut open and vacuum below the alarm.
func (a *Analysis) airFindings() []result.Finding {
	var out []result.Finding
	for i := range a.breaches {
		b := &a.breaches[i]
		vacuum := a.units.Pressure().Text(a.vacuumPa(a.epochIndex(b.At)) / kilo)
		message := fmt.Sprintf("zone %s is open: vacuum drops to %s", b.Zone, vacuum)
		line := a.clock.LineOf(b.At)
		if b.At > 0 {
			message = fmt.Sprintf("zone %s is cut open at %s: vacuum drops to %s", b.Zone, a.units.Spot(b.X, b.Y),
				vacuum)
		}
		f := result.NewFinding(result.RuleSealOpen, result.LevelWarning, line, a.clock.TimeS(b.At), message)
		f.At, f.HasAt = orb.Point{b.X, b.Y}, true
		out = append(out, f)
	}
	if alarm := a.job.Pump.AlarmPa; alarm > 0 {
		for i := range a.air {
			e := &a.air[i]
			if a.vacuumPa(i) >= alarm {
				continue
			}
			at := sweep.Progress(0)
			if i > 0 {
				at = a.air[i-1].until
			}
			line := a.clock.LineOf(e.until)
			if e.firstStep < a.rec.Steps.Len() {
				s := a.rec.Steps.At(e.firstStep)
				at, line = s.Begin(), int(a.prog.Moves.At(int(s.Move)).Line)
			}
			f := result.NewFinding(result.RulePumpShort, result.LevelWarning, line, a.clock.TimeS(at),
				fmt.Sprintf("vacuum %s is below the alarm at %s", a.units.Pressure().Text(a.vacuumPa(i)/kilo),
					a.units.Pressure().Text(alarm/kilo)))
			f.LastTimeS, f.LastLine = a.clock.StartS(a.prog.Moves.Len()),
				a.clock.LineOf(sweep.Progress(a.prog.Moves.Len()))
			out = append(out, f)
			break
		}
	}
	return out
}

func (a *Analysis) epochIndex(p sweep.Progress) int {
	i, _ := slices.BinarySearchFunc(a.air, p, func(e epoch, p sweep.Progress) int { return cmp.Compare(e.until, p) })
	return min(i, len(a.air)-1)
}

// cutDataFindings reports steps with an implausible chip load, one for each reason with its tools.
func (a *Analysis) cutDataFindings() []result.Finding {
	if !a.nonsense.Load() {
		return nil
	}
	type fault struct {
		first  *sweep.Step
		reason string
		tools  []int
	}
	var faults []*fault
	seen := map[string]*fault{}
	for i := range a.rec.Steps.Len() {
		s := a.rec.Steps.At(i)
		tool := int(a.prog.Moves.At(int(s.Move)).Tool)
		err := a.implausible(s)
		if err == nil {
			continue
		}
		reason := a.wordsOf(err)
		f := seen[reason]
		if f == nil {
			f = &fault{first: s, reason: reason}
			seen[f.reason] = f
			faults = append(faults, f)
		}
		if !slices.Contains(f.tools, tool) {
			f.tools = append(f.tools, tool)
		}
	}
	var out []result.Finding
	for _, f := range faults {
		out = append(out, a.checks().AtStep(result.RuleCutData, result.LevelError, f.first,
			fmt.Sprintf("%s: %s", job.ToolNames(f.tools),
				f.reason)))
	}
	return out
}

// implausible tells what is wrong with the cut data of a step; nil: nothing.
func (a *Analysis) implausible(s *sweep.Step) error {
	tool := a.job.Tools[int(a.prog.Moves.At(int(s.Move)).Tool)]
	_, err := a.loads.Cuts.Cutting(tool, a.loads.Cut(s, steploads.Change{}))
	return err
}

func (a *Analysis) sound(s *sweep.Step) bool { return a.implausible(s) == nil }

// checks looks at the program without any vacuum.
func (a *Analysis) checks() *progcheck.Checks {
	return &progcheck.Checks{Prog: a.prog, Rec: a.rec, Job: a.job, Units: a.units, Clock: &a.clock,
		NotSwept: a.notSwept}
}

// wordsOf gives the text of an error in the shop's units.
func (a *Analysis) wordsOf(err error) string {
	var e *cutload.InputError
	if errors.As(err, &e) {
		return e.In(a.units)
	}
	return err.Error()
}

// heldArea is the smallest held area of a piece, mm2: of the stock at any time, of a freed piece after it is freed, of
// a piece that hangs to the end at the end; 0 for an unknown id.
func (a *Analysis) heldArea(id int) float64 {
	return a.held[id].LeastMM2
}

// pieces describes every piece with its worst trial.
func (a *Analysis) pieces() []result.Piece {
	var out []result.Piece
	retracts := pieces.Retracts(&a.prog.Moves, a.rec)
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		q := result.Piece{
			ID: p.ID, Freed: p.ComesFree(), AreaMM2: p.AreaMM2, HeldAreaMM2: a.heldArea(p.ID),
			FinalAreaMM2: p.FinalAreaMM2, Centroid: p.Centroid, SizeMM: pieces.SizeMM(a.rec, p), Outline: p.Outline,
			Chance: math.NaN(), Least: result.Least{Margin: math.Inf(1), Low: math.NaN(), High: math.NaN()},
		}
		if q.Freed {
			q.FreedLine, q.FreedTimeS, q.RetractLine = a.clock.LineOf(p.Freed), a.clock.TimeS(p.Freed), retracts[p.ID]
		}
		if p.Hung > 0 && p.Hung < sweep.Never {
			q.WebLine, q.WebTimeS = a.clock.LineOf(p.Hung), a.clock.TimeS(p.Hung)
			q.WebMM2 = p.WebMM2
		}
		if t, doubt, ok := a.leastOf(p.ID); ok {
			q.Least.Mode, q.Least.Line, q.Least.TimeS = t.mode, t.line, t.timeS
			q.Least.HoldN, q.Least.LoadN = t.holdN, t.loadN
			q.Least.Margin = t.margin * doubt.learned
			q.Least.Low, q.Least.High = math.Min(doubt.low, q.Least.Margin), math.Max(doubt.high, q.Least.Margin)
			q.Chance = doubt.chance
		}
		q.State = a.stateOf(p, q)
		out = append(out, q)
	}
	a.markAlike(out)
	return out
}

func (a *Analysis) stateOf(p *sweep.Piece, q result.Piece) result.State {
	switch {
	case a.cutters.Crumb(p):
		return result.StateSliver
	case q.Least.Margin < 1, q.Freed && a.unheld(p):
		return result.StateLoose
	case q.Freed && p.Class != sweep.Part:
		return result.StateSliver
	case q.Least.Low < a.asked, pieces.MilledAway(p):
		return result.StateAtRisk
	case a.nonsense.Load():
		return result.StateUnknown
	}
	return result.StateHeld
}

// markAlike numbers pieces of the same outline up to translation and quarter turns, and counts those of them that
// share their fate: state and mode. The stock is alone.
func (a *Analysis) markAlike(all []result.Piece) {
	type fate struct {
		shape int
		state result.State
		mode  result.Mode
		freed bool
	}
	count := map[fate]int{}
	fateOf := func(p *result.Piece) fate { return fate{p.Shape, p.State, p.Least.Mode, p.Freed} }
	for i, shape := range pieces.Shapes(a.rec) {
		all[i].Shape = shape
		count[fateOf(&all[i])]++
	}
	for i := range all {
		all[i].Alike = count[fateOf(&all[i])]
	}
}

// jobFacts is the part of the job that pictures and set-up sheets show.
func (a *Analysis) jobFacts() result.JobFacts {
	j := a.job
	f := result.JobFacts{
		Path: j.Path, Sources: j.Sources, Material: j.Stock.Material.Name, Layer: "none",
		AlarmKPa: j.Pump.AlarmPa / 1000,
		Pump: fmt.Sprintf("%s, %s, down to %s absolute", j.Pump.Kind, a.units.Flow().Text(j.Pump.FlowM3h),
			a.units.Absolute().Text(j.Pump.UltimatePa/kilo)),
		StockLowMM: j.Stock.BottomMM, StockTopMM: j.Stock.TopMM(),
	}
	if l := j.Layer; l != nil {
		name := l.Name
		if name == "" {
			name = "own layer"
		}
		f.Layer = fmt.Sprintf("%s, %s", name, a.units.Length().Text(l.ThicknessMM))
	}
	for _, z := range j.Zones {
		zone := result.ZoneFacts{Name: z.Name, Area: z.Area, Gasket: z.Seal == job.GasketSeal, Open: z.Open}
		if z.Groove != nil {
			zone.GroovePitchMM, zone.GrooveWidthMM = z.Groove.PitchMM, z.Groove.WidthMM
		}
		f.Zones = append(f.Zones, zone)
	}
	for _, c := range j.Clamps {
		f.Clamps = append(f.Clamps, result.ObstacleFacts{Name: "clamp " + c.Name, Footprint: c.Footprint})
	}
	for _, x := range j.Fixtures {
		f.Fixtures = append(f.Fixtures, result.ObstacleFacts{Name: "fixture " + x.Name, Footprint: x.Footprint})
	}
	f.Tools = toolFacts(j)
	f.Table = j.Machine.Table
	for _, b := range j.Stock.Blanks {
		f.StockOutline = append(f.StockOutline, b.Outline)
	}
	return f
}

func toolFacts(j *job.Job) []result.ToolFacts {
	var out []result.ToolFacts
	for _, n := range slices.Sorted(maps.Keys(j.Tools)) {
		t := j.Tools[n]
		f := result.ToolFacts{Number: n, Shape: t.Shape.String(), DiameterMM: t.DiameterMM, Flutes: t.Flutes,
			HelixRad: t.HelixRad}
		switch t.Shape {
		case sweep.Bull:
			f.CornerMM = t.CornerMM
		case sweep.Vee, sweep.Drill:
			f.AngleRad = t.AngleRad
		}
		out = append(out, f)
	}
	return out
}

// assumed lists every assumed value once, in the order of the packages.
func (a *Analysis) assumed() []string {
	checks := a.checks()
	var out []string
	lists := [][]string{
		a.prog.Assumed, a.job.Assumed.In(a.units), machine.CoolantStatements(a.prog, a.job), a.rec.Assumed,
		machine.HandStatements(a.prog, a.job), a.airAssumed,
		airflow.MissingDucts(a.job, a.weakest().state, a.units), modelStatements, a.rangeStatements(),
		a.Result.Records, a.clamps.Statements(), a.power.Statements(), checks.ObstacleStatements(),
		checks.SheetStatements(),
	}
	for _, list := range lists {
		for _, s := range list {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// modelStatements say where the model itself errs to the safe side.
var modelStatements = []string{
	"each piece that the cutter touches takes its full load",
	"leakage for each stretch of the program is computed with all the cuts made by its end",
}

// pictureEpochs chooses the epochs with a picture of the pressure: the first, the last, and others evenly between.
func pictureEpochs(n int) map[int]bool {
	out := map[int]bool{}
	for i := range min(n, result.MaxFields) {
		out[i*(n-1)/max(1, min(n, result.MaxFields)-1)] = true
	}
	return out
}
