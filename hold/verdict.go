package hold

import (
	"math"
	"slices"
)

// judge gives the worst verdict that the findings call for.
func judge(findings []Finding) Verdict {
	v := Held
	for _, f := range findings {
		v = max(v, f.calls())
	}
	return v
}

// calls is the verdict that one finding alone would bring. Rules that say nothing about hold (a rapid move through
// material, a narrow piece, a short tool) leave it alone: what they do to hold shows in the margins.
func (f Finding) calls() Verdict {
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
	case RuleSlip, RuleTwist, RuleTip, RuleLift:
		if !math.IsNaN(f.Margin) && f.Margin < 1 {
			return Loose
		}
		return AtRisk
	}
	return Held
}

// fullyRead tells whether the findings leave nothing of the program out of account.
func fullyRead(findings []Finding) bool {
	return !slices.ContainsFunc(findings, func(f Finding) bool { return f.calls() == Incomplete })
}
