package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"staydown/parse/units"
)

// unit is a unit of measurement by the name a job file writes, and what one of it is in the unit a Job carries.
type unit struct {
	name   string
	factor float64
}

// kind is a kind of quantity with its units; the first is the one that messages suggest.
type kind struct {
	name    string // with its article
	units   []unit
	example string
}

// mmHg (the conventional one at 0 degrees Celsius) and darcy: NIST SP 811, B.8; the others stand in package units.
const (
	mmHgPa  = 133.322387
	darcyM2 = 9.869233e-13
	degree  = math.Pi / 180
)

var (
	length = kind{"a length", []unit{{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", units.InchMM}, {"ft", units.FootMM}},
		"6 mm"}
	pressure = kind{"a pressure", []unit{{"mbar", 100}, {"Pa", 1}, {"kPa", 1000}, {"bar", 1e5}, {"psi", units.PsiPa},
		{"inHg", units.InHgPa}, {"mmHg", mmHgPa}}, "200 mbar"}
	flow      = kind{"a flow", []unit{{"m3/h", 1}, {"l/min", 0.06}, {"cfm", units.CfmM3h}}, "63 m3/h"}
	smallFlow = kind{"a flow", []unit{{"ml/min", 6e-5}, {"l/min", 0.06}, {"m3/h", 1}, {"cfm", units.CfmM3h}},
		"1000 ml/min"}
	speed = kind{"a speed", []unit{{"m/min", 1000}, {"mm/min", 1}, {"in/min", units.InchMM},
		{"ft/min", units.FootMM}}, "20 m/min"}
	force        = kind{"a force", []unit{{"N", 1}, {"kN", 1000}, {"lbf", units.PoundN}}, "50 N"}
	angle        = kind{"an angle", []unit{{"deg", degree}}, "30 deg"}
	permeability = kind{"a permeability", []unit{{"m2", 1}, {"darcy", darcyM2}}, "3e-13 m2"}
	stress       = kind{"a stress", []unit{{"MPa", 1e6}, {"kPa", 1000}, {"Pa", 1}, {"psi", units.PsiPa},
		{"N/mm2", 1e6}}, "20 MPa"}
	density = kind{"a density", []unit{{"kg/m3", 1}, {"g/cm3", 1000}, {"lb/ft3", units.PoundPerFoot3},
		{"lb/in3", 12 * 12 * 12 * units.PoundPerFoot3}}, "2700 kg/m3"}
	area = kind{"an area", []unit{{"cm2", 100}, {"mm2", 1}, {"m2", 1e6}, {"in2", units.InchMM * units.InchMM}},
		"100 cm2"}
	duration  = kind{"a time", []unit{{"s", 1}}, "10 s"}
	power     = kind{"a power", []unit{{"kW", 1000}, {"W", 1}}, "0.45 kW"}
	edgeForce = kind{"a force per length", []unit{{"N/mm", 1}, {"lbf/in", units.PoundN / units.InchMM}},
		"13 N/mm"}
	conductance = kind{"a sonic conductance", []unit{{"dm3/(s bar)", 1e-8}, {"l/(s bar)", 1e-8}, {"m3/(s Pa)", 1}},
		"40 dm3/(s bar)"}
	spindle = kind{"a spindle speed", []unit{{"rpm", 1}}, "18000 rpm"}
)

// kinds lists every kind for telling what a wrong unit measures. Where two share a unit the earlier one is named.
func kinds() []kind {
	return []kind{length, pressure, flow, smallFlow, speed, force, angle, area, permeability, stress, density, duration,
		power, edgeForce, spindle, conductance}
}

func (k kind) names() string {
	names := make([]string, len(k.units))
	for i, u := range k.units {
		names[i] = u.name
	}
	return strings.Join(names, ", ")
}

// find takes names in any case and the ways in which people spell them.
func (k kind) find(name string) (unit, bool) {
	name = respell.Replace(name)
	if usual, ok := otherNames[strings.ToLower(name)]; ok {
		name = usual
	}
	for _, u := range k.units {
		if strings.EqualFold(u.name, name) {
			return u, true
		}
	}
	return unit{}, false
}

var (
	respell    = strings.NewReplacer("²", "2", "³", "3", "^", "", "°", "deg", "″", `"`, "”", `"`, "′", "'")
	otherNames = map[string]string{`"`: "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft",
		"ipm": "in/min", "inch/min": "in/min", `"/min`: "in/min"}
)

// write renders x, given in the unit that the Job carries.
func (u unit) write(x float64) string { return trimmed(x/u.factor) + " " + u.name }

// write renders x, given in the unit that the Job carries, with the kind's first unit.
func (k kind) write(x float64) string {
	return k.units[0].write(x)
}

// trimmed gives x with six figures that matter, so that no conversion shows its rounding; large ones to the unit.
func trimmed(x float64) string {
	if a := math.Abs(x); a >= 1e5 && a < 1e12 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'g', 6, 64)
}

// fault says why a text is no quantity of a kind and what to write instead.
type fault struct{ what, do string }

// Figures of assumptions, from what the Job carries.
func inLength(mm float64) units.Figure { return units.Figure{Kind: units.Length, X: mm} }
func inAbsolute(pa float64) units.Figure {
	return units.Figure{Kind: units.Absolute, X: pa / 1000}
}
func inFlow(m3h float64) units.Figure { return units.Figure{Kind: units.Flow, X: m3h} }

// outOfRange is the fault of a value outside of in; shown is the value as it was written.
func outOfRange(shown string, in span, write func(float64) string) *fault {
	return &fault{fmt.Sprintf("%s is out of range", shown), "write " + rangeOf(in, write)}
}

// readIn gives the value of text in the unit that the Job carries, and the unit it was written in. A text that is not
// a finite number with a unit of the kind gives a fault.
func (k kind) readIn(text string) (float64, unit, *fault) {
	number, name := splitQuantity(text)
	suggestion := fmt.Sprintf("write e.g. %q", k.example)
	choice := suggestion
	if len(k.units) > 1 {
		choice = fmt.Sprintf("write one of %s, e.g. %q", k.names(), k.example)
	}
	x, f := finite(number, text)
	if f != nil {
		if f.do == "" {
			f.do = suggestion
		}
		return 0, unit{}, f
	}
	if name == "" {
		return 0, unit{}, &fault{fmt.Sprintf("%q has no unit", text),
			fmt.Sprintf("write %q", number+" "+k.units[0].name)}
	}
	if u, ok := k.find(name); ok {
		v := x * u.factor
		if math.IsInf(v, 0) {
			return 0, unit{}, &fault{fmt.Sprintf("%q is too large", text), suggestion}
		}
		return v, u, nil
	}
	for _, other := range kinds() {
		if _, ok := other.find(name); ok {
			return 0, unit{}, &fault{fmt.Sprintf("%q is %s, but %s is wanted", text, other.name, k.name), choice}
		}
	}
	return 0, unit{}, &fault{fmt.Sprintf("unit %q is unknown", name), choice}
}

// splitQuantity parts "0.8 mm" into "0.8" and "mm"; the space may be missing. Text without a leading number gives "".
func splitQuantity(text string) (number, name string) {
	text = strings.TrimSpace(text)
	if number = units.LeadingFraction(text); number != "" {
		return number, strings.TrimSpace(text[len(number):])
	}
	i := 0
	for i < len(text) {
		c := text[i]
		switch {
		case c >= '0' && c <= '9', c == '.', c == ',':
		case c == '+' || c == '-':
			if i > 0 && text[i-1] != 'e' && text[i-1] != 'E' {
				return text[:i], strings.TrimSpace(text[i:])
			}
		case c == 'e' || c == 'E':
			// An exponent only where digits follow: "3e-13 m2", but not a unit that begins with e.
			rest := strings.TrimLeft(text[i+1:], "+-")
			if i == 0 || rest == "" || rest[0] < '0' || rest[0] > '9' {
				return text[:i], strings.TrimSpace(text[i:])
			}
		default:
			return text[:i], strings.TrimSpace(text[i:])
		}
		i++
	}
	return text, ""
}

// finite reads a plain decimal number or a fraction.
func finite(number, text string) (float64, *fault) {
	if strings.Contains(number, "/") {
		x, ok := units.Fraction(number)
		if !ok {
			return 0, &fault{fmt.Sprintf("%q is no fraction", text), `write one as in "1/2 in" or "1-1/2 in"`}
		}
		return x, nil
	}
	if strings.Contains(number, ",") {
		return 0, &fault{fmt.Sprintf("%q has a decimal comma", text), fmt.Sprintf("write a point: %q",
			strings.Replace(text, ",", ".", 1))}
	}
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		if math.IsInf(x, 0) {
			return 0, &fault{what: fmt.Sprintf("%q is too large", text), do: "write a smaller number"}
		}
		lower := strings.ToLower(text)
		if strings.Contains(lower, "nan") || strings.Contains(lower, "inf") && !strings.Contains(lower, "infl") &&
			number == "" {
			return 0, &fault{what: fmt.Sprintf("%q is not a finite number", text)}
		}
		return 0, &fault{what: fmt.Sprintf("%q does not begin with a number", text)}
	}
	return x, nil
}
