package drawing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
)

// Unit is what the numbers of a drawing count.
type Unit struct {
	Name string  // as --units takes it, or as the drawing says
	MM   float64 // millimeters; 0 for the zero value, which is no unit
}

// units are those that a user may name; px are those of SVG at the usual densities.
var units = []Unit{
	{"mm", 1}, {"cm", 10}, {"m", 1000}, {"inch", 25.4}, {"ft", 304.8},
	{"px72", 25.4 / 72}, {"px90", 25.4 / 90}, {"px96", 25.4 / 96},
}

// UnitNamed reads the name of a unit; its error names those there are.
func UnitNamed(name string) (Unit, error) {
	var names []string
	for _, u := range units {
		if u.Name == name || name == "in" && u.Name == "inch" {
			return u, nil
		}
		names = append(names, u.Name)
	}
	return Unit{}, fmt.Errorf("%q is not a unit of drawings; use %s", name, strings.Join(names, ", "))
}

func (u Unit) mm() float64 { return u.MM }

// needUnit refuses a drawing without a unit, with its size in each that it may be in.
func (s *sketch) needUnit() {
	if s.unit.MM != 0 {
		return
	}
	box := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for _, c := range s.curves {
		for _, p := range c.points {
			box = box.Extend(p)
		}
	}
	if len(s.curves) == 0 {
		fail(0, "has no lines, and %s", s.noUnit)
	}
	var sizes, fits []string
	for _, u := range units {
		if (s.format == "SVG") != strings.HasPrefix(u.Name, "px") && u.Name != "mm" && u.Name != "inch" ||
			u.Name == "ft" {
			continue
		}
		w, h := (box.Max[0]-box.Min[0])*u.MM, (box.Max[1]-box.Min[1])*u.MM
		sizes = append(sizes, fmt.Sprintf("%s: %s x %s mm", u.Name, plainMM(w), plainMM(h)))
		// A drawing for a blank is neither larger than it nor lost on it.
		if b := s.opt.BlankMM; b[0] > 0 && math.Max(w, h) <= math.Max(b[0], b[1])*1.001 &&
			math.Min(w, h) <= math.Min(b[0], b[1])*1.001 && math.Max(w, h) >= math.Max(b[0], b[1])/20 {
			fits = append(fits, u.Name)
		}
	}
	hint := ""
	if b := s.opt.BlankMM; b[0] > 0 {
		switch len(fits) {
		case 0:
			hint = fmt.Sprintf("; none of them goes with the blank of %.4g x %.4g mm", b[0], b[1])
		case 1:
			hint = fmt.Sprintf("; of these only %s goes with the blank of %.4g x %.4g mm", fits[0], b[0], b[1])
		default:
			hint = fmt.Sprintf("; %s go with the blank of %.4g x %.4g mm", strings.Join(fits, ", "), b[0], b[1])
		}
	}
	fail(0, "%s; say its unit with --units (%s)%s", s.noUnit, strings.Join(sizes, ", "), hint)
}

// plainMM writes four digits, and a large length in full.
func plainMM(mm float64) string {
	if mm >= 1000 {
		return strconv.FormatFloat(mm, 'f', 0, 64)
	}
	return strconv.FormatFloat(mm, 'g', 4, 64)
}
