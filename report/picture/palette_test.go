package picture

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// sRGB transfer curve and luminance: IEC 61966-2-1, as in WCAG 2.1, "relative luminance".
func linear(c color.NRGBA) [3]float64 {
	f := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return [3]float64{f(c.R), f(c.G), f(c.B)}
}

func luminance(c color.NRGBA) float64 {
	l := linear(c)
	return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2]
}

// contrast is the contrast ratio of WCAG 2.1, success criterion 1.4.3.
func contrast(a, b color.NRGBA) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// Full dichromacy on linear RGB: Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of
// Color Vision Deficiency", IEEE TVCG 15(6), 2009, severity 1.0 of the published table (typed from memory; their rows
// sum to 1, which the test checks, because gray must stay gray).
var dichromats = map[string][3][3]float64{
	"full colour vision": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216},
		{-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// lab is CIE 1976 L*a*b* under D65 (ISO/CIE 11664-4), from linear RGB.
func lab(l [3]float64) [3]float64 {
	for i := range l {
		l[i] = math.Max(0, math.Min(1, l[i]))
	}
	x := (0.4124564*l[0] + 0.3575761*l[1] + 0.1804375*l[2]) / 0.95047
	y := 0.2126729*l[0] + 0.7151522*l[1] + 0.0721750*l[2]
	z := (0.0193339*l[0] + 0.1191920*l[1] + 0.9503041*l[2]) / 1.08883
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	return [3]float64{116*f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))}
}

// difference is the CIE 1976 color difference; 2.3 is just noticeable side by side (Mahy et al., 1994).
func difference(a, b color.NRGBA, m [3][3]float64) float64 {
	see := func(c color.NRGBA) [3]float64 {
		l := linear(c)
		var out [3]float64
		for i := range m {
			for j := range l {
				out[i] += m[i][j] * l[j]
			}
		}
		return lab(out)
	}
	p, q := see(a), see(b)
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

func TestGreyStaysGreyInTheSimulation(t *testing.T) {
	for name, m := range dichromats {
		for i, row := range m {
			if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 2e-6 {
				t.Errorf("%s: row %d sums to %v; a matrix is mistyped", name, i, sum)
			}
		}
	}
}

// Colors that a reader has to tell apart differ by far more than just noticeable for every kind of color vision, and
// on a gray print by at least a sixth of the lightness range. The bar of 20 (nine times just noticeable) is common
// practice, no source.
func TestColoursStayApart(t *testing.T) {
	groups := map[string][]color.NRGBA{
		"states of pieces": {stateColour(result.StateHeld), stateColour(result.StateAtRisk),
			stateColour(result.StateLoose)},
		"area":                   {stockColour, partColour, paperColour},
		"shades":                 {paperColour, looseShade, atRiskShade},
		"lines in the vacuum":    {vacuumColour, alarmColour},
		"lines over the margins": {alarmColour, askedColour},
	}
	dark := map[string]color.NRGBA{}
	for _, h := range theme() {
		dark[h.name] = h.dark
	}
	groups["states of pieces, dark"] = []color.NRGBA{dark["held"], dark["risk"], dark["alarm"]}
	groups["area, dark"] = []color.NRGBA{dark["stock"], dark["part"], dark["paper"]}
	groups["shades, dark"] = []color.NRGBA{dark["paper"], dark["loose-shade"], dark["risk-shade"]}
	groups["lines in the vacuum, dark"] = []color.NRGBA{dark["vacuum"], dark["alarm"]}
	// Lines and shades that differ little in lightness carry dashes or hatching; here they must only differ.
	likeLightness := map[string]bool{"shades": true, "lines in the vacuum": true, "lines over the margins": true,
		"shades, dark": true, "lines in the vacuum, dark": true}
	for name, colours := range groups {
		for i, a := range colours {
			for _, b := range colours[i+1:] {
				for vision, m := range dichromats {
					least := 20.0
					if strings.HasPrefix(name, "shades") {
						least = 12 // the loose shade is hatched as well
					}
					if d := difference(a, b, m); d < least {
						t.Errorf("%s: %s and %s differ by %.1f under %s, want %.0f", name, HexColour(a), HexColour(b),
							d, vision, least)
					}
				}
				dl := math.Abs(lab(linear(a))[0] - lab(linear(b))[0])
				if dl < 100.0/6 && !likeLightness[name] {
					t.Errorf("%s: %s and %s differ by only %.1f in lightness", name, HexColour(a), HexColour(b), dl)
				}
			}
		}
	}
}

func TestPressureScaleOnlyGetsDarker(t *testing.T) {
	for vision, m := range dichromats {
		last := math.Inf(1)
		for i := range 101 {
			l := linear(PressureColour(float64(i) / 100))
			var out [3]float64
			for r := range m {
				for j := range l {
					out[r] += m[r][j] * l[j]
				}
			}
			lightness := lab(out)[0]
			if lightness > last+0.3 { // rounding to 8 bits
				t.Errorf("%s: lightness rises at %d %%: %.2f after %.2f", vision, i, lightness, last)
			}
			last = lightness
		}
	}
}

// WCAG 2.1: 4.5 for text (1.4.3), 3 for graphical objects (1.4.11).
func TestContrastOfTheInks(t *testing.T) {
	for _, c := range []struct {
		name   string
		fg, bg color.NRGBA
		least  float64
	}{
		{"text on paper", inkColour, paperColour, 4.5},
		{"secondary text on paper", dimColour, paperColour, 4.5},
		{"text on the tool strip", inkColour, shelf2Colour, 4.5},
		{"text on the at-risk shade", inkColour, atRiskShade, 4.5},
		{"text on the loose shade", inkColour, looseShade, 4.5},
		{"label on a held piece", inkColour, heldState, 4.5},
		{"label on a piece at risk", inkColour, atRiskState, 4.5},
		{"label on a loose piece", paperColour, looseState, 4.5},
		{"label on a sliver", paperColour, sliverState, 4.5},
		{"limit line on paper", alarmColour, paperColour, 3},
		{"limit line on the loose shade", alarmColour, looseShade, 3},
		{"asked-for line on paper", askedColour, paperColour, 3},
		{"asked-for line on the at-risk shade", askedColour, atRiskShade, 3},
		{"vacuum line on the at-risk shade", vacuumColour, atRiskShade, 3},
		{"vacuum line on the loose shade", vacuumColour, looseShade, 3},
		{"stock area on paper", stockColour, paperColour, 3},
		{"stock area beside freed area", stockColour, partColour, 3},
	} {
		if got := contrast(c.fg, c.bg); got < c.least {
			t.Errorf("%s: contrast %.2f, want %.1f", c.name, got, c.least)
		}
	}
	if got := contrast(rgb(0, 0, 0), rgb(255, 255, 255)); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white: contrast %v, WCAG says 21", got)
	}
}

// Kerf is told from stock, and through from partway: 3 for graphical objects (WCAG 2.1, 1.4.11), 2 between the tones.
func TestKerfStandsOutFromTheStock(t *testing.T) {
	for _, c := range []struct {
		a, b  color.NRGBA
		least float64
	}{{throughKerf, heldState, 3}, {partwayKerf, heldState, 3}, {throughKerf, partwayKerf, 2},
		{throughKerf, atRiskState, 3}, {partwayKerf, unknownState, 3}} {
		if got := contrast(c.a, c.b); got < c.least {
			t.Errorf("%v on %v: contrast %.2f, want %v", c.a, c.b, got, c.least)
		}
	}
}

// Every mark that carries meaning keeps the contrast of WCAG 2.1 (text 4.5, graphical objects 3) on light and dark
// screens.
func TestThemeContrast(t *testing.T) {
	byName := map[string]hue{}
	seen := map[color.NRGBA]string{}
	for _, h := range theme() {
		byName[h.name] = h
		if other, twice := seen[h.light]; twice {
			t.Errorf("%s and %s share a light colour, so that pictures cannot be put into pages", h.name, other)
		}
		seen[h.light] = h.name
	}
	for _, c := range []struct {
		fg, bg string
		least  float64
	}{
		{"ink", "paper", 4.5}, {"dim", "paper", 4.5}, {"ink", "shelf", 4.5}, {"dim", "shelf", 4.5},
		{"ink", "shelf2", 4.5}, {"vacuum", "paper", 4.5}, {"vacuum", "shelf", 4.5},
		{"alarm", "paper", 4.5}, {"asked", "paper", 4.5}, {"alarm", "shelf", 4.5}, {"asked", "shelf", 4.5},
		{"ink", "risk-shade", 4.5}, {"ink", "loose-shade", 4.5}, {"ink", "held", 4.5},
		{"alarm", "loose-shade", 3}, {"alarm", "risk-shade", 3}, {"asked", "risk-shade", 3}, {"vacuum", "risk-shade",
			3}, {"vacuum", "loose-shade", 3},
		{"stock", "paper", 3}, {"stock", "part", 1.5}, {"sliver", "paper", 3}, {"alarm", "held", 3}, {"ink", "risk", 3},
	} {
		for _, mode := range []string{"light", "dark"} {
			fg, bg := byName[c.fg].light, byName[c.bg].light
			if mode == "dark" {
				fg, bg = byName[c.fg].dark, byName[c.bg].dark
			}
			if got := contrast(fg, bg); got < c.least {
				t.Errorf("%s: %s on %s has contrast %.2f, want %.1f", mode, c.fg, c.bg, got, c.least)
			}
		}
	}
}
