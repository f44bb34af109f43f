package shape

// Cutter is a tool with its lower surface.
type Cutter struct {
	Tool
	profile
}

// NewCutter takes a tool whose figures were checked.
func NewCutter(t Tool) *Cutter { return &Cutter{Tool: t, profile: newProfile(t)} }
