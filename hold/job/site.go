package job

import (
	"fmt"
	"math"

	"staydown/hold/internal/gas"
)

// atmospherePa is the pressure of the standard atmosphere in Pa at a geopotential altitude in m,
// p(H) = 101325 (1 - 0.0065 H/288.15)^5.255880 (ISO 2533:1975), valid from -2000 to 11000 m. Weather moves the true
// pressure by about 3 kPa either way (common practice, no source).
func atmospherePa(altitudeM float64) float64 {
	return gas.SeaLevelPa * math.Pow(1-0.0065*altitudeM/288.15, 5.255880)
}

// site gives the ambient pressure in Pa and how to speak of it.
func (r *reader) site(root *node) (float64, string) {
	s := r.section(root, "site")
	if s.has("altitude") && s.has("pressure") {
		s.say(s.where("pressure"), "pressure", "altitude and pressure are both given", "write only one of them")
	}
	if p, ok := s.quantity("pressure", pressure, ambientPa); ok {
		return p, "given in [site]"
	}
	if h, ok := s.quantity("altitude", length, altitudeMM); ok {
		return atmospherePa(h / 1000), fmt.Sprintf("at %s m", trimmed(h/1000))
	}
	if !s.has("pressure") && !s.has("altitude") {
		r.assumeInput("ambient pressure", "ambient pressure %s (sea level) assumed; write altitude or "+
			"pressure in [site], hold is lower at altitude", inAbsolute(gas.SeaLevelPa))
	}
	return gas.SeaLevelPa, "at sea level"
}
