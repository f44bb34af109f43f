package words

import (
	"fmt"
	"math"

	"staydown/hold/result"
)

// Kind names the kind of a finding in pages and comments: "loose" or "at-risk" for a margin, the rule for all others.
func Kind(f result.Finding) string {
	switch f.Rule {
	case "slip", "twist", "tip", "lift", "unheld":
		if f.Level == result.LevelError {
			return result.Loose.String()
		}
		return result.AtRisk.String()
	}
	return f.Rule
}

// Place renders the start of a GNU error line: file, and line and column if known.
func Place(path string, line, column int) string {
	switch {
	case line <= 0:
		return path + ":"
	case column <= 0:
		return fmt.Sprintf("%s:%d:", path, line)
	default:
		return fmt.Sprintf("%s:%d:%d:", path, line, column)
	}
}

// CompareGravity puts errors before warnings before notes, and lower margins first.
func CompareGravity(a, b result.Finding) int {
	if a.Level != b.Level {
		return int(b.Level) - int(a.Level)
	}
	x, y := a.Margin, b.Margin
	if math.IsNaN(x) {
		x = math.Inf(1)
	}
	if math.IsNaN(y) {
		y = math.Inf(1)
	}
	switch {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}
