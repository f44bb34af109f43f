package job

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"staydown/parse"
)

var outputWords = regexp.MustCompile(`^[Mm]([0-9]{1,5})(?: ?[Pp]([0-9]{1,5}))?$`)

const exampleOutput = `"M62 P3" = "zone A on"`

// outputs reads [machine.output]: what M codes of the machine switch.
func (r *reader) outputs(root *node, j *Job) []Switch {
	s := r.section(root, "machine")
	e, ok := s.node.get("output")
	if !ok || e.value.form != table {
		return nil
	}
	var out []Switch
	lines := map[parse.Output]int{}
	for i, k := range e.value.keys {
		if i >= maxHarmlessM {
			r.say(k.at, k.name, fmt.Sprintf("more than %d outputs", maxHarmlessM), "leave out those that the "+
				"programs do not use")
			break
		}
		sw, ok := r.output(k, j)
		if !ok {
			continue
		}
		if line, twice := lines[sw.Output]; twice {
			r.say(k.at, k.name, fmt.Sprintf("%v is already given on line %d", sw.Output, line), "write each code once")
			continue
		}
		lines[sw.Output] = k.at.Line
		out = append(out, sw)
	}
	slices.SortFunc(out, func(a, b Switch) int {
		return cmp.Or(cmp.Compare(a.Output.M, b.Output.M), cmp.Compare(a.Output.P, b.Output.P))
	})
	return out
}

// output reads one line of [machine.output].
func (r *reader) output(e entry, j *Job) (sw Switch, ok bool) {
	m := outputWords.FindStringSubmatch(e.name)
	if m == nil {
		r.say(e.at, e.name, "is not an M code with or without P", "write it as programs do, as in "+exampleOutput)
		return sw, false
	}
	sw.Output.M, _ = strconv.Atoi(m[1])
	if sw.Output.P = parse.NoP; m[2] != "" {
		sw.Output.P, _ = strconv.Atoi(m[2])
	}
	if parse.StandardM(sw.Output.M) {
		r.say(e.at, e.name, "has a meaning of its own in every program", "leave it out")
		return sw, false
	}
	if e.value.unused {
		return sw, false
	}
	words := strings.Fields(e.value.text)
	if e.value.form == text && len(words) == 1 && words[0] == "harmless" {
		return sw, true
	}
	kinds := map[string]Switched{"pump": SwitchesPump, "zone": SwitchesZone, "clamp": SwitchesClamp}
	n := len(words) - 1
	if e.value.form != text || n < 1 || kinds[words[0]] == SwitchesNothing || words[n] != "on" && words[n] != "off" {
		r.say(e.value.at, e.name, fmt.Sprintf("%q is not what an output switches", e.value.text),
			`write "harmless", "pump on", "zone NAME on", "clamp NAME on", or off`)
		return sw, false
	}
	sw.What, sw.On = kinds[words[0]], words[n] == "on"
	sw.Name = strings.Join(words[1:n], " ")
	return sw, r.named(e, sw, j)
}

// named tells whether the job has the zone or clamp that an output switches.
func (r *reader) named(e entry, sw Switch, j *Job) bool {
	var names []string
	switch sw.What {
	case SwitchesZone:
		for _, z := range j.Zones {
			names = append(names, z.Name)
		}
	case SwitchesClamp:
		for _, c := range j.Clamps {
			names = append(names, c.Name)
		}
	}
	if sw.Name == "" || slices.Contains(names, sw.Name) {
		return true
	}
	what := map[Switched]string{SwitchesPump: "pump", SwitchesZone: "zone", SwitchesClamp: "clamp"}[sw.What]
	do := "write one of " + strings.Join(names, ", ")
	if len(names) == 0 {
		do = fmt.Sprintf("write %q", what+" on")
	}
	r.say(e.value.at, e.name, fmt.Sprintf("there is no %s %q", what, sw.Name), do)
	return false
}
