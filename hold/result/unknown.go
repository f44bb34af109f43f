package result

import "math"

// Unanalysed is the result of a program that could not be analyzed: incomplete, with the reason as its only finding.
func Unanalysed(path, reason string) *Result {
	return &Result{
		Program:  ProgramFacts{Path: path},
		Verdict:  Incomplete,
		Chance:   math.NaN(),
		Findings: []Finding{NewFinding(RuleUnanalysed, LevelError, 0, 0, reason)},
		LeakM3h:  UnknownLeaks(),
		Vacuum:   UnknownVacuum(),
	}
}

// UnknownVacuum is that of a program that was not fully read, and all that is not asked.
func UnknownVacuum() Vacuum {
	nan := math.NaN()
	return Vacuum{
		AmbientKPa: nan, StartKPa: nan, LeastKPa: nan, AlarmSetpointKPa: nan, NeverBelowKPa: nan, PumpNeededM3h: nan,
	}
}

// UnknownLeaks tells no way apart.
func UnknownLeaks() Leaks {
	nan := math.NaN()
	return Leaks{Bare: nan, Kerfs: nan, Holes: nan, Rim: nan, Work: nan, LayerRim: nan, Gaskets: nan, Hoses: nan}
}
