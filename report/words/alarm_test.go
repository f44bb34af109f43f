package words

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// Settings are what a vacuum is needed for, so they are rounded up: 58.33 kPa is 58.4 kPa, or 584 mbar.
func TestWordsOfAlarmAndPump(t *testing.T) {
	nan := math.NaN()
	stretch := func(line int, set, never float64) result.AlarmSetting {
		return result.AlarmSetting{Line: line, SetKPa: set, NeverBelowKPa: never}
	}
	two := []result.AlarmSetting{stretch(2, 58.33, 31.11), stretch(16, 4.8, 2.53)}
	vacuum := func(least, set, never, pump float64, settings ...result.AlarmSetting) result.Vacuum {
		return result.Vacuum{
			LeastKPa: least, AlarmSetpointKPa: set, NeverBelowKPa: never, PumpNeededM3h: pump, Settings: settings,
		}
	}
	for _, c := range []struct {
		name        string
		verdict     result.Verdict
		v           result.Vacuum
		alarm, pump string
	}{
		{"one setting", result.Held, vacuum(60, 58.33, 31.11, 40),
			"set the alarm at 58.4 kPa (584 mbar); never below 31.2 kPa (312 mbar)", "pump needed: 40 m3/h"},
		{"held without one setting", result.Held, vacuum(50, nan, 31.11, 40, two...),
			"reset the alarm at tool changes and stops: 58.4 kPa (584 mbar) from line 2, " +
				"4.8 kPa (48 mbar) from line 16; never below 31.2 kPa (312 mbar)",
			"pump needed: 40 m3/h"},
		{"held, one stretch, no setting", result.Held, vacuum(50, nan, nan, 40, stretch(2, nan, nan)),
			"no alarm setting keeps margin 2.00 everywhere", "pump needed: 40 m3/h"},
		{"at risk", result.AtRisk, vacuum(50, nan, 45, nan),
			"no alarm setting keeps margin 2.00 everywhere; never below 45.0 kPa (450 mbar)",
			"no pump of this type, of any size, would be enough"},
		{"loose", result.Loose, vacuum(50, nan, nan, nan, two...),
			"no alarm setting makes every block safe: do not run the program as it is",
			"no pump of this type, of any size, would be enough"},
		{"on tabs that need no vacuum", result.Held, vacuum(50, 0, 0, 0), "no vacuum is needed", "pump needed: 0 m3/h"},
		{"not fully read", result.Incomplete, vacuum(nan, nan, nan, nan),
			"unknown: the program was not fully read", "needed flow unknown: the program was not fully read"},
	} {
		r := &result.Result{Verdict: c.verdict, Margin: 2, Vacuum: c.v}
		if got := Alarm(r); got != c.alarm {
			t.Errorf("%s: alarm %q, want %q", c.name, got, c.alarm)
		}
		if got := Pump(&result.Result{Vacuum: c.v}); got != c.pump {
			t.Errorf("%s: pump %q, want %q", c.name, got, c.pump)
		}
		if whole := Vacuum(r); c.verdict == result.Held && strings.Contains(whole, "do not run") {
			t.Errorf("%s: a held program is forbidden: %q", c.name, whole)
		}
	}
}
