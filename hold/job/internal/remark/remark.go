// Package remark reads what the comments of a program say of its tools, its blank and its zero. How posts and
// programmers write these is common practice, no source.
package remark

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"

	"staydown/parse/units"
)

// Told is a value that a comment of the program gives, with its place.
type Told[T any] struct {
	Value T
	Line  int    // 0: no comment gives it
	Text  string // of the comment, in capitals
}

// Given tells whether a comment gives it.
func (t Told[T]) Given() bool { return t.Line > 0 }

// Tool is what comments say of one tool.
type Tool struct {
	DiameterMM, CornerMM Told[float64]
	AngleDeg             Told[float64]
	Flutes               Told[int]
	Shape                Told[string] // a word of the job file
	HelixDeg             Told[float64]
	Rival                Told[float64] // another diameter, mm, if comments disagree
}

// Remarks is what the comments of a program say of what lies on the table.
type Remarks struct {
	Tools    map[int]*Tool
	SizeMM   Told[[]float64] // X and Y, and the thickness if it is given
	Material Told[string]    // a built-in
	Zero     Told[string]    // "table" or "top"

	inch       bool    // unit of numbers without one
	downCutDeg float64 // helix of cutters that are called down-cut
}

// comment is one comment of a program, in capitals.
type comment struct {
	line int
	text string
}

// maxRemarks bounds the comments that are looked at: drafts are for the head of a program and its tool calls.
const maxRemarks = 20000

// Read reads the comments of a program. Inch is the unit of the program, which counts where a comment names none.
// downCutDeg is the helix, degrees, of cutters that a comment calls down-cut without a figure.
func Read(src []byte, inch bool, downCutDeg float64) Remarks {
	r := Remarks{Tools: map[int]*Tool{}, inch: inch, downCutDeg: downCutDeg}
	var calls []comment // text is the number
	var all []comment
	for i, line := range bytes.Split(src, []byte("\n")) {
		if len(all) > maxRemarks {
			break
		}
		for _, c := range commentForm().FindAll(line, -1) {
			text := strings.ToUpper(strings.TrimSpace(strings.Trim(string(c), "(); \t\r")))
			if text != "" {
				all = append(all, comment{i + 1, text})
			}
		}
		if m := toolWordForm().FindSubmatch(commentForm().ReplaceAll(line, nil)); m != nil {
			calls = append(calls, comment{i + 1, string(m[1])})
		}
	}
	for _, c := range all {
		r.stockRemark(c)
		if n, ok := toolOf(c, calls); ok {
			r.toolRemark(n, c)
		}
	}
	return r
}

// toolOf tells which tool a comment speaks of: the one it names, that of its own line, the next one called within a few
// lines, else the last one called before.
func toolOf(c comment, calls []comment) (int, bool) {
	if m := toolNamedForm().FindStringSubmatch(c.text); m != nil {
		n, err := strconv.Atoi(m[1])
		return n, err == nil
	}
	const near = 12
	next, _ := slices.BinarySearchFunc(calls, c.line, func(a comment, line int) int { return a.line - line })
	switch {
	case next < len(calls) && calls[next].line-c.line <= near:
	case next > 0:
		next--
	case len(calls) == 0:
		return 0, true // the tool in the spindle
	default:
		return 0, false
	}
	n, err := strconv.Atoi(calls[next].text)
	return n, err == nil
}

// plausible bounds of a cutter's diameter, mm.
const leastCutterMM, mostCutterMM = 0.05, 80

func (r *Remarks) toolRemark(n int, c comment) {
	t := r.Tools[n]
	if t == nil {
		t = &Tool{}
		r.Tools[n] = t
	}
	d, ok := r.diameterIn(n, c.text)
	if ok && !t.DiameterMM.Given() {
		t.DiameterMM = Told[float64]{d, c.line, c.text}
	} else if ok && math.Abs(d-t.DiameterMM.Value) > 1e-6*d && !t.Rival.Given() {
		t.Rival = Told[float64]{d, c.line, c.text}
	}
	if !ok && (!t.DiameterMM.Given() || t.DiameterMM.Line != c.line) {
		return // shapes and flutes are read only beside a diameter: other comments use the words for other things
	}
	if m := fluteForm().FindStringSubmatch(c.text); m != nil && !t.Flutes.Given() {
		if n, err := strconv.Atoi(m[1] + m[2]); err == nil && n > 0 {
			t.Flutes = Told[int]{n, c.line, c.text}
		} else if m[3] != "" {
			t.Flutes = Told[int]{1, c.line, c.text}
		}
	}
	if shape := shapeIn(c.text); shape != "" && !t.Shape.Given() {
		t.Shape = Told[string]{shape, c.line, c.text}
	}
	if m := cornerForm().FindStringSubmatch(c.text); m != nil && !t.CornerMM.Given() {
		if mm, ok := r.mm(m[1], m[2]); ok && mm > 0 && 2*mm < d {
			t.CornerMM = Told[float64]{mm, c.line, c.text}
		}
	}
	if m := angleForm().FindStringSubmatch(c.text); m != nil && !t.AngleDeg.Given() {
		if x, err := strconv.ParseFloat(m[1], 64); err == nil && x > 0 && x < 180 {
			t.AngleDeg = Told[float64]{x, c.line, c.text}
		}
	}
	switch {
	case t.HelixDeg.Given():
	case downCutForm().MatchString(c.text):
		t.HelixDeg = Told[float64]{r.downCutDeg, c.line, c.text}
	case straightForm().MatchString(c.text):
		t.HelixDeg = Told[float64]{0, c.line, c.text}
	}
}

// shapeIn gives the word of the job file for the shape of tool that a comment names; "" for none.
func shapeIn(text string) string {
	switch m := cornerForm().FindStringSubmatch(text); {
	case veeForm().MatchString(text):
		return "vee"
	case drillForm().MatchString(text):
		return "drill"
	case strings.Contains(text, "BALL"):
		return "ball"
	case strings.Contains(text, "BULL") || m != nil && strings.Trim(m[1], "0.") != "":
		return "bull"
	case flatForm().MatchString(text):
		return "flat"
	}
	return ""
}

// diameterIn gives the diameter, mm, that a comment names for tool n.
func (r *Remarks) diameterIn(n int, text string) (float64, bool) {
	named := toolNamedForm().FindStringIndex(text)
	rest := text
	if named != nil {
		rest = text[named[1]-1:]
	}
	for _, m := range diameterForm().FindAllStringSubmatch(text, -1) {
		// A bare D with a whole number may be the number of an offset.
		if m[1] == "D" && m[2] == "" && (m[3] == strconv.Itoa(n) || lengthOffsetForm().MatchString(text)) {
			continue
		}
		if mm, ok := r.mm(m[3], m[4]); ok && mm >= leastCutterMM && mm <= mostCutterMM {
			return mm, true
		}
	}
	rest = flutesForm().ReplaceAllString(rest, " FLUTED ")
	for _, form := range []pattern{diameterAfter, cutterAfter, flutedAfter, cutterBefore} {
		if m := form().FindStringSubmatch(rest); m != nil {
			if mm, ok := r.mm(m[1], m[2]); ok && mm >= leastCutterMM && mm <= mostCutterMM {
				return mm, true
			}
		}
	}
	return 0, false
}

// mm gives a number of a comment in mm: in its own unit, else that of the program; fractions are inches.
func (r *Remarks) mm(number, unit string) (float64, bool) {
	x, isFraction := units.Fraction(number)
	if !isFraction {
		var err error
		if x, err = strconv.ParseFloat(number, 64); err != nil {
			return 0, false
		}
	}
	if inch := unit != "" && unit != "MM" || unit == "" && (isFraction || r.inch); inch {
		x *= units.InchMM
	}
	return x, true
}

// stockRemark reads what a comment says of the blank and of where Z 0 lies.
func (r *Remarks) stockRemark(c comment) {
	if stockWordForm().MatchString(c.text) && !r.SizeMM.Given() {
		m := sizeCrossForm().FindStringSubmatch(c.text)
		if m == nil {
			m = sizeAxesForm().FindStringSubmatch(c.text)
		}
		if size := r.sizes(m); size != nil {
			r.SizeMM = Told[[]float64]{size, c.line, c.text}
		}
	}
	if materialForm().MatchString(c.text) && !r.Material.Given() {
		for _, w := range materialWords {
			if w.form().MatchString(c.text) {
				r.Material = Told[string]{w.name, c.line, c.text}
				break
			}
		}
	}
	if zeroForm().MatchString(c.text) && !r.Zero.Given() {
		table, top := zeroTableForm().MatchString(c.text), zeroTopForm().MatchString(c.text)
		if table != top {
			r.Zero = Told[string]{map[bool]string{true: "table", false: "top"}[table], c.line, c.text}
		}
	}
}

// sizes gives the two or three lengths that a form found, mm; a unit behind one of them holds for all that have none.
func (r *Remarks) sizes(m []string) []float64 {
	if m == nil {
		return nil
	}
	unit := ""
	for i := 2; i < len(m); i += 2 {
		unit = max(unit, m[i])
	}
	var out []float64
	for i := 1; i+1 < len(m) && m[i] != ""; i += 2 {
		u := m[i+1]
		if u == "" {
			u = unit
		}
		mm, ok := r.mm(m[i], u)
		if !ok || mm <= 0 {
			return nil
		}
		out = append(out, mm)
	}
	return out
}
