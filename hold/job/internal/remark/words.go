package remark

import (
	"regexp"
	"sync"
)

// A number as comments write it, with its unit: 6.0, .25, 1/4, 1-1/2; mm, in, a double quote.
const (
	numberForm = `(\d+[ -]\d+/\d+|\d+/\d+|\d*\.\d+|\d+\.?)`
	unitForm   = `\s*(MM|INCH(?:ES)?|IN\b|")?`
	// As unitForm, but it must be there.
	needUnitForm = `\s*(MM|INCH(?:ES)?|IN\b|")`
	cutterForm   = `(?:END\s?-?MILL|FLAT|BALL|BULL|UP-?\s?CUT|DOWN-?\s?CUT|COMPRESSION|SPIRAL|STRAIGHT|DRILL|BIT\b|CUTTER|` +
		`ROUTER|MILL\b|SLOT|EM\b)`
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
