package machine

import (
	"fmt"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
	"strings"
)

// Wetting gives the moment from which the work lies wet, with the line and the code that turn the coolant on; Never
// when none does. It stays wet for the rest of the program: paper and board do not dry in minutes, and under a part
// nothing does.
func Wetting(prog *parse.Program, j *job.Job) (at sweep.Progress, line int, code string) {
	for _, c := range prog.Coolant {
		for _, output := range []struct {
			on   bool
			does job.Coolant
			code string
		}{{c.Mist, j.Machine.M7, "M7"}, {c.Flood, j.Machine.M8, "M8"}} {
			if output.on && output.does.Wets() {
				return sweep.Progress(c.Move), c.Line, output.code
			}
		}
	}
	return sweep.Never, 0, ""
}

// CoolantStatements tell what the program's coolant is taken to be where the job does not say.
func CoolantStatements(prog *parse.Program, j *job.Job) (out []string) {
	if at, line, code := Wetting(prog, j); at < sweep.Never {
		out = append(out, fmt.Sprintf("parts are wet, with wet friction, from line %d (%s) to the end", line, code))
	}
	var mist, flood bool
	for _, c := range prog.Coolant {
		mist, flood = mist || c.Mist, flood || c.Flood
	}
	for _, output := range []struct {
		used bool
		does job.Coolant
		key  string
	}{{mist, j.Machine.M7, "m7"}, {flood, j.Machine.M8, "m8"}} {
		if output.used && output.does == job.CoolantUnknown {
			out = append(out, fmt.Sprintf("%s is assumed to turn on flood coolant ([machine] %s)",
				strings.ToUpper(output.key), output.key))
		}
	}
	return out
}
