package words

import (
	"fmt"
	"math"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"
)

// unknown replaces the operating figures of a program that was not fully read.
const unknown = "unknown: the program was not fully read"

// Vacuum is the vacuum, its alarm and the pump in one line.
func Vacuum(r *result.Result) string {
	v := r.Vacuum
	if !v.Known() {
		return unknown
	}
	return fmt.Sprintf("%s at the start, minimum %s; %s; %s", r.Units.Pressure().Text(v.StartKPa),
		r.Units.Pressure().Text(v.LeastKPa), Alarm(r), Pump(r))
}

// maxSettingsInWords bounds the settings of one sentence.
const maxSettingsInWords = 12

// Alarm says how to set the alarm of the machine. Only a program with a loose piece must not run.
func Alarm(r *result.Result) string {
	v := r.Vacuum
	below := ""
	if v.NeverBelowKPa > 0 {
		below = "; never below " + neededVacuum(r, v.NeverBelowKPa)
	}
	switch {
	case !v.Known():
		return unknown
	case v.AlarmSetpointKPa == 0:
		return "no vacuum is needed"
	case !math.IsNaN(v.AlarmSetpointKPa):
		return "set the alarm at " + neededVacuum(r, v.AlarmSetpointKPa) + below
	case r.Verdict == result.Loose:
		return "no alarm setting makes every block safe: do not run the program as it is"
	case !anySetting(v.Settings):
		return fmt.Sprintf("no alarm setting keeps margin %s everywhere", wording.Margin(r.Margin)) + below
	}
	var parts []string
	for i, s := range v.Settings {
		if i == maxSettingsInWords {
			parts = append(parts, fmt.Sprintf("and so on for %d more", len(v.Settings)-i))
			break
		}
		set := "no setting"
		if !math.IsNaN(s.SetKPa) {
			set = neededVacuum(r, s.SetKPa)
		}
		parts = append(parts, fmt.Sprintf("%s from line %d", set, s.Line))
	}
	return "reset the alarm at tool changes and stops: " + strings.Join(parts, ", ") + below
}

func anySetting(list []result.AlarmSetting) bool {
	for _, s := range list {
		if !math.IsNaN(s.SetKPa) {
			return len(list) > 1
		}
	}
	return false
}

// Pump says how large the pump must be.
func Pump(r *result.Result) string {
	v := r.Vacuum
	switch {
	case !v.Known():
		return "needed flow " + unknown
	case math.IsNaN(v.PumpNeededM3h):
		return "no pump of this type, of any size, would be enough"
	}
	return "pump needed: " + r.Units.Flow().Text(v.PumpNeededM3h)
}

// neededVacuum writes a vacuum that is needed, rounded up: in metric shops in kPa and mbar.
func neededVacuum(r *result.Result, kPa float64) string {
	text := r.Units.Pressure().Up(kPa)
	if r.Units != units.Inch {
		text += fmt.Sprintf(" (%.0f mbar)", math.Ceil(10*kPa-1e-9))
	}
	return text
}
