package result

// Level is the severity of a finding.
type Level uint8

const (
	LevelNote Level = iota
	LevelWarning
	LevelError
)

// String gives the word that the contract uses.
func (l Level) String() string { return [...]string{"note", "warning", "error"}[l] }

// Rule is a kind of finding.
type Rule struct {
	ID      string
	Level   Level  // highest level of its findings
	Meaning string // one line, for help texts
	Advice  string // general; the remedy of a finding is computed
}

// Rule ids as in findings.
const (
	RuleSlip       = "slip"
	RuleTwist      = "twist"
	RuleTip        = "tip"
	RuleLift       = "lift"
	RuleUnheld     = "unheld"
	RuleSliver     = "sliver"
	RuleSealOpen   = "seal-open"
	RulePumpShort  = "pump-short"
	RuleBareTable  = "bare-table"
	RuleSetpoint   = "setpoint"
	RuleChuck      = "chuck"
	RuleRapidCut   = "rapid-cut"
	RuleCollision  = "collision"
	RuleOutside    = "outside"
	RuleNoCut      = "no-cut"
	RuleReach      = "reach"
	RuleCutData    = "cut-data"
	RuleChipLoad   = "chip-load"
	RuleMilledAway = "milled-away"
	RuleThickness  = "thickness"
	RuleUnread     = "unread"
	RuleCutShort   = "cut-short"
	RuleUnits      = "units"
	RuleAfterEnd   = "after-end"
	RuleReading    = "reading"
	RuleUnanalysed = "unanalysed"
)

// Rules lists every rule in the order of help texts. The caller may change the slice.
func Rules() []Rule { return append(pieceRules(), jobRules()...) }

// pieceRules are those of how pieces are held.
func pieceRules() []Rule {
	return []Rule{
		{RuleSlip, LevelError, "the cutter pushes a piece sideways harder than friction holds it",
			"lower the feed or the last pass, leave a skin or tabs, or cut the piece while it is still part of a " +
				"larger one"},
		{RuleTwist, LevelError, "the cutter turns a piece about a point inside it",
			"put a tab or two far from the middle of the piece, or lower the feed of the closing cut"},
		{RuleTip, LevelError, "the cutter tips a piece over its edge: the load is high above the table and the " +
			"piece narrow",
			"leave a skin or tabs; less feed helps little, because the height of the cut decides"},
		{RuleLift, LevelError, "the cutter lifts a piece off the table",
			"use a down-cut or straight flute, or a smaller last pass"},
		{RuleUnheld, LevelError, "a freed piece is over no open zone, or all of it is cut away or has lost its vacuum",
			"move the job on the chuck, open the zone, or hold the piece by tabs"},
		{RuleSliver, LevelError, "freed pieces are smaller than the tool and can be thrown; those below its section " +
			"are one entry",
			"clear the area with the tool instead of cutting round it, or leave a skin"},
	}
}

// jobRules are those of table, tools and the text of the program.
func jobRules() []Rule {
	return []Rule{
		{RuleSealOpen, LevelWarning, "a gasketed zone is cut open and sucks air",
			"keep through-cuts outside the cord, or use a permeable layer"},
		{RulePumpShort, LevelWarning, "the vacuum falls below the alarm of the machine",
			"cover open table, close unused zones, use a larger pump, or set the alarm lower if the margins allow it"},
		{RuleBareTable, LevelNote, "bare table beside the stock costs a fifth of the vacuum or more",
			"cover it with film or a board and write covered = true in its zone, or close the zone"},
		{RuleSetpoint, LevelNote, "no single alarm setting keeps the required margin in every block",
			"reset the alarm at tool changes and stops, as the finding says"},
		{RuleChuck, LevelError, "the tool goes deeper into the layer than its limit, or through it into the chuck",
			"raise the lowest Z of the program, or use a thicker layer"},
		{RuleRapidCut, LevelError, "a rapid move goes through material",
			"raise the clearance plane, or make it a feed move"},
		{RuleCollision, LevelError, "tool or holder meets a clamp or a fixture, or goes beyond the edge of the table",
			"move the clamp or the fixture, raise the clearance plane, or use a longer tool where the holder meets it"},
		{RuleOutside, LevelNote, "the tool cuts outside the stock",
			"check the corner and the size of the stock against the program's zero"},
		{RuleNoCut, LevelError,
			"nothing is cut: the program has no feed moves, or none that meets the stock, so nothing could be checked",
			"check the corner and the size of the stock, the units and the work offsets"},
		{RuleReach, LevelWarning, "the cut is deeper than the tool's flutes reach, so its shank or holder rubs",
			"use a longer tool, or cut from the other side"},
		{RuleCutData, LevelError, "the chip load from F, S and the flute count is implausible, so no load can be " +
			"computed",
			"check F, S and the number of flutes; a piece cannot be called held without them"},
		{RuleChipLoad, LevelWarning, "the chip is more than a tenth of the cutter's diameter per tooth",
			"check F, S, their units and the number of flutes; all loads rest on them"},
		{RuleMilledAway, LevelWarning, "a freed piece is milled away by later cuts",
			"clear the area before it is cut free, or leave a skin under it"},
		{RuleThickness, LevelWarning, "the tolerance of the blank decides whether a cut goes through or a skin stays",
			"measure the blank; cut a little deeper, or leave a thicker skin"},
		{RuleUnread, LevelError, "a block could not be understood, so what follows may be wrong",
			"rewrite the block in plain RS-274, or have the post expand it"},
		{RuleCutShort, LevelError, "neither M2, M30 nor a closing percent sign ends the program, or a subprogram has " +
			"no end: the file may have been cut short",
			"post the program again; if the post ends all programs this way, write end = \"none\" under [machine]"},
		{RuleUnits, LevelError, "the program moves before G20 or G21, so its units are not known",
			"write G20 or G21 first in the program, or units under [machine]"},
		{RuleAfterEnd, LevelWarning, "blocks behind M2 or M30 would move the tool but are never executed",
			"move the end of the program after them, or delete them"},
		{RuleReading, LevelNote, "a non-standard construct was accepted",
			"nothing, if the control reads it the same way"},
		{RuleUnanalysed, LevelError, "the program could not be analyzed",
			"do not run the program: it was not checked; report the fault"},
	}
}

// AboutMargin tells whether the findings of a rule are about the margin of a piece.
func AboutMargin(rule string) bool {
	switch rule {
	case RuleSlip, RuleTwist, RuleTip, RuleLift:
		return true
	}
	return false
}

// AboutPiece tells whether the findings of a rule say how a piece is held.
func AboutPiece(rule string) bool {
	return AboutMargin(rule) || rule == RuleUnheld || rule == RuleSliver
}

// RuleByID finds a rule; ok is false if there is none.
func RuleByID(id string) (rule Rule, ok bool) {
	for _, r := range Rules() {
		if r.ID == id {
			return r, true
		}
	}
	return Rule{}, false
}
