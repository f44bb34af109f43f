package job

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"staydown/hold/material"
	"staydown/sweep"
)

// What a tool is taken to be where the job does not say. An up-cut helix lifts, so that taking one is the safe way.
const (
	defaultFlutes   = 2
	defaultHelixDeg = 30
	defaultRunoutMM = 0.01
	defaultPointDeg = 118 // of a drill (common practice, no source)
)

// lacking are the tools that lack a key, so that one assumption names all of them.
type lacking struct {
	key     string
	input   string // what moves margins, in few words; "" if it does not
	words   string // with one %[1]s for the tools
	figures []any  // behind the tools
	numbers []int
}

// toolDefaults lists the keys of a tool that are assumed if missing, in the order of the assumptions.
func toolDefaults() []lacking {
	return []lacking{
		{key: "shape", input: "shape of the tool", words: "shape flat assumed for %s"},
		{key: "flutes", input: "flutes", words: fmt.Sprintf("%d flutes assumed for %%s", defaultFlutes)},
		{key: "helix", input: "helix", words: fmt.Sprintf("helix %d deg (up-cut) assumed for %%s", defaultHelixDeg)},
		{key: "rake", input: "rake", words: "rake 0 deg assumed for %s"},
		{key: "reach", words: "flute length unknown for %s: cutting with the shank goes unnoticed (reach)"},
		{key: "runout", input: "run-out", words: "run-out %[2]s, at most a hundredth of the diameter, " +
			"assumed for %[1]s (common practice, no source)", figures: []any{inLength(defaultRunoutMM)}},
		{key: "angle", words: fmt.Sprintf("point angle %d deg assumed for %%s", defaultPointDeg)},
		{key: "offset", words: "with cutter radius compensation the path of %s is taken as the outline of the part " +
			"(offset)"},
	}
}

// tools reads every [[tool]]. Number 0 is the tool that is in the spindle before the first tool change.
func (r *reader) tools(root *node) map[int]Tool {
	out := map[int]Tool{}
	lines := map[int]int{}
	defaults := toolDefaults()
	for _, s := range r.each(root, "tool", maxTools) {
		numbered := s.need("number", "1")
		n, ok := s.count("number", span{low: 0, high: math.MaxInt32})
		t := s.tool(n)
		if !numbered || !ok {
			continue
		}
		for i := range defaults {
			d := &defaults[i]
			if !s.has(d.key) && (d.key != "angle" || t.Shape == sweep.Drill) {
				d.numbers = append(d.numbers, n)
			}
		}
		if line, twice := lines[n]; twice {
			s.say(s.where("number"), "number", fmt.Sprintf("tool %d is already given on line %d", n, line),
				"write each number once")
			continue
		}
		lines[n] = s.at.Line
		out[n] = t
	}
	for _, d := range defaults {
		if len(d.numbers) > 0 {
			args := append([]any{ToolNames(d.numbers)}, d.figures...)
			if d.input != "" {
				r.assumeInput(d.input, d.words, args...)
			} else {
				r.assume(d.words, args...)
			}
		}
	}
	return out
}

// tool reads one [[tool]] but for its number.
func (s section) tool(number int) Tool {
	t := Tool{Flutes: defaultFlutes, HelixRad: defaultHelixDeg * degree}
	t.Number = number
	i, ok := s.choice("shape", "flat", "ball", "bull", "vee", "drill")
	t.Shape = [...]sweep.Shape{sweep.Flat, sweep.Ball, sweep.Bull, sweep.Vee, sweep.Drill}[i]
	if s.need("diameter", `"6 mm"`) {
		t.DiameterMM, _ = s.quantity("diameter", length, diameterMM)
	}
	if ok || !s.has("shape") {
		s.point(&t)
	}
	if f, ok := s.count("flutes", fluteRange); ok {
		t.Flutes = f
	}
	if h, ok := s.quantity("helix", angle, helixRad); ok {
		t.HelixRad = h
	}
	s.style(&t)
	t.RPM, _ = s.quantity("speed", spindle, spindleRPM)
	t.RakeRad, _ = s.quantity("rake", angle, rakeRadRange)
	t.ReachMM, _ = s.quantity("reach", length, toolLengthMM)
	t.LengthMM, _ = s.quantity("length", length, toolLengthMM)
	if t.LengthMM > 0 && t.ReachMM > t.LengthMM {
		s.say(s.where("reach"), "reach", fmt.Sprintf("the flutes (%s) are longer than the tool (%s)",
			s.length(t.ReachMM), s.length(t.LengthMM)),
			"write length as what stands out of the holder")
	}
	s.holder(&t)
	runout, ok := s.figure("runout", length, runoutMM, material.OfRunout)
	if !ok {
		runout = single(min(defaultRunoutMM, t.DiameterMM/100), material.OfAssumedRunout, "assumed")
	}
	t.RunoutMM = runout.Likely
	s.runoutDoubt(t, runout)
	if t.DiameterMM > 0 && t.RunoutMM >= t.DiameterMM/2 {
		s.say(s.where("runout"), "runout", fmt.Sprintf("%s is not less than half the diameter of %s",
			s.length(t.RunoutMM), s.length(t.DiameterMM)),
			"write how far the edges run off the axis")
	}
	o, _ := s.choice("offset", "part", "in-path")
	t.InPath = o == 1
	return t
}

// style reads the turning point of a compression tool and the hand of a tool.
func (s section) style(t *Tool) {
	h, _ := s.choice("hand", "right", "left")
	if s.has("hand") {
		t.Hand = [...]Hand{RightHand, LeftHand}[h]
	}
	up, ok := s.quantity("upcut", length, toolLengthMM)
	switch {
	case !ok:
	case t.Shape == sweep.Drill:
		s.say(s.where("upcut"), "upcut", "a drill has no down-cut part", "leave it out")
	case t.HelixRad <= 0:
		s.say(s.where("upcut"), "upcut", "the helix below it is not up-cut",
			`write helix = "30 deg" or what it is, above 0; it is turned above upcut`)
	default:
		t.UpcutMM = up
	}
}

// holder reads what is above the tool. Of two lengths that say where the holder begins, the lower counts.
func (s section) holder(t *Tool) {
	t.HolderMM, _ = s.quantity("holder", length, holderMM)
	t.GaugeMM = t.LengthMM
	gauge, ok := s.quantity("gauge_length", length, toolLengthMM)
	if !ok {
		return
	}
	if t.ReachMM > gauge {
		s.say(s.where("gauge_length"), "gauge_length", fmt.Sprintf("the holder begins at %s, below the end of "+
			"the flutes at %s", s.length(gauge), s.length(t.ReachMM)),
			"write gauge_length as the length from the tip up to the holder")
	}
	if t.GaugeMM == 0 || gauge < t.GaugeMM {
		t.GaugeMM = gauge
	}
}

// point reads what only some shapes have.
func (s section) point(t *Tool) {
	wantsCorner := t.Shape == sweep.Bull
	wantsAngle := t.Shape == sweep.Vee || t.Shape == sweep.Drill
	if !wantsCorner {
		s.only("only a bull-nosed tool has a corner radius", `leave it out or write shape = "bull"`, "corner")
	} else if s.need("corner", `"1 mm"`) {
		c, ok := s.quantity("corner", length, cornerMM)
		if ok && t.DiameterMM > 0 && c > t.DiameterMM/2 {
			s.say(s.where("corner"), "corner", fmt.Sprintf("a radius of %s is more than half the diameter of %s",
				s.length(c), s.length(t.DiameterMM)), "write a smaller radius")
			ok = false
		}
		if ok {
			t.CornerMM = c
		}
	}
	switch {
	case !wantsAngle:
		s.only("only vee tools and drills have a point angle", `leave it out or write shape = "vee" or "drill"`,
			"angle")
	case t.Shape == sweep.Vee && !s.need("angle", `"60 deg"`):
	default:
		t.AngleRad = defaultPointDeg * degree
		if a, ok := s.quantity("angle", angle, pointRad); ok {
			t.AngleRad = a
			if t.Shape == sweep.Vee && a >= math.Pi-degree/2 {
				s.say(s.where("angle"), "angle", "a point of 180 deg is flat",
					`write a smaller angle, or shape = "flat"`)
			}
		}
	}
}

// ToolNames writes the numbers of tools in words, in rising order.
func ToolNames(numbers []int) string {
	sorted := append([]int(nil), numbers...)
	sort.Ints(sorted)
	names := make([]string, len(sorted))
	for i, n := range sorted {
		names[i] = strconv.Itoa(n)
	}
	if len(names) == 1 {
		return "tool " + names[0]
	}
	return "tools " + strings.Join(names, ", ")
}
