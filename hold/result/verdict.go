package result

import (
	"math"
	"slices"
)

// Judge returns the worst verdict of the findings.
func Judge(findings []Finding) Verdict {
	v := Held
	for _, f := range findings {
		v = max(v, f.Verdict())
	}
	return v
}

// Verdict is the verdict of one finding alone. A warning or note that says nothing about hold (a cut outside the stock,
// a short tool) does not change it: its effect on hold shows in the margins. An error does: under a rapid move through
// material no measured force stands, and the cutter may break.
func (f Finding) Verdict() Verdict {
	switch f.Rule {
	case RuleUnheld:
		return Loose
	case RuleSliver, RuleMilledAway:
		switch {
		case f.Margin < 1:
			return Loose
		case f.Unresolved:
			return AtRisk
		}
	case RuleUnread, RuleCutShort, RuleUnits, RuleNoCut, RuleCutData, RuleUnanalysed:
		return Incomplete
	case RuleChuck, RuleCollision, RulePumpShort:
		return AtRisk
	case RuleThickness:
		if f.Level >= LevelWarning {
			return AtRisk
		}
	case RuleSlip, RuleTwist, RuleTip, RuleLift:
		if !math.IsNaN(f.Margin) && f.Margin < 1 {
			return Loose
		}
		return AtRisk
	}
	if f.Level >= LevelError {
		return AtRisk
	}
	return Held
}

// FullyRead reports whether the findings say that the whole program was read and computed.
func FullyRead(findings []Finding) bool {
	return !slices.ContainsFunc(findings, func(f Finding) bool { return f.Verdict() == Incomplete })
}
