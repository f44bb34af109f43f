package job

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"unicode"

	"staydown/hold/material"
	"staydown/hold/wording"
	"staydown/parse"
)

// levelMM is how far from Z 0 a height may lie and still count as on it, when the datum is guessed.
const levelMM = 0.5

// use is what a program does with one tool.
type use struct {
	number           int
	line             int // of the first call; 0 when the tool is in the spindle from the start
	lengthMM         float64
	feedLow, feedTop float64 // mm/min
	rpmLow, rpmTop   float64
	box              extent
	sideways         bool // it cuts along the table, not only down
}

// Draft writes a job file for a program: what can be seen in it, what is guessed from it, marked as such, and the word
// Fill wherever a value must be filled in. Parse reports just those lines until they are. Name is what the head calls
// the program.
func Draft(p *parse.Program, name string) []byte {
	d := &draft{}
	all := none()
	cuts := map[int]*use{}
	for i := range p.Moves.Len() {
		m := p.Moves.At(i)
		if m.Kind != parse.Feed && m.Kind != parse.Arc {
			continue
		}
		all.addMove(&m)
		u := cuts[int(m.Tool)]
		if u == nil {
			u = &use{number: int(m.Tool), box: none(), feedLow: math.Inf(1), rpmLow: math.Inf(1)}
			cuts[int(m.Tool)] = u
		}
		u.add(&m)
	}
	for _, c := range p.ToolCalls {
		if u := cuts[c.Tool]; u == nil && c.Tool > 0 {
			cuts[c.Tool] = &use{number: c.Tool, line: c.Line, box: none()}
		} else if u != nil && u.line == 0 {
			u.line = c.Line
		}
	}
	d.head(p, name, all)
	d.site()
	d.stock(all, cuts)
	d.layer()
	d.zone()
	d.pump()
	d.machine(p)
	d.tools(cuts)
	d.limits()
	return []byte(d.String())
}

func (u *use) add(m *parse.Move) {
	u.box.addMove(m)
	u.lengthMM += m.LengthMM
	if m.FeedMMMin > 0 {
		u.feedLow, u.feedTop = min(u.feedLow, m.FeedMMMin), max(u.feedTop, m.FeedMMMin)
	}
	if m.RPM > 0 {
		u.rpmLow, u.rpmTop = min(u.rpmLow, m.RPM), max(u.rpmTop, m.RPM)
	}
	if m.Kind == parse.Arc || math.Hypot(m.End.X-m.Start.X, m.End.Y-m.Start.Y) > sameMM {
		u.sideways = true
	}
}

// draft is the text of a job file being written.
type draft struct{ strings.Builder }

func (d *draft) say(format string, args ...any) {
	fmt.Fprintf(&d.Builder, format+"\n", args...)
}

// set writes a key with its value and a remark in a column of its own.
func (d *draft) set(key, value, remark string) {
	d.say("%s", strings.TrimRight(fmt.Sprintf("%-9s = %-38s # %s", key, value, remark), " #"))
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

func quoted(x float64, unit string) string { return fmt.Sprintf("%q", trimmed(x)+" "+unit) }

// fill is the mark in quotes.
const fill = `"` + Fill + `"`

func (d *draft) head(p *parse.Program, name string, all extent) {
	d.say("# Job file drafted for %s.", oneLine(name))
	d.say("# Write a value in place of every word in capital letters; the check names each such line until it is done.")
	d.say("# Look at every line that says guess.")
	d.say("#")
	units := "millimetres"
	if p.Inch {
		units = "inches, here turned into millimetres"
	}
	d.say("# The program is read in %s; feed moves %s mm, run time %s.", units, trimmed(p.CutLengthMM),
		wording.Clock(p.DurationS)+" (h:mm:ss)")
	if all.known() {
		d.say("# The tip of the tool, when it feeds, goes from X %s to %s, Y %s to %s, Z %s to %s mm.",
			trimmed(all.low.X), trimmed(all.high.X), trimmed(all.low.Y), trimmed(all.high.Y), trimmed(all.low.Z),
			trimmed(all.high.Z))
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
	d.say("\n[site]")
	d.set("altitude", fill, `above sea level, e.g. "250 m"; or pressure = "990 mbar"`)
}

func (d *draft) stock(all extent, cuts map[int]*use) {
	d.say("\n[stock]")
	switch {
	case !all.known():
		d.say("# The program does not feed anywhere that could be read.")
	default:
		d.say("# Guess: the blank reaches just as far as the tip of the tool; it is larger where parts are cut out " +
			"with stock around.")
		d.say("# %s", datum(all, cuts))
	}
	x, y, sx, sy := fill, fill, fill, fill
	if all.known() {
		// Outwards to whole millimetres, so that the tip stays inside.
		x0, y0 := math.Floor(all.low.X+sameMM), math.Floor(all.low.Y+sameMM)
		w, h := math.Ceil(all.high.X-sameMM)-x0, math.Ceil(all.high.Y-sameMM)-y0
		if blankMM.has(w) && blankMM.has(h) {
			x, y, sx, sy = quoted(x0, "mm"), quoted(y0, "mm"), quoted(w, "mm"), quoted(h, "mm")
		}
	}
	guess := ""
	if x != fill {
		guess = "guess of X and Y; "
	}
	d.set("corner", fmt.Sprintf("[%s, %s, %s]", x, y, fill), guess+"Z of its table side")
	d.set("size", fmt.Sprintf("[%s, %s, %s]", sx, sy, fill), guess+"thickness")
	for _, line := range wrapped(builtWorks(), 90) {
		d.say("# built-in: %s", line)
	}
	d.set("material", fill, "a built-in one, or the NAME of a table [material.NAME]")
	d.set("anchored", "false", "true: the frame is screwed or clamped as well")
}

// datum says where Z 0 seems to lie.
func datum(all extent, cuts map[int]*use) string {
	top := math.Inf(-1) // highest Z of the deepest points: where cutting goes on, not where it starts from
	for _, u := range cuts {
		if u.box.known() {
			top = max(top, u.box.low.Z)
		}
	}
	switch low := all.low.Z; {
	case low < -levelMM:
		return fmt.Sprintf("Guess: Z 0 is the top of the blank, as the program goes down to Z %s mm; its table side "+
			"then lies at minus its thickness.", trimmed(low))
	case low <= levelMM && top > low:
		return fmt.Sprintf("Guess: Z 0 is the table side of the blank, as the program goes down to Z %s mm and no "+
			"farther.", trimmed(low))
	case low <= levelMM:
		return fmt.Sprintf("The program goes down to Z %s mm: Z 0 may be the table side of the blank, or its top if "+
			"it is only marked.", trimmed(low))
	default:
		return fmt.Sprintf("The program goes down to Z %s mm only: Z 0 seems to lie below the blank.", trimmed(low))
	}
}

// wrapped joins words with commas into lines of at most about width letters.
func wrapped(words []string, width int) []string {
	var lines []string
	line := ""
	for i, w := range words {
		if i < len(words)-1 {
			w += ","
		}
		if line != "" && len(line)+1+len(w) > width {
			lines = append(lines, line)
			line = ""
		}
		line = strings.TrimSpace(line + " " + w)
	}
	return append(lines, line)
}

func (d *draft) layer() {
	var names []string
	for _, l := range material.Layers() {
		names = append(names, l.Name)
	}
	d.say("\n[layer]  # leave the table out for a bare gasketed chuck")
	d.set("thickness", fill, "of the sacrificial sheet")
	d.set("through", fill, `permeability across it, e.g. "3e-13 m2"`)
	d.say("# material  = %q  # brings both figures from a built-in layer: %s", names[len(names)-1],
		strings.Join(names, ", "))
	d.say(`# friction  = 0.3            # part on layer, dry; else that of the pair of materials (staydown materials)`)
	d.say(`# cut_limit = "0.4 mm"       # how deep a tool may go into it; half its thickness is assumed`)
	d.say(`# edge      = "open"         # or "sealed": its rim is taped; open is assumed`)
	d.say(`# tack      = "0 kPa"        # shear strength of an adhesive face; none is assumed`)
}

func (d *draft) zone() {
	d.say("\n[[zone]]  # one table for each part of the chuck with its own valve")
	d.set("name", `"A"`, "guess")
	d.set("area", fmt.Sprintf("[[%s, %s], [%s, %s]]", fill, fill, fill, fill), "two opposite corners, or three and "+
		"more round it")
	d.set("seal", `"layer"`, `guess; or "gasket"`)
	d.say(`# groove  = { pitch = "20 mm", width = "5 mm" }  # without it the whole zone breathes`)
	d.set("open", "true", "")
}

func (d *draft) pump() {
	d.say("\n[pump]")
	var names []string
	for _, p := range material.Pumps() {
		names = append(names, p.Name)
	}
	d.set("kind", fill, strings.Join(names, ", "))
	d.set("flow", fill, `at no vacuum, e.g. "63 m3/h"`)
	d.say(`# ultimate = "20 mbar"        # lowest absolute pressure; the kind's usual one is assumed`)
	d.say(`# leak     = "2 m3/h"         # of hoses and rims at full vacuum; %g %% of the flow is assumed`,
		100*defaultLeakShare)
	d.say(`# alarm    = "600 mbar"       # vacuum below ambient at which the machine stops`)
}

func (d *draft) machine(p *parse.Program) {
	d.say("\n[machine]")
	d.set("rapid", quoted(defaultRapidMMMin/1000, "m/min"), "guess; only times depend on it")
	for _, n := range p.Notes {
		if n.Kind == parse.NoUnits {
			d.set("units", fill, "mm or inch: the program moves before G20 or G21; figures here are read in mm")
		}
	}
	d.say("\n# One table for each work offset that lies elsewhere than the coordinates above:")
	d.say("# [[origin]]")
	d.say(`# system = "G55"`)
	d.say(`# at     = ["300 mm", "0 mm", "0 mm"]`)
}

func (d *draft) tools(cuts map[int]*use) {
	var numbers []int
	for n := range cuts {
		if n >= 0 {
			numbers = append(numbers, n)
		}
	}
	sort.Ints(numbers)
	if len(numbers) == 0 {
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
		d.tool(cuts[n])
	}
}

func (d *draft) tool(u *use) {
	d.say("[[tool]]")
	d.say("# %s", u.story())
	d.set("number", fmt.Sprint(u.number), "")
	shape := "flat"
	if u.lengthMM > 0 && !u.sideways {
		shape = "drill"
	}
	d.set("shape", fmt.Sprintf("%q", shape), "guess; flat, ball, bull (with corner), vee (with angle), drill")
	d.set("diameter", fill, "")
	d.set("flutes", fmt.Sprint(defaultFlutes), "guess")
	if shape != "drill" {
		d.set("helix", quoted(defaultHelixDeg, "deg"), "guess: up-cut, which lifts; negative for down-cut")
	}
	d.say(`# reach    = "22 mm"          # flute length`)
}

// story tells what the program does with the tool.
func (u *use) story() string {
	var b strings.Builder
	switch {
	case u.line > 0:
		fmt.Fprintf(&b, "called on line %d", u.line)
	default:
		b.WriteString("in the spindle from the start")
	}
	if u.lengthMM <= 0 || !u.box.known() {
		return b.String() + "; does not cut"
	}
	fmt.Fprintf(&b, "; feeds along %s mm", trimmed(u.lengthMM))
	if u.feedTop > 0 {
		fmt.Fprintf(&b, " at %s mm/min", fromTo(u.feedLow, u.feedTop))
	}
	if u.rpmTop > 0 {
		fmt.Fprintf(&b, ", %s rpm", fromTo(u.rpmLow, u.rpmTop))
	} else {
		b.WriteString(", spindle speed not seen")
	}
	fmt.Fprintf(&b, ", down to Z %s mm", trimmed(u.box.low.Z))
	return b.String()
}

func fromTo(low, high float64) string {
	if high-low <= 1e-9*high {
		return trimmed(high)
	}
	return trimmed(low) + " to " + trimmed(high)
}

func (d *draft) limits() {
	d.say("\n[limits]")
	d.set("margin", fmt.Sprintf("%.1f", defaultMargin), "guess: capacity over load that is asked for")
}
