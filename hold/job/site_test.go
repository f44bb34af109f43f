package job_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/job"
)

// Pressures of the standard atmosphere at geopotential altitudes, ISO 2533:1975 (same as ICAO Doc 7488 and the 1976 US
// standard below 32 km). Those with three decimals in hPa are printed in its table; the others are given by public
// tables of the same standard at steps of 100 m.
func TestAtmosphere(t *testing.T) {
	for _, c := range []struct{ altitudeM, pa float64 }{
		{0, 101325.0}, {500, 95460.8}, {1000, 89874.6}, {1500, 84556.0}, {2000, 79495.2}, {2500, 74682.5},
		{3000, 70108.5},
		// feet: 1000 and 10000, the same standard
		{304.8, 97716.6}, {3048, 69681.6},
	} {
		if got := job.AtmospherePa(c.altitudeM); math.Abs(got-c.pa) > 0.1 {
			t.Errorf("%g m: %.2f Pa, want %.1f", c.altitudeM, got, c.pa)
		}
		text := fmt.Sprintf("[site]\naltitude = \"%g m\"\n%s", c.altitudeM, minimal)
		j, err := job.Parse("j.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(j.AmbientPa-c.pa) > 0.1 {
			t.Errorf("%g m: ambient %.2f Pa, want %.1f", c.altitudeM, j.AmbientPa, c.pa)
		}
	}
}

// At 2000 m the air presses with 23.475 inHg only: a vacuum of 25 inHg is not there to be had.
func TestVacuumAboveAmbient(t *testing.T) {
	with := func(site, alarm string) error {
		text := strings.Replace(minimal, `kind = "rotary-vane"`, "kind = \"rotary-vane\"\nalarm = \""+alarm+`"`, 1)
		_, err := job.Parse("j.toml", []byte("[site]\n"+site+"\n"+text))
		return err
	}
	const want = `j.toml:15:9: alarm: a vacuum of 846.597 mbar is not possible: the ambient pressure is only ` +
		`794.952 mbar (23.4749 inHg, at 2000 m); ` +
		`give an alarm vacuum smaller than the ambient pressure`
	if err := with(`altitude = "2000 m"`, "25 inHg"); err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if err := with(`altitude = "2000 m"`, "23.4 inHg"); err != nil {
		t.Error(err)
	}
	if err := with(`altitude = "0 m"`, "25 inHg"); err != nil {
		t.Error(err)
	}
	if err := with(`pressure = "800 mbar"`, "800 mbar"); err == nil {
		t.Error("a vacuum of all the air is taken")
	}
}
