package hold

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"
)

// vacuum gives what the gauge shows, by the lowest of each interval; the operating figures stay unknown.
func (a *Analysis) vacuum(lows []low) result.Vacuum {
	low, v := lowestOf(lows), result.UnknownVacuum()
	v.AmbientKPa, v.StartKPa = a.job.AmbientPa/kilo, a.vacuumPa(0)/kilo
	v.LeastKPa, v.LeastLine = low.vacuumPa/kilo, low.line
	return v
}

// operate adds the operating figures. If there is no single setpoint it adds the settings by interval and returns a
// finding that names them. unheld are the findings of pieces that no vacuum holds.
func (a *Analysis) operate(v *result.Vacuum, lows []low, unheld []result.Finding) []result.Finding {
	searches := []needSearch{{a, a.onGauge(a.required), a.vacuumSupply()}}
	never := slices.Repeat([]need{{amount: math.Inf(1)}}, len(a.intervals))
	if a.options.Figures != SetpointFigures {
		searches = append(searches, needSearch{a, a.onGauge(a.limit), a.vacuumSupply()})
		if a.job.Pump.FlowM3h > 0 && !a.noVacuum { // no pump holds what is cut while it is off
			searches = append(searches, needSearch{a, a.required, a.pumpSupply()})
		}
	}
	found := a.needs(searches)
	set := a.withUnheld(found[0], unheld)
	if len(found) > 1 {
		never = a.withUnheld(found[1], unheld)
	}
	if len(found) > 2 {
		v.PumpNeededM3h = smallestPump(a.withUnheld(found[2], unheld))
	}
	low, most := lowestOf(lows), largestOf(set)
	v.AlarmSetpointKPa, v.NeverBelowKPa = settingKPa(most, low), settingKPa(largestOf(never), low)
	if !math.IsNaN(v.AlarmSetpointKPa) {
		return nil
	}
	for i, in := range a.intervals {
		if !lows[i].cuts {
			continue
		}
		v.Settings = append(v.Settings, result.AlarmSetting{
			Line: in.Line, SetKPa: settingKPa(set[i], lows[i]), NeverBelowKPa: settingKPa(never[i], lows[i]),
		})
	}
	f := result.NewFinding(result.RuleSetpoint, result.LevelNote, most.line, 0, a.noSetpoint(most, low, v.Settings))
	f.Piece = most.piece
	return []result.Finding{f}
}

// onGauge gives the margins of the likely job to ask for at a vacuum that the gauge shows. What the shop's records make
// of a margin holds a share that comes of the vacuum alone, as a hold goes with it; the gauge shows that by itself.
func (a *Analysis) onGauge(margin marginOf) marginOf {
	return func(piece int32) float64 {
		steps := a.rangeOf(piece).steps
		if len(steps) == 0 {
			return margin(piece)
		}
		likely := a.air[steps[0].epoch].state.VacuumPa()
		if likely <= 0 {
			return margin(piece)
		}
		return margin(piece) * a.vacuumPa(steps[0].epoch) / likely
	}
}

// low is the lowest predicted vacuum of an interval and the first block with it.
type low struct {
	vacuumPa float64 // below ambient; +Inf where it was not computed
	line     int
	cuts     bool // something is cut in the interval
}

// lowest returns the lowest vacuum of each interval.
func (a *Analysis) lowest() []low {
	out := make([]low, len(a.intervals))
	for i := range out {
		out[i].vacuumPa = math.Inf(1)
	}
	for i := range a.air {
		e := &a.air[i]
		at := &out[e.interval]
		at.cuts = at.cuts || e.firstStep < e.lastStep
		if vacuum := a.vacuumPa(i); vacuum < at.vacuumPa {
			at.vacuumPa, at.line = vacuum, a.clock.LineOf(e.until)
			if e.firstStep < e.lastStep {
				at.line = int(a.prog.Moves.At(int(a.rec.Steps.At(e.firstStep).Move)).Line)
			}
		}
	}
	return out
}

func lowestOf(list []low) low {
	least := low{vacuumPa: math.Inf(1)}
	for _, l := range list {
		if l.vacuumPa < least.vacuumPa {
			least = l
		}
	}
	return least
}

func largestOf(list []need) need {
	var most need
	for _, n := range list {
		if n.amount > most.amount {
			most = n
		}
	}
	return most
}

// withUnheld adds the pieces that no vacuum holds: for their blocks no amount is enough.
func (a *Analysis) withUnheld(needs []need, unheld []result.Finding) []need {
	for _, f := range unheld {
		if f.Verdict() != result.Loose || f.Piece == 0 {
			continue
		}
		i := a.intervals.At(a.rec.Pieces[f.Piece-1].Freed)
		if !math.IsInf(needs[i].amount, 1) {
			needs[i] = need{math.Inf(1), f.Line, f.Piece}
		}
	}
	return needs
}

// settingKPa is the alarm setting for a need, NaN if the predicted vacuum does not reach it.
func settingKPa(n need, l low) float64 {
	if n.amount > l.vacuumPa {
		return math.NaN()
	}
	return n.amount / kilo
}

// smallestPump is the flow at no vacuum of the smallest pump of the job's kind that keeps the required margin, m3/h;
// NaN if none does.
func smallestPump(needs []need) float64 {
	if most := largestOf(needs).amount; !math.IsInf(most, 1) {
		return most
	}
	return math.NaN()
}

// maxSettings bounds the settings that a finding names.
const maxSettings = 12

// noSetpoint says why there is no single setpoint, and what to set instead.
func (a *Analysis) noSetpoint(most need, l low, settings []result.AlarmSetting) string {
	var b strings.Builder
	who := "the stock"
	if p := a.Result.PieceByID(most.piece); p != nil {
		who = p.Name(a.units)
	}
	fmt.Fprintf(&b, "no single alarm setting keeps margin %s everywhere: ", wording.Margin(a.asked))
	if math.IsInf(most.amount, 1) {
		fmt.Fprintf(&b, "no vacuum is enough for %s at line %d", who, most.line)
	} else {
		fmt.Fprintf(&b, "%s needs %s at line %d", who, a.units.Pressure().Up(most.amount/kilo), most.line)
	}
	fmt.Fprintf(&b, "; predicted minimum %s at line %d", a.units.Pressure().Down(l.vacuumPa/kilo), l.line)
	if len(settings) < 2 {
		return b.String()
	}
	b.WriteString("; at tool changes and stops set it to")
	for i, s := range settings {
		if i == maxSettings {
			fmt.Fprintf(&b, ", and so on for %d more", len(settings)-i)
			break
		}
		if i > 0 {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, " %s from line %d", alarmInWords(s, a.units), s.Line)
	}
	return b.String()
}

// alarmInWords is what to set.
func alarmInWords(s result.AlarmSetting, u units.System) string {
	if math.IsNaN(s.SetKPa) {
		return "none"
	}
	return u.Pressure().Up(s.SetKPa)
}
