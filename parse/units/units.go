// Package units writes figures in the units of a shop, metric or inch. The packages carry mm, mm2, N, N mm, kPa and
// m3/h; what stands before people goes through here.
//
//	Metric.Length().Text(6.35)  6.35 mm
//	Inch.Length().Text(6.35)    0.25 in
//	Inch.Pressure().Text(86.4)  25.5 inHg
//
// It knows nothing of what is written.
package units

import (
	"math"
	"strconv"
	"strings"
)

// Sizes of units: NIST SP 811 (2008), appendix B.8. Inch, pound-force and what follows from them are exact, the inch of
// mercury is the conventional one.
const (
	InchMM = 25.4
	FootMM = 12 * InchMM
	PoundN = 4.4482216152605
	InHgPa = 3386.389
	PsiPa  = PoundN / (InchMM * InchMM) * 1e6
	CfmM3h = 0.3048 * 0.3048 * 0.3048 * 60
	// PoundPerFoot3 is in kg/m3.
	PoundPerFoot3 = 0.45359237 / (0.3048 * 0.3048 * 0.3048)
)

// DigitStep is the step that keeps so many significant digits of x > 0.
func DigitStep(x float64, digits int) float64 {
	return math.Pow(10, math.Floor(math.Log10(x))+1-float64(digits))
}

// Digits rounds to so many significant digits; NaN and infinities stay.
func Digits(x float64, digits int) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	if err != nil { // only beyond the largest number
		return x
	}
	return rounded
}

// System is a system of units.
type System uint8

const (
	Unchosen System = iota // is written as Metric
	Metric
	Inch
)

// Named finds a system by the word that the command line and the job file use.
func Named(word string) (s System, ok bool) {
	switch word {
	case "metric":
		return Metric, true
	case "inch":
		return Inch, true
	}
	return Unchosen, false
}

// Or is s, or other if none is chosen.
func (s System) Or(other System) System {
	if s == Unchosen {
		return other
	}
	return s
}

// Unit is a unit with the digits that are worth writing in it.
type Unit struct {
	Name     string
	Size     float64 // of one, in the unit that the packages carry
	decimals int
	form     form
}

// form is how the digits of a number are chosen.
type form uint8

const (
	fixed       form = iota // all decimals
	trimmed                 // decimals without zeros at the end
	rough                   // decimals below 10, whole above
	significant             // decimals counts all digits
)

// choose is the unit of a system.
func (s System) choose(metric, inch Unit) Unit {
	if s == Inch {
		return inch
	}
	return metric
}

// Length is for lengths that people set or measure: mm.
func (s System) Length() Unit {
	return s.choose(Unit{"mm", 1, 3, trimmed}, Unit{"in", InchMM, 4, trimmed})
}

// Rough is for extents that people recognize: mm.
func (s System) Rough() Unit { return s.choose(Unit{"mm", 1, 1, rough}, Unit{"in", InchMM, 2, fixed}) }

// Depth is for computed lengths, of which a hundredth of a millimeter matters: mm.
func (s System) Depth() Unit { return s.choose(Unit{"mm", 1, 2, fixed}, Unit{"in", InchMM, 3, fixed}) }

// Place is for coordinates of a program: mm.
func (s System) Place() Unit { return s.choose(Unit{"mm", 1, 3, fixed}, Unit{"in", InchMM, 4, fixed}) }

// Path is for long ways: mm.
func (s System) Path() Unit { return s.choose(Unit{"m", 1000, 2, fixed}, Unit{"ft", FootMM, 1, fixed}) }

// Area is for areas of pieces: mm2.
func (s System) Area() Unit {
	return s.choose(Unit{"mm2", 1, 1, fixed}, Unit{"in2", InchMM * InchMM, 3, fixed})
}

// TableArea is for areas of whole tables: mm2.
func (s System) TableArea() Unit {
	return s.choose(Unit{"cm2", 100, 0, fixed}, Unit{"in2", InchMM * InchMM, 0, fixed})
}

// Section is for sections of webs: mm2.
func (s System) Section() Unit {
	return s.choose(Unit{"mm2", 1, 2, fixed}, Unit{"in2", InchMM * InchMM, 4, fixed})
}

// Force: N.
func (s System) Force() Unit { return s.choose(Unit{"N", 1, 1, rough}, Unit{"lbf", PoundN, 1, rough}) }

// Moment: N mm.
func (s System) Moment() Unit {
	return s.choose(Unit{"N m", 1000, 2, fixed}, Unit{"lbf in", PoundN * InchMM, 1, fixed})
}

// Pressure is for vacuum and other pressures of air: kPa.
func (s System) Pressure() Unit {
	return s.choose(Unit{"kPa", 1, 1, fixed}, Unit{"inHg", InHgPa / 1000, 1, fixed})
}

// Stress is for the strength of what holds: kPa.
func (s System) Stress() Unit {
	return s.choose(Unit{"kPa", 1, 3, trimmed}, Unit{"psi", PsiPa / 1000, 3, trimmed})
}

// Flow is for free air: m3/h.
func (s System) Flow() Unit {
	return s.choose(Unit{"m3/h", 1, 3, significant}, Unit{"cfm", CfmM3h, 3, significant})
}

// Feed: mm/min.
func (s System) Feed() Unit {
	return s.choose(Unit{"mm/min", 1, 3, trimmed}, Unit{"in/min", InchMM, 3, trimmed})
}

// Rapid is for rates of machines: mm/min.
func (s System) Rapid() Unit {
	return s.choose(Unit{"m/min", 1000, 3, trimmed}, Unit{"in/min", InchMM, 0, fixed})
}

// Absolute is for absolute pressures of pumps: kPa.
func (s System) Absolute() Unit {
	return s.choose(Unit{"mbar", 0.1, 2, trimmed}, Unit{"inHg", InHgPa / 1000, 2, trimmed})
}

// CuttingSpeed: mm/min.
func (s System) CuttingSpeed() Unit {
	return s.choose(Unit{"m/min", 1000, 0, fixed}, Unit{"ft/min", FootMM, 0, fixed})
}

// Exact is the unit with all of its decimals, for tables.
func (u Unit) Exact() Unit {
	u.form = fixed
	return u
}

// In gives x in the unit.
func (u Unit) In(x float64) float64 { return x / u.Size }

// unknown stands for a figure that is not finite.
const unknown = "unknown"

// Text writes x with the unit.
func (u Unit) Text(x float64) string {
	if n := u.Number(x); n != unknown {
		return n + " " + u.Name
	}
	return unknown
}

// Number writes x without the unit; "unknown" if it is not finite.
func (u Unit) Number(x float64) string {
	v := u.In(x)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return unknown
	}
	switch u.form {
	case rough:
		if math.Abs(v) >= 9.95 {
			return plain(v, 0)
		}
	case significant:
		whole := 1
		if v != 0 {
			whole = 1 + int(math.Floor(math.Log10(math.Abs(v))))
		}
		return trim(plain(v, max(0, u.decimals-whole)))
	case trimmed:
		return trim(plain(v, u.decimals))
	}
	return plain(v, u.decimals)
}

// Number and unit with x rounded to the last digit upward, or downward: the safe side of what is needed, and of what
// there is.
func (u Unit) Up(x float64) string   { return u.Text(u.step(x, math.Ceil, -1)) }
func (u Unit) Down(x float64) string { return u.Text(u.step(x, math.Floor, 1)) }

// Step is the size of the last digit that is written, in what the packages carry.
func (u Unit) Step() float64 { return u.Size / math.Pow(10, float64(u.decimals)) }

// onStep is the part of the last digit by which a figure may be off and still count as on it.
const onStep = 1e-9

func (u Unit) step(x float64, round func(float64) float64, room float64) float64 {
	return round(x/u.Step()+room*onStep) * u.Step()
}

// Numbers writes several figures of one unit: "60 x 40" with " x " between.
func (u Unit) Numbers(between string, x ...float64) string {
	all := make([]string, len(x))
	for i, v := range x {
		all[i] = u.Number(v)
	}
	return strings.Join(all, between)
}

// Extents writes from where to where something goes along X, Y and Z: X 0 to 600, Y 0 to 400 mm.
func (u Unit) Extents(x ...[2]float64) string {
	all := make([]string, len(x))
	for i, v := range x {
		all[i] = string("XYZ"[i]) + " " + u.Number(v[0]) + " to " + u.Number(v[1])
	}
	return strings.Join(all, ", ") + " " + u.Name
}

// Spot writes a place on the table as a program would: X468 Y33, in inches to a hundredth.
func (s System) Spot(xMM, yMM float64) string {
	u := s.choose(Unit{"mm", 1, 0, fixed}, Unit{"in", InchMM, 2, fixed})
	return "X" + u.Number(xMM) + " Y" + u.Number(yMM)
}

// Coordinates writes a place as a program would, with its unit: X and Y, or X, Y and Z.
func (s System) Coordinates(mm ...float64) string {
	u, out := s.Place(), ""
	for i, v := range mm {
		out += string("XYZ"[i]) + u.Number(v) + " "
	}
	return out + u.Name
}

// Height writes a Z with its unit: Z-6.2 mm.
func (s System) Height(mm float64) string { return "Z" + s.Place().Text(mm) }

// Size writes extents roughly: 60 x 40 mm, 2.36 x 1.57 in.
func (s System) Size(xMM, yMM float64) string {
	u := s.Rough()
	return u.Numbers(" x ", xMM, yMM) + " " + u.Name
}

// plain writes v with decimals, and no minus before a zero.
func plain(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

func trim(s string) string {
	if strings.Contains(s, ".") {
		return strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// inInches are the inch units of figures that stand in other units, by the names of these.
var inInches = map[string]Unit{
	"mm":     {"in", InchMM, 4, significant},
	"mm2":    {"in2", InchMM * InchMM, 4, significant},
	"N":      {"lbf", PoundN, 4, significant},
	"N mm":   {"lbf in", PoundN * InchMM, 4, significant},
	"N m":    {"lbf in", PoundN * InchMM / 1000, 4, significant},
	"N/mm":   {"lbf/in", PoundN / InchMM, 4, significant},
	"N/mm2":  {"psi", PsiPa / 1e6, 4, significant},
	"Pa":     {"inHg", InHgPa, 4, significant},
	"kPa":    {"inHg", InHgPa / 1000, 4, significant},
	"kg/m3":  {"lb/ft3", PoundPerFoot3, 4, significant},
	"m3/h":   {"cfm", CfmM3h, 4, significant},
	"mm/min": {"in/min", InchMM, 4, significant},
}

// Beside is the unit in which a figure of a metric calculation is given as well: ok is false in a metric shop, and for
// units that inch shops use too.
func (s System) Beside(metric string) (u Unit, ok bool) {
	if s != Inch {
		return Unit{}, false
	}
	u, ok = inInches[metric]
	return u, ok
}
