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
	through, along Figure
	faced          Facing
}

const (
	fibreboardAir = "J. Wood & Forest Sci. Technol., gas permeability of medium density fibreboard: 0.38e-13 to 6.26e-13 m2 over adhesive and wax contents; a middle value"
	strandAir     = "from memory, weak: chips of all sizes leave wider ways than fibres; oriented strand board of 12 mm has 1.3e-13 to 1.8e-12 m2 (EN 12114 study)"
	faceTight     = "; laminate, foil and varnish let nothing through (common practice, no source)"
	closedCells   = "tight: its cells are closed (from memory)"
)

// permeabilities of the built-in materials; those that are not named are tight.
var permeabilities = map[string]permeability{
	"cork": {
		through: Figure{1e-13, "from memory, weak: pressed granules 1e-14 to 1e-12 m2, middle"},
		along:   Figure{1e-13, "from memory, weak: as across the sheet"},
	},
	"foam-open": {
		through: Figure{1e-9, "from memory: soft foam with open cells 1e-10 to 1e-8 m2, middle"},
		along:   Figure{1e-9, "from memory: as across the sheet"},
	},
	"mdf": {
		through: Figure{1e-13, fibreboardAir},
		along:   Figure{2e-13, "from memory: about twice the figure across the sheet; not confirmed"},
	},
	"mdf-faced": {
		through: Figure{1e-13, fibreboardAir + faceTight},
		along:   Figure{2e-13, "from memory: about twice the figure across the sheet; not confirmed"},
		faced:   FacedBoth,
	},
	"particleboard": {
		through: Figure{5e-13, strandAir + "; 1e-13 to 3e-12 m2, middle"},
		along:   Figure{1e-12, "from memory, weak: about twice the figure across the sheet"},
	},
	"particleboard-faced": {
		through: Figure{5e-13, strandAir + "; 1e-13 to 3e-12 m2, middle" + faceTight},
		along:   Figure{1e-12, "from memory, weak: about twice the figure across the sheet"},
		faced:   FacedBoth,
	},
	"plywood": {
		through: Figure{1e-16, "from memory: veneers across the grain 1e-17 to 1e-15 m2 (Siau, Transport Processes in Wood), glue lines no more; lathe checks uncounted"},
		along:   Figure{5e-13, "from memory: half of the plies along the grain, 1e-13 to 1e-11 m2 (Siau); lower part"},
	},
	"softwood": {
		through: Figure{1e-16, "from memory: across the grain 1e-17 to 1e-15 m2 (Siau, Transport Processes in Wood; Comstock), middle"},
		along:   Figure{1e-12, "from memory: along the grain 1e-13 to 1e-11 m2 (Siau; Comstock), middle"},
	},
	"pvc-foam": {through: Figure{0, closedCells}, along: Figure{0, closedCells}},
}

// Works lists the built-in materials in alphabetical order.
func Works() []Work {
	all := append(solids(), softWorks()...)
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

// softWorks are materials of which no cutting figures are published that could be read.
func softWorks() []Work {
	const weak = "from memory, weak: "
	return []Work{
		{
			Name:    "cork",
			Meaning: "pressed cork granules",
			KC11:    Figure{10, weak + "below softwood"},
			MC:      Figure{0.3, weak + "as for other wood-based work"},
			Edge:    Figure{1, "common practice, no source"},
			Radial:  Figure{0.5, "common practice, no source"},
			Density: Figure{150, "from memory: 150 to 500 kg/m3, lower end"},
			Shear:   Figure{0.3, weak + "half of the tensile strength"},
			Tensile: Figure{0.6, weak + "0.6 to 2 N/mm2, lower end"},
			Yield:   Figure{0.6, weak + "the tensile strength stands for it"},
			Rake:    Figure{0, rakeZero},
			Drill:   Figure{0, noDrill},
		},
		{
			Name:    "foam-open",
			Meaning: "soft foam with open cells",
			KC11:    Figure{2, weak + "a small share of a solid plastic"},
			MC:      Figure{0.3, weakPlastic + "0.2 to 0.4 for plastics, middle"},
			Edge:    Figure{0.3, "common practice, no source"},
			Radial:  Figure{0.5, "common practice, no source"},
			Density: Figure{20, "from memory: 20 to 60 kg/m3, lower end"},
			Shear:   Figure{0.05, weak + "half of the tensile strength"},
			Tensile: Figure{0.1, weak + "0.08 to 0.2 N/mm2, lower part"},
			Yield:   Figure{0.1, weak + "the tensile strength stands for it"},
			Rake:    Figure{0, rakeZero},
			Drill:   Figure{0, noDrill},
		},
		{
			Name:    "softwood",
			Meaning: "pine, spruce and the like, solid",
			KC11:    Figure{25, weak + "10 to 40 N/mm2 across the grain at chips of 0.1 to 0.3 mm; gives 50 at 0.1"},
			MC:      Figure{0.3, weak + "as for other wood-based work"},
			Edge:    Figure{2, "common practice, no source"},
			Radial:  Figure{0.5, "common practice, no source: dull edges push"},
			Density: Figure{400, "from memory: 400 to 550 kg/m3, lower end"},
			Shear:   Figure{2, "from memory: across the grain 2 to 5 N/mm2 at webs, lower end"},
			Tensile: Figure{3, "from memory: across the grain 2 to 4 N/mm2"},
			Yield:   Figure{3, weak + "the tensile strength across the grain stands for it"},
			Rake:    Figure{0, rakeZero},
			Drill:   Figure{0, noDrill},
		},
	}
}

// breathing gives a work material its permeability.
func (w Work) breathing() Work {
	const tight = "tight: no pores that air passes at these pressures (from memory)"
	w.Through, w.Along = Figure{0, tight}, Figure{0, tight}
	if p, ok := permeabilities[w.Name]; ok {
		w.Through, w.Along, w.Faced = p.through, p.along, p.faced
	}
	return w
}
