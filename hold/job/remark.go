package job

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"staydown/parse/units"
)

// told is a value that a comment of the program gives, with its place.
type told[T any] struct {
	value T
	line  int    // 0: no comment gives it
	text  string // of the comment
}

func (t told[T]) given() bool { return t.line > 0 }

// from says where the value comes from.
func (t told[T]) from() string {
	const most = 60
	text := strings.Join(strings.Fields(oneLine(t.text)), " ")
	if len(text) > most {
		text = text[:most] + " ..."
	}
	return fmt.Sprintf("from the comment on line %d: %q", t.line, text)
}

// toolRemarks is what comments say of one tool.
type toolRemarks struct {
	diameterMM, cornerMM told[float64]
	angleDeg             told[float64]
	flutes               told[int]
	shape                told[string]
	helixDeg             told[float64]
	rival                told[float64] // another diameter, if comments disagree
}

// remarks is what the comments of a program say of what lies on the table. How posts and programmers write these is
// common practice, no source.
type remarks struct {
	tools    map[int]*toolRemarks
	sizeMM   told[[]float64] // X and Y, and the thickness if it is given
	material told[string]    // a built-in
	zero     told[string]    // "table" or "top"
	inch     bool            // unit of numbers without one
}

// A number as comments write it, with its unit: 6.0, .25, 1/4, 1-1/2; mm, in, a double quote.
const (
	numberForm = `(\d+[ -]\d+/\d+|\d+/\d+|\d*\.\d+|\d+\.?)`
	unitForm   = `\s*(MM|INCH(?:ES)?|IN\b|")?`
	// As unitForm, but it must be there.
	needUnitForm = `\s*(MM|INCH(?:ES)?|IN\b|")`
	cutterForm   = `(?:END\s?-?MILL|FLAT|BALL|BULL|UP-?\s?CUT|DOWN-?\s?CUT|COMPRESSION|SPIRAL|STRAIGHT|DRILL|BIT\b|CUTTER|ROUTER|` +
		`MILL\b|SLOT|EM\b)`
)

// pattern is a regular expression, compiled when it is first used: only drafts read comments.
type pattern func() *regexp.Regexp

func newPattern(text string) pattern {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

var (
	commentForm   = newPattern(`\([^)]*\)?|;.*`)
	toolWordForm  = newPattern(`(?i)T\s*(\d{1,5})(?:[^\d.]|$)`)
	toolNamedForm = newPattern(
		`(?:^|[^A-Z])T(?:OOL)?\s*(?:NO\.?|NUMBER|NR\.?|#)?\s*[:#=]?\s*0*(\d{1,5})(?:[^\d./]|$)`)
	diameterForm = newPattern(`(?:^|[^A-Z])(DIAMETER|DIAM|DIA|Ø|D)\b?\.?\s*([=:]|-\s)?\s*` + numberForm +
		unitForm)
	diameterAfter = newPattern(numberForm + unitForm + `\s*(?:DIAMETER|DIAM|DIA\b|Ø)`)
	cutterAfter   = newPattern(numberForm + unitForm + `[A-Z0-9 .,"-]{0,24}?` + cutterForm)
	// These need a unit: a bare number beside them may be that of the operation or of the tool.
	flutedAfter  = newPattern(numberForm + needUnitForm + `[A-Z0-9 .,"-]{0,24}?` + `(?:FLUTED?|FLT|FL)\b`)
	cutterBefore = newPattern(cutterForm + `S?[^A-Z0-9.]{1,3}` + numberForm + needUnitForm)
	cornerForm   = newPattern(`\b(?:CR|CORNER RADIUS|CORNER RAD)\.?\s*[=:]?\s*` + numberForm + unitForm)
	fluteForm    = newPattern(
		`(\d)\s*-?\s*(?:FLUTES?|FLT|FL)\b|\bFLUTES?\s*[=:]?\s*(\d)\b|\b(SINGLE)\b.{0,12}\bFL`)
	angleForm     = newPattern(`(\d+(?:\.\d+)?)\s*-?(?:DEG|°)`)
	stockWordForm = newPattern(`\b(?:STOCK|BLANK|SHEET|BLOCK|PLATE|PANEL|BOARD|MATERIAL SIZE)\b`)
	sizeCrossForm = newPattern(numberForm + unitForm + `\s*[X*×]\s*` + numberForm + unitForm +
		`(?:\s*[X*×]\s*` + numberForm + unitForm + `)?`)
	sizeAxesForm = newPattern(`X\s*[=:]?\s*` + numberForm + unitForm + `\W+Y\s*[=:]?\s*` + numberForm +
		unitForm + `(?:\W*Z\s*[=:]?\s*` + numberForm + unitForm + `)?`)
	materialForm  = newPattern(`\b(?:MATERIAL|STOCK|MATL|MAT|SHEET|BLANK)\b`)
	zeroForm      = newPattern(`\bZ\s*-?\s*(?:0|ZERO)\b(?:[^.\d]|$)|\bZERO\b`)
	zeroTableForm = newPattern(`\b(?:TABLE|BED|SPOIL|BOTTOM|UNDERSIDE)`)
	zeroTopForm   = newPattern(`\b(?:TOP|SURFACE)\b`)
	flatForm      = newPattern(
		`\bFLAT\b|END\s?-?MILL|SLOT|UP-?\s?CUT|DOWN-?\s?CUT|COMPRESSION|SPIRAL|STRAIGHT|ROUTER`)
	veeForm          = newPattern(`\bV[ -]?(?:BIT|GROOVE|CUTTER|TOOL)|\bVEE\b|ENGRAV|CHAMFER`)
	drillForm        = newPattern(`\b(?:DRILL|SPOT)`)
	flutesForm       = newPattern(`\d\s*-?\s*(?:FLUTES?|FLT|FL)\b`)
	downCutForm      = newPattern(`DOWN-?\s?CUT`)
	straightForm     = newPattern(`\bSTRAIGHT\b`)
	lengthOffsetForm = newPattern(`\bH\s*\d`)
)

// materialWords tells built-in materials by the words that shops use, the more special first.
var materialWords = []struct {
	form pattern
	name string
}{
	{newPattern(`\b(?:ACP|ACM|ALU(?:M|MINI?UM)? COMPOSITE)\b`), "aluminium-composite"},
	{newPattern(`\b(?:2024|7050|7075)\b`), "aluminium-high-strength"},
	{newPattern(`\b(?:5083|5754|6061|6082)\b`), "aluminium-sheet"},
	{newPattern(`\bCAST\s+ALU`), "aluminium-cast"},
	{newPattern(`\bALU(?:M|MINI?UM)?\b`), "aluminium-wrought"},
	{newPattern(`\bSTAINLESS\b`), "steel-stainless"},
	{newPattern(`\bSTEEL\b`), "steel-mild"},
	{newPattern(`\bBRASS\b`), "brass"},
	{newPattern(`\b(?:ACRYLIC|PMMA)\b`), "pmma"},
	{newPattern(`\b(?:POLYCARBONATE|PC)\b`), "pc"},
	{newPattern(`\b(?:HDPE|POLYETHYLENE)\b`), "hdpe"},
	{newPattern(`\bPETG\b`), "petg"},
	{newPattern(`\b(?:PP|POLYPROPYLENE)\b`), "pp"},
	{newPattern(`\b(?:POM|ACETAL)\b`), "pom"},
	{newPattern(`\bABS\b`), "abs"},
	{newPattern(`\b(?:CARBON|CFRP)\b`), "laminate-carbon"},
	{newPattern(`\b(?:GFRP|GRP|G-?10|FR-?4)\b`), "laminate-glass"},
	{newPattern(`\b(?:FACED|LAMINATED|MELAMINE) MDF\b`), "mdf-faced"},
	{newPattern(`\bMDF\b`), "mdf"},
	{newPattern(`\bMELAMINE\b`), "particleboard-faced"},
	{newPattern(`\b(?:PARTICLE ?BOARD|CHIPBOARD)\b`), "particleboard"},
	{newPattern(`\bPLY(?:WOOD)?\b`), "plywood"},
	{newPattern(`\b(?:SOFTWOOD|PINE|SPRUCE|FIR)\b`), "softwood"},
	{newPattern(`\b(?:HARDWOOD|OAK|BEECH|MAPLE|ASH|WALNUT|CHERRY|BIRCH)\b`), "hardwood"},
	{newPattern(`\bCORK\b`), "cork"},
	{newPattern(`\b(?:HPL|COMPACT LAMINATE|PHENOLIC)\b`), "laminate-paper"},
	{newPattern(`\bPVC FOAM\b|\b(?:FOAMED|EXPANDED) PVC\b`), "pvc-foam"},
	{newPattern(`\bPVC\b`), "pvc"},
}

// comment is one comment of a program, in capitals.
type comment struct {
	line int
	text string
}

// maxRemarks bounds the comments that are looked at: drafts are for the head of a program and its tool calls.
const maxRemarks = 20000

// readRemarks reads the comments of a program. Inch is the unit of the program, which counts where a comment names
// none.
func readRemarks(src []byte, inch bool) remarks {
	r := remarks{tools: map[int]*toolRemarks{}, inch: inch}
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

func (r *remarks) toolRemark(n int, c comment) {
	t := r.tools[n]
	if t == nil {
		t = &toolRemarks{}
		r.tools[n] = t
	}
	d, ok := r.diameterIn(n, c.text)
	if ok && !t.diameterMM.given() {
		t.diameterMM = told[float64]{d, c.line, c.text}
	} else if ok && math.Abs(d-t.diameterMM.value) > 1e-6*d && !t.rival.given() {
		t.rival = told[float64]{d, c.line, c.text}
	}
	if !ok && (!t.diameterMM.given() || t.diameterMM.line != c.line) {
		return // shapes and flutes are read only beside a diameter: other comments use the words for other things
	}
	if m := fluteForm().FindStringSubmatch(c.text); m != nil && !t.flutes.given() {
		if n, err := strconv.Atoi(m[1] + m[2]); err == nil && n > 0 {
			t.flutes = told[int]{n, c.line, c.text}
		} else if m[3] != "" {
			t.flutes = told[int]{1, c.line, c.text}
		}
	}
	if shape := shapeIn(c.text); shape != "" && !t.shape.given() {
		t.shape = told[string]{shape, c.line, c.text}
	}
	if m := cornerForm().FindStringSubmatch(c.text); m != nil && !t.cornerMM.given() {
		if mm, ok := r.mm(m[1], m[2]); ok && mm > 0 && 2*mm < d {
			t.cornerMM = told[float64]{mm, c.line, c.text}
		}
	}
	if m := angleForm().FindStringSubmatch(c.text); m != nil && !t.angleDeg.given() {
		if x, err := strconv.ParseFloat(m[1], 64); err == nil && x > 0 && x < 180 {
			t.angleDeg = told[float64]{x, c.line, c.text}
		}
	}
	switch {
	case t.helixDeg.given():
	case downCutForm().MatchString(c.text):
		t.helixDeg = told[float64]{-defaultHelixDeg, c.line, c.text}
	case straightForm().MatchString(c.text):
		t.helixDeg = told[float64]{0, c.line, c.text}
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
func (r *remarks) diameterIn(n int, text string) (float64, bool) {
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
func (r *remarks) mm(number, unit string) (float64, bool) {
	x, isFraction := fraction(number)
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
func (r *remarks) stockRemark(c comment) {
	if stockWordForm().MatchString(c.text) && !r.sizeMM.given() {
		m := sizeCrossForm().FindStringSubmatch(c.text)
		if m == nil {
			m = sizeAxesForm().FindStringSubmatch(c.text)
		}
		if size := r.sizes(m); size != nil {
			r.sizeMM = told[[]float64]{size, c.line, c.text}
		}
	}
	if materialForm().MatchString(c.text) && !r.material.given() {
		for _, w := range materialWords {
			if w.form().MatchString(c.text) {
				r.material = told[string]{w.name, c.line, c.text}
				break
			}
		}
	}
	if zeroForm().MatchString(c.text) && !r.zero.given() {
		table, top := zeroTableForm().MatchString(c.text), zeroTopForm().MatchString(c.text)
		if table != top {
			r.zero = told[string]{map[bool]string{true: "table", false: "top"}[table], c.line, c.text}
		}
	}
}

// sizes gives the two or three lengths that a form found, mm; a unit behind one of them holds for all that have none.
func (r *remarks) sizes(m []string) []float64 {
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
