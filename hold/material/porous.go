package material

import (
	"slices"
	"strings"
)

// Facing tells which faces of a sheet a tight skin covers: laminate, foil, varnish.
type Facing uint8

const (
	FacedNone Facing = iota
	FacedTop
	FacedBottom // the table side
	FacedBoth
)

// String gives the word of the job file.
func (f Facing) String() string { return [...]string{"none", "top", "bottom", "both"}[f] }

// permeability is how a material lets air through, across the sheet and in its plane, m2.
type permeability struct {
	through, along Range
	faced          Facing
}

const (
	fibreboardAir = "J. Wood & Forest Sci. Technol., gas permeability of medium density fibreboard: 0.38e-13 to " +
		"6.26e-13 m2 over adhesive and wax contents"
	strandAir = "from memory, weak: chips of all sizes leave wider ways than fibres; oriented strand board of 12 " +
		"mm has 1.3e-13 to 1.8e-12 m2 (EN 12114 study)"
	faceTight   = "; laminate, foil and varnish let nothing through (common practice, no source)"
	closedCells = "tight: its cells are closed (from memory)"
)

// permeabilities of the built-in materials; those that are not named are tight.
var permeabilities = map[string]permeability{
	"cork": {
		through: Range{1e-14, 1e-13, 1e-12, "from memory, weak: pressed granules 1e-14 to 1e-12 m2"},
		along:   Range{1e-14, 1e-13, 1e-12, "from memory, weak: as across the sheet"},
	},
	"foam-open": {
		through: Range{1e-10, 1e-9, 1e-8, "from memory: soft foam with open cells 1e-10 to 1e-8 m2"},
		along:   Range{1e-10, 1e-9, 1e-8, "from memory: as across the sheet"},
	},
	"mdf": {
		through: Range{0.38e-13, 1e-13, 6.26e-13, fibreboardAir},
		along:   Range{0.4e-13, 2e-13, 6e-13, "from memory: about twice the figure across the sheet; not confirmed"},
	},
	"mdf-faced": {
		through: Range{0.38e-13, 1e-13, 6.26e-13, fibreboardAir + faceTight},
		along:   Range{0.4e-13, 2e-13, 6e-13, "from memory: about twice the figure across the sheet; not confirmed"},
		faced:   FacedBoth,
	},
	"particleboard": {
		through: Range{1e-13, 5e-13, 3e-12, strandAir + "; 1e-13 to 3e-12 m2"},
		along:   Range{1e-13, 1e-12, 5e-12, "from memory, weak: about twice the figure across the sheet"},
	},
	"particleboard-faced": {
		through: Range{1e-13, 5e-13, 3e-12, strandAir + "; 1e-13 to 3e-12 m2" + faceTight},
		along:   Range{1e-13, 1e-12, 5e-12, "from memory, weak: about twice the figure across the sheet"},
		faced:   FacedBoth,
	},
	"plywood": {
		through: Range{1e-17, 1e-16, 1e-15, "from memory: veneers across the grain 1e-17 to 1e-15 m2 (Siau, " +
			"Transport Processes in Wood), glue lines no more; lathe checks uncounted"},
		along: Range{1e-13, 5e-13, 5e-12, "from memory: half of the plies along the grain, 1e-13 to 1e-11 m2 (Siau)"},
	},
	"softwood": {
		through: Range{1e-17, 1e-16, 1e-15, "from memory: across the grain 1e-17 to 1e-15 m2 (Siau, Transport " +
			"Processes in Wood; Comstock)"},
		along: Range{1e-13, 1e-12, 1e-11, "from memory: along the grain 1e-13 to 1e-11 m2 (Siau; Comstock)"},
	},
	"pvc-foam": {through: Exact(0, closedCells), along: Exact(0, closedCells)},
}

// Works lists the built-in materials in alphabetical order.
func Works() []Work {
	all := solids()
	for _, faced := range []struct{ of, name, meaning string }{
		{"mdf", "mdf-faced", "medium-density fibreboard with laminate, foil or varnish on both faces"},
		{"particleboard", "particleboard-faced", "particleboard with laminate or foil on both faces"},
	} {
		for _, w := range all {
			if w.Name == faced.of {
				w.Name, w.Meaning = faced.name, faced.meaning
				all = append(all, w)
			}
		}
	}
	for i, w := range all {
		all[i] = w.breathing()
	}
	slices.SortFunc(all, func(a, b Work) int { return strings.Compare(a.Name, b.Name) })
	return all
}

// breathing gives a work material its permeability.
func (w Work) breathing() Work {
	const tight = "tight: no pores that air passes at these pressures (from memory)"
	w.Through, w.Along = Exact(0, tight), Exact(0, tight)
	if p, ok := permeabilities[w.Name]; ok {
		w.Through, w.Along, w.Faced = p.through, p.along, p.faced
	}
	return w
}
