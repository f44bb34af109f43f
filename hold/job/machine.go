package job

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"staydown/parse/units"
)

// defaultRapidMMMin is a moderate rapid rate (common practice, no source). It enters times, and the load of a rapid
// that goes through material.
const defaultRapidMMMin = 10_000

// DefaultExtensions are the endings of programs when a job file names none. The caller may change the slice.
func DefaultExtensions() []string {
	return []string{".nc", ".ngc", ".tap", ".cnc", ".gcode", ".mpf", ".iso", ".eia"}
}

// systems are the work offsets of RS-274 (NIST RS274NGC v3, 3.5.13).
func systems() []string {
	return []string{"G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"}
}

func (r *reader) machine(root *node) Machine {
	s := r.section(root, "machine")
	out := Machine{RapidMMMin: defaultRapidMMMin, Extensions: DefaultExtensions()}
	if v, ok := s.quantity("rapid", speed, speedMMMin); ok {
		out.RapidMMMin = v
	} else if !s.has("rapid") {
		r.assume("rapid rate %s assumed, for times and rapids through material (rapid)", units.Figure{Kind: units.Rapid,
			X: out.RapidMMMin})
	}
	out.RPM, _ = s.quantity("speed", spindle, spindleRPM)
	if s.has("zero") {
		if at, ok := s.lengths("zero", `["-500 mm", "-300 mm", "-120 mm"]`, anyPlaceMM, anyPlaceMM, anyPlaceMM); ok {
			out.Zero = &Origin{X: at[0], Y: at[1], Z: at[2]}
		}
	}
	out.Table, _ = s.polygon("table", 2)
	out.HarmlessM = s.harmlessM()
	if i, ok := s.choice("units", "mm", "inch"); ok {
		out.Units = [...]units.System{units.Metric, units.Inch}[i]
	}
	if i, ok := s.choice("arc_centres", "incremental", "absolute"); ok {
		out.ArcCentresAbsolute = i == 1
	}
	if i, ok := s.choice("end", "required", "none"); ok {
		out.NoEnd = i == 1
	}
	out.M7, out.M8 = s.coolant("m7"), s.coolant("m8")
	if !s.has("extensions") {
		r.assume("programs end in %s (extensions)", strings.Join(out.Extensions, " "))
		return out
	}
	items, ok := s.items("extensions", 1, maxExtensions, `[".nc", ".tap"]`)
	if !ok {
		return out
	}
	out.Extensions = nil
	for _, item := range items {
		end := strings.ToLower(item.text)
		if item.form != text || len(end) < 2 || len(end) > 16 || end[0] != '.' || strings.ContainsAny(end[1:],
			"./\\ \t\n") {
			s.say(item.at, "extensions", fmt.Sprintf("%q is not the ending of a file name", item.text),
				`write it with its dot, like ".nc"`)
			continue
		}
		if end == ".toml" {
			s.say(item.at, "extensions", "job files end in .toml, programs cannot",
				`write the endings of programs, like ".nc"`)
			continue
		}
		out.Extensions = append(out.Extensions, end)
	}
	return out
}

// harmlessM reads the M codes that are known to move nothing.
func (s section) harmlessM() []int {
	items, ok := s.items("harmless_m", 1, maxHarmlessM, `[62, 63]`)
	if !ok {
		return nil
	}
	var out []int
	for _, item := range items {
		n, err := strconv.Atoi(item.text)
		if item.form != whole || err != nil || n < 0 || n > maxMCode {
			s.say(item.at, "harmless_m", fmt.Sprintf("%s is no M code", item.text),
				"write whole numbers, like [62, 63]")
			continue
		}
		out = append(out, n)
	}
	return out
}

var extendedSystem = regexp.MustCompile(`^G54\.1 P[1-9][0-9]{0,2}$`)

// system reads the name of a work offset.
func (s section) system() (string, bool) {
	if v, ok := s.usable("system"); ok && v.form == text && extendedSystem.MatchString(v.text) {
		return v.text, true
	}
	i, ok := s.choice("system", systems()...)
	return systems()[i], ok
}

// origins reads every [[origin]].
func (r *reader) origins(root *node) map[string]Origin {
	out := map[string]Origin{}
	lines := map[string]int{}
	for _, s := range r.each(root, "origin", maxOrigins) {
		okS, okA := s.need("system", `"G55"`), s.need("at", `["300 mm", "0 mm", "0 mm"]`)
		if !okS || !okA {
			continue
		}
		system, okS := s.system()
		at, okA := s.lengths("at", `["300 mm", "0 mm", "0 mm"]`, anyPlaceMM, anyPlaceMM, anyPlaceMM)
		if !okS || !okA {
			continue
		}
		if line, twice := lines[system]; twice {
			s.say(s.where("system"), "system", fmt.Sprintf("%s is already given on line %d", system, line),
				"write each work offset once")
			continue
		}
		lines[system] = s.at.Line
		out[system] = Origin{X: at[0], Y: at[1], Z: at[2]}
	}
	return out
}
