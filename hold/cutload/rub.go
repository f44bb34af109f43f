package cutload

import (
	"math"

	"staydown/hold/job"
)

// What a tool that removes nothing is taken to skim off. Common practice, no source: what a tool of usual stiffness
// sprang back from when it cut the wall.
const (
	rubMM      = 0.02
	rubDepthMM = 0.1 // a touched floor counts as a wall of this height
)

// rubbing turns a cut that removes nothing into those that skim the wall at either end of the arc. The tool springs
// against one side only, and the model does not know which.
func rubbing(tool job.Tool, cut Cut) []Cut {
	cut.DepthMM = math.Max(cut.DepthMM, rubDepthMM)
	cut.RampRad = math.Min(cut.RampRad, 0)
	if fz := cut.FeedMMMin / cut.RPM / float64(flutes(tool)); fz > rubMM {
		cut.FeedMMMin *= rubMM / fz
	}
	arc := math.Acos(math.Max(0, 1-rubMM/(tool.DiameterMM/2)))
	if cut.LeftRad-cut.RightRad <= arc {
		return []Cut{widened(cut, arc)}
	}
	right, left := cut, cut
	right.LeftRad = right.RightRad + arc
	left.RightRad = left.LeftRad - arc
	return []Cut{right, left}
}

// widened makes the arc of a cut at least so wide. Beyond the widest place of the cutter there is no wall: an arc in
// the front half stays there.
func widened(cut Cut, arc float64) Cut {
	if cut.LeftRad-cut.RightRad >= arc {
		return cut
	}
	middle := (cut.LeftRad + cut.RightRad) / 2
	if room := math.Pi/2 - arc/2; math.Abs(middle) <= math.Pi/2 {
		middle = math.Min(room, math.Max(-room, middle))
	}
	cut.RightRad, cut.LeftRad = middle-arc/2, middle+arc/2
	return cut
}

// either is the load of one of two cuts, it is not known which.
func either(a, b Load) Load {
	if b.Peak > a.Peak {
		a, b = b, a
	}
	a.Rotor = append(a.Rotor, b.Rotor...)
	a.Torque = append(a.Torque, b.Torque...)
	a.Heights = append(a.Heights, b.Heights...)
	if math.Abs(b.TorqueNmm) > math.Abs(a.TorqueNmm) {
		a.TorqueNmm = b.TorqueNmm
	}
	a.UpN = math.Max(a.UpN, b.UpN)
	a.DownN = math.Max(a.DownN, b.DownN)
	a.HeightMM = math.Max(a.HeightMM, b.HeightMM)
	return a
}
