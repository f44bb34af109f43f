package parse

import "testing"

// The speed of the job stands in where the program names none: that of the tool before that of the machine; S comes
// before both, and S0 is a speed as well (this package). Figures as given.
func TestSpeedOfTheJob(t *testing.T) {
	job := func(o *Options) {
		o.RPM = 9000
		o.Tools[2] = Tool{DiameterMM: 10, RPM: 18000}
	}
	for _, c := range []struct {
		name, program string
		rpm           float64
		spindle       Spindle
	}{
		{"of the machine", "T1 M6 M3 | G1 X1 F60 | M30", 9000, SpindleClockwise},
		{"of the tool", "T2 M6 M4 | G1 X1 F60 | M30", 18000, SpindleCounterclockwise},
		{"S of the program", "T2 M6 M3 S500 | G1 X1 F60 | M30", 500, SpindleClockwise},
		{"S0", "T2 M6 M3 S0 | G1 X1 F60 | M30", 0, SpindleClockwise},
		{"stopped", "T2 M6 M3 | M5 | G1 X1 F60 | M30", 0, SpindleStopped},
		{"started by hand", "T2 M6 | G1 X1 F60 | M5 | M30", 18000, SpindleClockwise},
		{"started too late", "T2 M6 | G1 X1 F60 | M3 | M30", 0, SpindleStopped},
	} {
		p := read(t, "G21 "+c.program, job)
		m := p.Moves.At(p.Moves.Len() - 1)
		if m.RPM != c.rpm || m.Spindle != c.spindle {
			t.Errorf("%s: S%g %d, want S%g %d", c.name, m.RPM, m.Spindle, c.rpm, c.spindle)
		}
		if u := unreadNotes(p); len(u) > 0 {
			t.Errorf("%s: %v", c.name, u)
		}
	}
	p := read(t, "G21 G95 M3 | G1 X10 F0.1 | M30", func(o *Options) { o.RPM = 1000 })
	if got := p.Moves.At(0).FeedMMMin; !near(got, 100, 1e-9) { // 1000 turns of 0.1 mm a minute
		t.Errorf("feed per revolution: %g mm/min, want 100", got)
	}
	if p := read(t, "G21 T1 M6 | G1 X1 F60 | M30"); p.Moves.At(0).RPM != 0 {
		t.Errorf("no speed anywhere: S%g", p.Moves.At(0).RPM)
	}
}
