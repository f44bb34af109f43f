package parse

// group is a modal group: of its codes one is in force at a time, and a block may hold only one (NIST RS274NGC v3,
// table 4; the groups marked so are common practice, no source).
type group uint8

const (
	groupOneShot  group = iota // G-0, non-modal
	groupMotion                // G-1
	groupPlane                 // G-2
	groupDistance              // G-3
	groupCentre                // G90.1, G91.1: common practice
	groupFeedMode              // G-5
	groupUnits                 // G-6
	groupComp                  // G-7
	groupLength                // G-8
	groupReturn                // G-10
	groupSystem                // G-12
	groupPath                  // G-13
	groupExact                 // G9: common practice
	groupPolar                 // G15, G16: common practice
	groupScale                 // G50, G51: common practice
	groupMirror                // G50.1, G51.1: common practice
	groupRotation              // G68, G69: common practice
	groupSpeed                 // G96, G97: common practice
	groupQuiet                 // codes that change no path: common practice
	gGroups

	groupStop     group = iota - 1 // M-4
	groupTool                      // M-6
	groupSpindle                   // M-7
	groupCoolant                   // M-8
	groupOverride                  // M-9
	groupCall                      // M98, M99: common practice
	groupMachine                   // M codes of the machine's maker
	groups
)

// G codes are counted in tenths: G38.2 is 382.
const (
	g0, g1, g2, g3          = 0, 10, 20, 30
	g4                      = 40
	g5, g5p1                = 50, 51
	g8, g9                  = 80, 90
	g10                     = 100
	g12, g13, g13p1         = 120, 130, 131
	g15, g16                = 150, 160
	g17, g18, g19           = 170, 180, 190
	g20, g21                = 200, 210
	g22, g25                = 220, 250
	g28, g30                = 280, 300
	g38p2                   = 382
	g40, g41, g42           = 400, 410, 420
	g40p1, g41p1, g41p2     = 401, 411, 412
	g42p1, g42p2            = 421, 422
	g43, g44, g49           = 430, 440, 490
	g43p1, g43p5            = 431, 435
	g50, g51                = 500, 510
	g50p1, g51p1            = 501, 511
	g52, g53                = 520, 530
	g54, g54p1, g59         = 540, 541, 590
	g59p1, g59p3            = 591, 593
	g61, g61p1, g64         = 610, 611, 640
	g62, g63                = 620, 630
	g65, g67                = 650, 670
	g68, g69                = 680, 690
	g70, g71                = 700, 710
	g73, g74, g76           = 730, 740, 760
	g80, g81                = 800, 810
	g82, g83, g84           = 820, 830, 840
	g85, g86, g87           = 850, 860, 870
	g88, g89                = 880, 890
	g90, g91                = 900, 910
	g90p1, g91p1            = 901, 911
	g92, g92p1              = 920, 921
	g92p2, g92p3            = 922, 923
	g93, g94, g95           = 930, 940, 950
	g96, g97                = 960, 970
	g98, g99                = 980, 990
	g154, g187              = 1540, 1870
	noCode              int = -1
)

// groupOfG gives the group of a G code and whether it goes beyond the published standard. ok is false for codes that
// are not read at all.
func groupOfG(n int) (g group, beyond, ok bool) {
	if g, ok := standardG(n); ok {
		return g, false, true
	}
	g, ok = furtherG(n)
	return g, true, ok
}

// standardG gives the group of a code of the published standard.
func standardG(n int) (g group, ok bool) {
	switch n {
	case g0, g1, g2, g3, g38p2, g80, g81, g82, g83, g84, g85, g86, g87, g88, g89:
		return groupMotion, true
	case g17, g18, g19:
		return groupPlane, true
	case g90, g91:
		return groupDistance, true
	case g93, g94:
		return groupFeedMode, true
	case g20, g21:
		return groupUnits, true
	case g40, g41, g42:
		return groupComp, true
	case g43, g49:
		return groupLength, true
	case g98, g99:
		return groupReturn, true
	case g54, g54 + 10, g54 + 20, g54 + 30, g54 + 40, g59, g59p1, g59p1 + 1, g59p3:
		return groupSystem, true
	case g61, g61p1, g64:
		return groupPath, true
	case g4, g10, g28, g30, g53, g92, g92p1, g92p2, g92p3:
		return groupOneShot, true
	}
	return 0, false
}

// furtherG gives the group of a code that goes beyond the published standard.
func furtherG(n int) (g group, ok bool) {
	switch n {
	case g73, g74, g76:
		return groupMotion, true
	case g90p1, g91p1:
		return groupCentre, true
	case g95:
		return groupFeedMode, true
	case g70, g71:
		return groupUnits, true
	case g41p1, g41p2, g42p1, g42p2:
		return groupComp, true
	case g44, g43p1, g43p1 + 1, g43p1 + 2, g43p1 + 3, g43p5:
		return groupLength, true
	case g54p1, g154:
		return groupSystem, true
	case g62, g63:
		return groupPath, true
	case g9:
		return groupExact, true
	case g52, g12, g13:
		return groupOneShot, true
	case g15, g16:
		return groupPolar, true
	case g50, g51:
		return groupScale, true
	case g50p1, g51p1:
		return groupMirror, true
	case g68, g69:
		return groupRotation, true
	case g96, g97:
		return groupSpeed, true
	case g65:
		return groupCall, true
	}
	_, ok = quietCodes[n]
	return groupQuiet, ok
}

// groupOfM gives the group of an M code and whether it goes beyond the published standard.
func groupOfM(n int) (g group, beyond, ok bool) {
	switch n {
	case 0, 1, 2, 30, 60:
		return groupStop, false, true
	case 6:
		return groupTool, false, true
	case 61:
		return groupTool, true, true
	case 3, 4, 5:
		return groupSpindle, false, true
	case 13, 14:
		return groupSpindle, true, true
	case 19, 29, 50, 51, 52, 53, 66:
		return groupMachine, true, true
	case 7, 8, 9:
		return groupCoolant, false, true
	case 88, 89:
		return groupCoolant, true, true
	case 48, 49:
		return groupOverride, false, true
	case 97, 98, 99:
		return groupCall, true, true
	}
	return 0, false, false
}

// isCycle tells canned cycles from other codes of the motion group.
func isCycle(n int) bool { return n == g73 || n == g74 || n == g76 || (n >= g81 && n <= g89) }

// codeName writes a G code given in tenths.
func codeName(n int) string {
	s := "G" + formatNumber(float64(n/10))
	if d := n % 10; d != 0 {
		s += "." + formatNumber(float64(d))
	}
	return s
}
