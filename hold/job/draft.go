package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"staydown/hold/job/internal/remark"
	"staydown/hold/material"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/parse/units"
)

// levelMM is how far from Z 0 a height may lie and still count as on it, when the datum is guessed.
const levelMM = 0.5

// Draft is a job file drafted for a program.
type Draft struct {
	Text []byte
	Left []Left // what has to be filled in, in order of line
}

// Left is a value of a draft that has to be filled in.
type Left struct {
	Line int
	Key  string
	Why  string // it decides, or what it is
}

// NewDraft writes a job file for a program: what can be seen in it, what its comments say and what is guessed, each
// marked with where it comes from, and the word Fill wherever a value must be filled in. Src is the program's text,
// name what the head calls it. What the shop's job files give is left out. Units not chosen are those of the shop's job
// files, else of the program. The error is an Errors: the shop's files cannot be read.
func NewDraft(p *parse.Program, src []byte, name string, system units.System, shop ...File) (*Draft, error) {
	root, err := layered(shop)
	if err != nil {
		return nil, err
	}
	system = system.Or((&reader{}).units(root)).Or(p.Units)
	d := &draft{p: p, uses: usesOf(p), said: remark.Read(src, p.Units == units.Inch, -defaultHelixDeg), shop: root,
		system: system}
	if len(shop) > 0 {
		d.shopName = shop[len(shop)-1].Name
	}
	d.head(name)
	d.site()
	d.stock()
	d.layer()
	d.zone()
	d.pump()
	d.machine()
	d.tools()
	d.limits()
	return &Draft{[]byte(d.text.String()), d.left}, nil
}

// draft is a job file being written.
type draft struct {
	text     strings.Builder
	left     []Left
	p        *parse.Program
	uses     uses
	said     remark.Remarks
	shop     *node // what the shop's files give
	shopName string
	system   units.System
}

func (d *draft) say(format string, args ...any) { fmt.Fprintf(&d.text, format+"\n", args...) }

// shopUnits picks the wording in the units of the draft.
func (d *draft) shopUnits(metric, inch string) string {
	if d.system == units.Inch {
		return inch
	}
	return metric
}

// set writes a key with its value and a remark in a column of its own.
func (d *draft) set(key, value, remark string) {
	d.say("%s", strings.TrimRight(fmt.Sprintf("%-9s = %-30s # %s", key, value, remark), " #"))
}

// ask writes a key whose value holds the mark, and keeps why it is asked for.
func (d *draft) ask(key, value, remark, why string) {
	d.left = append(d.left, Left{strings.Count(d.text.String(), "\n") + 1, key, why})
	d.set(key, value, remark)
}

// given tells whether the shop's files give a key of a table, or the table at all for the key "".
func (d *draft) given(table, key string) bool {
	e, ok := d.shop.get(table)
	if !ok || key == "" {
		return ok
	}
	_, ok = e.value.get(key)
	return ok
}

// write gives a length in the units of the draft, short: to 0.001 mm or 0.0001 in.
func (d *draft) write(mm float64) string { return d.system.Length().Text(mm) }

func (d *draft) quoted(mm float64) string { return strconv.Quote(d.write(mm)) }

// commented says which comment a value comes from.
func commented[T any](t remark.Told[T]) string {
	const most = 60
	text := strings.Join(strings.Fields(oneLine(t.Text)), " ")
	if len(text) > most {
		text = text[:most] + " ..."
	}
	return fmt.Sprintf("from the comment on line %d: %q", t.Line, text)
}

// oneLine keeps the text of a comment within it: TOML allows no control characters there.
func oneLine(s string) string {
	s = strings.Map(func(c rune) rune {
		if unicode.IsControl(c) || c == unicode.ReplacementChar {
			return ' '
		}
		return c
	}, strings.ToValidUTF8(s, " "))
	const most = 200
	if len(s) > most {
		s = strings.ToValidUTF8(s[:most], "") + " ..."
	}
	return strings.ReplaceAll(s, Fill, strings.ToLower(Fill))
}

// fill is the mark in quotes.
const fill = `"` + Fill + `"`

func (d *draft) head(name string) {
	p, all := d.p, d.uses.all
	d.say("# Job file drafted for %s.", oneLine(name))
	d.say("# Replace every word in capital letters with a value; staydown check lists the ones still open.")
	if d.shopName != "" {
		d.say("# What is not here comes from %s.", oneLine(d.shopName))
	}
	read := "millimeters"
	if p.Units == units.Inch {
		read = "inches"
	}
	d.say("# The program is read in %s; feed moves %s, run time %s (h:mm:ss).", read, d.write(p.CutLengthMM),
		wording.Clock(p.DurationS))
	if all.known() {
		d.say("# The tip of the tool, when it feeds, goes from X %s to %s, Y %s to %s, Z %s to %s.", d.write(all.low.X),
			d.write(all.high.X), d.write(all.low.Y), d.write(all.high.Y), d.write(all.low.Z), d.write(all.high.Z))
	}
	const most = 20
	for i, a := range p.Assumed {
		if i == most {
			d.say("# ... and %d more", len(p.Assumed)-most)
			break
		}
		d.say("# Assumed when reading it: %s", oneLine(a))
	}
	unread := 0
	for _, n := range p.Notes {
		if n.Kind != parse.Unread && n.Kind != parse.CutShort {
			continue
		}
		if unread++; unread == 1 {
			d.say("# Not all of it could be read, first on line %d: %s", n.Pos.Line, oneLine(n.Message))
		}
	}
	if unread > 1 {
		d.say("# Places that could not be read: %d; extents and tools below may lack what they do.", unread)
	}
}

func (d *draft) site() {
	if d.given("site", "") {
		return
	}
	d.say("\n[site]")
	d.ask("altitude", fill, d.shopUnits(`above sea level, e.g. "250 m"; or pressure = "990 mbar"`,
		`above sea level, e.g. "800 ft"; or pressure = "29.2 inHg"`),
		"the pressure of the air, which is all that holds")
}

func (d *draft) stock() {
	d.say("\n[stock]")
	if d.uses.all.known() {
		d.say("# %s", d.datum())
		if deepest := d.uses.levelsInWords(d.write); deepest != "" {
			d.say("# Deepest level feeds: %s.", deepest)
		}
	} else {
		d.say("# The program does not feed anywhere that could be read.")
	}
	x, y, sx, sy, from := d.blank()
	bottom := fill
	if d.zeroOnTable() {
		bottom = d.quoted(0)
	}
	corner := fmt.Sprintf("[%s, %s, %s]", x, y, bottom)
	if bottom == fill {
		d.ask("corner", corner, from+"; Z of the table side", "Z of the table side: minus the thickness if Z 0 is "+
			"the top")
	} else {
		d.set("corner", corner, from+"; Z 0 on the table")
	}
	why := "the thickness, measured: " + d.shopUnits("0.2 mm decides", "0.005 in decides") +
		" whether a cut leaves a skin"
	remark := from + "; thickness: measure it"
	if size := d.said.SizeMM; len(size.Value) == 3 {
		remark += fmt.Sprintf(" (a comment says %s)", d.write(size.Value[2]))
	}
	d.ask("size", fmt.Sprintf("[%s, %s, %s]", sx, sy, fill), remark, why)
	switch m := d.said.Material; {
	case m.Given():
		d.set("material", strconv.Quote(m.Value), commented(m))
	case !d.given("stock", "material"):
		d.ask("material", fill, "built-in (staydown materials), or the NAME of a table [material.NAME]",
			"the cutting force, and what tabs and skins carry")
	}
	if !d.given("stock", "anchored") {
		d.set("anchored", "false", "true: the frame is screwed or clamped as well")
	}
}

// blank guesses corner and size of the blank along the table, in quotes, and says from what. The mark stands for what
// cannot be guessed.
func (d *draft) blank() (x, y, sx, sy, from string) {
	box, unknown := none(), ""
	for _, n := range d.uses.numbers() {
		u := d.uses.byTool[n]
		if !u.box.known() {
			continue
		}
		r, ok := d.diameterMM(n)
		if !ok {
			unknown = ", without the radius of tools that are not known"
		}
		box.add(parse.Point{X: u.box.low.X - r/2, Y: u.box.low.Y - r/2})
		box.add(parse.Point{X: u.box.high.X + r/2, Y: u.box.high.Y + r/2})
	}
	if !box.known() {
		return fill, fill, fill, fill, "no feed move"
	}
	if size := d.said.SizeMM; size.Given() && len(size.Value) > 1 {
		w, h := size.Value[0], size.Value[1]
		cx, okX := cornerOf(box.low.X, box.high.X, w)
		cy, okY := cornerOf(box.low.Y, box.high.Y, h)
		if okX && okY && blankMM.has(w) && blankMM.has(h) {
			return d.quoted(cx), d.quoted(cy), d.quoted(w), d.quoted(h), commented(size)
		}
	}
	// Outwards to whole steps, so that the cuts stay inside.
	step := 1.0
	if d.system == units.Inch {
		step = units.InchMM / 10
	}
	x0, y0 := math.Floor((box.low.X+sameMM)/step)*step, math.Floor((box.low.Y+sameMM)/step)*step
	w, h := math.Ceil((box.high.X-sameMM)/step)*step-x0, math.Ceil((box.high.Y-sameMM)/step)*step-y0
	if !blankMM.has(w) || !blankMM.has(h) {
		return fill, fill, fill, fill, "X and Y of the blank"
	}
	return d.quoted(x0), d.quoted(y0), d.quoted(w), d.quoted(h), "guess: extent of the cuts" + unknown +
		"; enlarge it to the sheet"
}

// cornerOf places a blank of a size round what is cut: from 0, about 0, or from the lowest cut; ok tells whether it
// fits.
func cornerOf(low, high, size float64) (corner float64, ok bool) {
	for _, c := range []float64{0, -size / 2, low} {
		if low >= c-sameMM && high <= c+size+sameMM {
			return c, true
		}
	}
	return 0, false
}

// diameterMM of a tool: of the shop's, else as comments say.
func (d *draft) diameterMM(n int) (float64, bool) {
	if t := d.shopTool(n); t != nil {
		if e, ok := t.get("diameter"); ok && e.value.form == text {
			if mm, _, f := length.readIn(e.value.text); f == nil {
				return mm, true
			}
		}
	}
	if t := d.said.Tools[n]; t != nil && t.DiameterMM.Given() && !t.Rival.Given() {
		return t.DiameterMM.Value, true
	}
	return 0, false
}

// shopTool gives the table of a tool in the shop's files; nil if it has none.
func (d *draft) shopTool(n int) *node {
	e, ok := d.shop.get("tool")
	if !ok || e.value.form != list {
		return nil
	}
	for _, item := range e.value.items {
		if k, ok := item.get("number"); ok && k.value.text == strconv.Itoa(n) {
			return item
		}
	}
	return nil
}

// zeroOnTable tells whether Z 0 is taken to be the table.
func (d *draft) zeroOnTable() bool {
	if z := d.said.Zero; z.Given() {
		return z.Value == "table"
	}
	return d.uses.onTable()
}

// datum says where Z 0 seems to lie.
func (d *draft) datum() string {
	low := d.write(d.uses.all.low.Z)
	switch z := d.said.Zero; {
	case z.Given() && z.Value == "table":
		return fmt.Sprintf("Z 0 is the table side of the blank, %s; the program goes down to Z %s.", commented(z), low)
	case z.Given():
		return fmt.Sprintf("Z 0 is the top of the blank, %s; the program goes down to Z %s.", commented(z), low)
	case d.uses.all.low.Z < -levelMM:
		return fmt.Sprintf("Guess: Z 0 is the top of the blank, since the program goes down to Z %s.", low)
	case d.uses.onTable():
		return fmt.Sprintf("Guess: Z 0 is the table side of the blank, since the program feeds along heights above "+
			"it and goes down to Z %s only.", low)
	case d.uses.all.low.Z <= levelMM:
		return fmt.Sprintf(
			"The program goes down to Z %s: Z 0 may be the table side of the blank, or its top if it is "+
				"only marked.", low)
	}
	return fmt.Sprintf("The program goes down to Z %s only: Z 0 seems to lie below the blank.", low)
}

func (d *draft) layer() {
	if d.given("layer", "") {
		return
	}
	var names []string
	for _, l := range material.Layers() {
		names = append(names, l.Name)
	}
	d.say("\n[layer]  # leave the table out for a bare gasketed chuck")
	d.ask("material", fill, "one of "+strings.Join(names, ", ")+"; or thickness and through of your own",
		"how much air every kerf lets in")
	d.say(`# friction  = 0.3            # part on layer, dry; else that of the pair of materials (staydown materials)`)
	d.say(`# cut_limit = %-14s # how deep a tool may go into it; half its thickness is assumed`,
		d.shopUnits(`"0.4 mm"`, `"0.015 in"`))
	d.say(`# edge      = "open"         # or "sealed": its rim is taped; open is assumed`)
	d.say(`# tack      = %-14s # shear strength of an adhesive face; none is assumed`,
		d.shopUnits(`"0 kPa"`, `"0 psi"`))
}

func (d *draft) zone() {
	if d.given("zone", "") {
		return
	}
	d.say("\n[[zone]]  # one table for each part of the chuck with its own valve")
	d.set("name", `"A"`, "guess")
	d.ask("area", fmt.Sprintf("[[%s, %s], [%s, %s]]", fill, fill, fill, fill), "two opposite corners, or three and "+
		"more round it", "where there is vacuum, and how much bare table lets air in")
	d.set("seal", `"layer"`, `guess; or "gasket"`)
	d.say(`# groove  = { pitch = %s }  # without it the whole zone breathes`,
		d.shopUnits(`"20 mm", width = "5 mm"`, `"0.75 in", width = "0.2 in"`))
	d.set("open", "true", "")
}

func (d *draft) pump() {
	kind, flow := d.given("pump", "kind"), d.given("pump", "flow") || d.given("pump", "curve")
	if kind && flow {
		return
	}
	d.say("\n[pump]")
	if !kind {
		var names []string
		for _, p := range material.Pumps() {
			names = append(names, p.Name)
		}
		d.ask("kind", fill, strings.Join(names, ", "), "the deepest vacuum")
	}
	if !flow {
		d.ask("flow", fill, "at no vacuum, e.g. "+d.shopUnits(`"63 m3/h"`, `"37 cfm"`), "how much leak the pump stands")
	}
	d.say(`# ultimate = %-16s # lowest absolute pressure; the kind's usual one is assumed`,
		d.shopUnits(`"20 mbar"`, `"0.6 inHg"`))
	d.say(`# leak     = %-16s # of hoses and rims at full vacuum; %g %% of the flow is assumed`,
		d.shopUnits(`"2 m3/h"`, `"1.2 cfm"`), 100*defaultLeakShare)
	d.say(`# alarm    = %-16s # vacuum below ambient at which the machine stops`,
		d.shopUnits(`"600 mbar"`, `"18 inHg"`))
}

func (d *draft) machine() {
	noUnits := false
	for _, n := range d.p.Notes {
		noUnits = noUnits || n.Kind == parse.NoUnits
	}
	noUnits = noUnits && !d.given("machine", "units")
	if d.given("machine", "") && !noUnits {
		return
	}
	d.say("\n[machine]")
	if !d.given("machine", "rapid") {
		d.set("rapid", strconv.Quote(d.system.Rapid().Text(defaultRapidMMMin)), "guess; only times depend on it")
	}
	if noUnits {
		d.ask("units", fill, "mm or inch: the program moves before G20 or G21; figures here are read in mm",
			"every length of the program")
	}
	if !d.given("origin", "") {
		d.say("\n# One table for each work offset that lies elsewhere than the coordinates above:")
		d.say("# [[origin]]")
		d.say(`# system = "G55"`)
		d.say(`# at     = %s`, d.shopUnits(`["300 mm", "0 mm", "0 mm"]`, `["12 in", "0 in", "0 in"]`))
	}
}

func (d *draft) tools() {
	numbers := d.uses.numbers()
	if len(numbers) == 0 && !d.given("tool", "") {
		d.say("\n# The program calls no tool and feeds nowhere that could be read; this table describes the one in " +
			"the spindle.")
		d.tool(&use{box: none()})
	}
	for i, n := range numbers {
		if i == maxTools {
			d.say("\n# The program calls %d more tools, more than a job file may hold.", len(numbers)-maxTools)
			return
		}
		d.say("")
		if d.shopTool(n) == nil {
			d.tool(d.uses.byTool[n])
			continue
		}
		d.say("# Tool %d is in %s; %s.", n, oneLine(d.shopName), d.uses.byTool[n].story(d.write))
		shop, _ := d.diameterMM(n)
		if t := d.said.Tools[n]; t != nil && t.DiameterMM.Given() && math.Abs(shop-t.DiameterMM.Value) > levelStepMM {
			d.say("# CHECK it: its diameter there is %s, here it is %s (%s).", d.write(shop),
				d.write(t.DiameterMM.Value), commented(t.DiameterMM))
		}
		if u := d.uses.byTool[n]; d.lacksSpeed(u) {
			d.say("[[tool]]")
			d.set("number", fmt.Sprint(n), "")
			d.speed(u)
		}
	}
}

func (d *draft) tool(u *use) {
	t := d.said.Tools[u.number]
	if t == nil {
		t = &remark.Tool{}
	}
	d.say("[[tool]]")
	d.say("# %s", u.story(d.write))
	d.set("number", fmt.Sprint(u.number), "")
	shape, from := "flat", "guess; flat, ball, bull (with corner), vee (with angle), drill"
	switch {
	case t.Shape.Given():
		shape, from = t.Shape.Value, commented(t.Shape)
	case u.lengthMM > 0 && !u.sideways:
		shape = "drill"
	}
	d.set("shape", strconv.Quote(shape), from)
	switch {
	case t.Rival.Given():
		d.ask("diameter", fill, fmt.Sprintf("comments disagree: %s %s, %s %s", d.write(t.DiameterMM.Value),
			commented(t.DiameterMM), d.write(t.Rival.Value), commented(t.Rival)), "the width of every kerf")
	case t.DiameterMM.Given():
		d.set("diameter", d.quoted(t.DiameterMM.Value), commented(t.DiameterMM))
	default:
		d.ask("diameter", fill, "", "the width of every kerf")
	}
	switch {
	case shape == "bull" && t.CornerMM.Given():
		d.set("corner", d.quoted(t.CornerMM.Value), commented(t.CornerMM))
	case shape == "bull":
		d.ask("corner", fill, "radius", "the area that its end leaves")
	case shape == "vee" && t.AngleDeg.Given(), shape == "drill" && t.AngleDeg.Given():
		d.set("angle", strconv.Quote(trimmed(t.AngleDeg.Value)+" deg"), commented(t.AngleDeg))
	case shape == "vee":
		d.ask("angle", fill, "of the point", "the width of its cut")
	}
	if t.Flutes.Given() {
		d.set("flutes", fmt.Sprint(t.Flutes.Value), commented(t.Flutes))
	} else {
		d.set("flutes", fmt.Sprint(defaultFlutes), "guess")
	}
	switch {
	case shape == "drill":
	case t.HelixDeg.Given():
		d.set("helix", strconv.Quote(trimmed(t.HelixDeg.Value)+" deg"), commented(t.HelixDeg))
	default:
		d.set("helix", strconv.Quote(trimmed(defaultHelixDeg)+" deg"), "guess: up-cut, which lifts; negative: down-cut")
	}
	d.speed(u)
	d.say(`# reach    = %-16s # flute length`, d.shopUnits(`"22 mm"`, `"0.875 in"`))
}

// lacksSpeed tells whether neither the program nor the shop's files give the speed that a tool cuts with.
func (d *draft) lacksSpeed(u *use) bool {
	if u.lengthMM <= 0 || u.rpmTop > 0 || d.given("machine", "speed") {
		return false
	}
	_, ok := d.shopTool(u.number).get("speed")
	return !ok
}

func (d *draft) speed(u *use) {
	if d.lacksSpeed(u) {
		d.ask("speed", fill, "of the spindle: the program has no S", "the chip, and so the cutting force")
	}
}

func (d *draft) limits() {
	if !d.given("limits", "margin") {
		d.say("\n[limits]")
		d.set("margin", fmt.Sprintf("%.1f", defaultMargin), "required of the low end of each margin's range; 1 is "+
			"the limit")
	}
}
