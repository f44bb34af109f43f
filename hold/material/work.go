package material

// The published places that several figures share.
const (
	groupTable = "material group table (DIN/ISO 513, VDI 3323) in a 2017 turning catalogue, p. 558, "
	linearEdge = "milling force coefficients of aluminium alloys, Chinese J. Mech. Eng. (2021), doi " +
		"10.1186/s10033-021-00536-9, Table 5: "
	drillTable = "drilling formula page L068 of a 2020-2021 tool catalogue, "
	memory     = "from memory: "
	practice   = "common practice, no source"
	vonMises   = "from memory: 0.577 of the yield strength (von Mises)"
	shearSixty = "from memory: 0.6 of the tensile strength, ductile metals"
	plasticMC  = "from memory: 0.2 to 0.4 for plastics"
	polymer    = "from memory: 50 to 200 N/mm2 for plastics; at 0.1 mm two to three times the yield strength"
	woodMC     = "from memory: 0.2 to 0.4 for wood and boards"
)

// solids are the materials with cutting figures of their own.
func solids() []Work {
	rake := Exact(0, "the rule kc (1 - rake/100) counts from 0 degrees; 1 % per degree from memory")
	noDrill := Exact(0, "no published factor; scaled from mild steel (K 2.22) by the specific cutting force")
	drill := Range{0.9, 1.01, 1.2, drillTable + "aluminium HB 100; range " + practice}
	lift := Range{0.06, 0.6, 1, linearEdge + "0.06 to 0.75 for aluminium, not measured here; " +
		"up to tan(helix), that of a rake face without friction"}
	edgeRadial := Range{0.4, 1, 1.4, linearEdge + "0.41 to 1.36 for aluminium; not measured here"}
	edgeLift := Range{0.04, 0.2, 0.4, linearEdge + "Kae/Kte 0.025 to 0.215, over tan(30 deg), for aluminium"}
	wroughtLift := Range{0.06, 0.6, 0.8, linearEdge + "Kac/Ktc 0.037 to 0.433, over tan(30 deg)"}
	linear := Exact(0, linearEdge+"linear-edge law")
	mild := Range{2, 2.22, 2.45, drillTable + "low-carbon steel; range " + practice}
	brittle := "brittle: the tensile strength stands for it"
	return []Work{
		{
			Name:       "abs",
			Meaning:    "acrylonitrile butadiene styrene sheet",
			KC11:       Range{50, 90, 150, polymer},
			MC:         Range{0.2, 0.3, 0.4, plasticMC},
			Edge:       Range{1, 2, 4, practice},
			Radial:     Range{0.2, 0.35, 0.5, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{1030, 1050, 1070, memory + "1030 to 1070 kg/m3"},
			Shear:      Range{20, 25, 30, vonMises},
			Tensile:    Range{37, 43, 50, memory + "37 to 50 N/mm2"},
			Yield:      Range{37, 43, 50, memory + "37 to 50 N/mm2"},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:    "aluminium-cast",
			Meaning: "aluminium cast plate and castings",
			KC11: Range{400, 550, 750, memory + "600 to 750 N/mm2 at 1 mm (VDI 3323 groups 23 to 25); " +
				"taken as sheet alloys, somewhat above"},
			MC:         Range{0, 0, 0, memory + "linear-edge law, as for wrought alloys"},
			Edge:       Range{8, 13, 20, linearEdge + "6082-T6; not measured for cast alloys"},
			Radial:     Range{0.15, 0.3, 0.6, linearEdge + "0.16 to 0.60 for wrought alloys"},
			EdgeRadial: Range{0.4, 0.8, 1.4, linearEdge + "0.41 to 1.36 for wrought alloys"},
			Lift:       wroughtLift,
			EdgeLift:   edgeLift,
			Density:    Range{2640, 2680, 2720, memory + "2640 to 2720 kg/m3"},
			Shear:      Range{130, 150, 175, shearSixty},
			Tensile:    Range{220, 250, 290, memory + "220 to 290 N/mm2 for cast tooling plate"},
			Yield:      Range{105, 120, 140, memory + "105 to 130 N/mm2 for cast tooling plate"},
			Rake:       rake,
			Drill:      drill,
		},
		{
			Name:    "aluminium-high-strength",
			Meaning: "aluminium sheet and plate, high-strength alloys such as 2024, 7050, 7075",
			KC11: Range{600, 880, 1330, linearEdge + "7075: 600, 767, 951, 1319; " +
				"likely fitted to the median of their forces at 0.005 to 0.1 mm"},
			MC:         linear,
			Edge:       Range{11, 19, 28, linearEdge + "7075: 17.9, 27.7, 11.1, 19.7"},
			Radial:     Range{0.2, 0.3, 0.6, linearEdge + "7075: 0.30, 0.22, 0.28, 0.60"},
			EdgeRadial: Range{0.95, 1.1, 1.4, linearEdge + "7075: 1.14, 0.96, 1.02, 1.36"},
			Lift:       Range{0.06, 0.5, 0.6, linearEdge + "Kac/Ktc of 7075 0.289, 0.340, 0.037, over tan(30 deg)"},
			EdgeLift:   Range{0.04, 0.15, 0.2, linearEdge + "Kae/Kte of 7075 0.025, 0.099, 0.104, over tan(30 deg)"},
			Density:    Range{2770, 2800, 2830, memory + "2780 (2024) to 2810 kg/m3 (7075)"},
			Shear:      Range{270, 310, 335, memory + "2024-T3 283, 7075-T6 331 N/mm2"},
			Tensile:    Range{430, 520, 580, memory + "2024-T3 440 to 485, 7075-T6 540 to 572 N/mm2"},
			Yield:      Range{290, 430, 510, memory + "2024-T3 325 to 345, 7075-T6 470 to 503 N/mm2"},
			Rake:       rake,
			Drill:      drill,
		},
		{
			Name:    "aluminium-sheet",
			Meaning: "aluminium sheet and plate, alloys such as 5083, 5754, 6061, 6082",
			KC11: Range{240, 500, 640, linearEdge + "6082-T6 631, AlMgSi0.5 561 (its columns put in order), " +
				"6061-T6 244; the mean, moved towards the two that agree"},
			MC:         linear,
			Edge:       Range{7.5, 13, 17, linearEdge + "6082-T6 13.0, AlMgSi0.5 16.2, 6061-T6 7.5"},
			Radial:     Range{0.15, 0.3, 0.5, linearEdge + "0.16, 0.36, 0.47"},
			EdgeRadial: Range{0.4, 0.75, 1.05, linearEdge + "6082-T6 0.77, AlMgSi0.5 0.41, 6061-T6 1.04"},
			Lift: Range{0.5, 0.67, 0.8, linearEdge + "Kac/Ktc of 6082-T6 0.433, AlMgSi0.5 0.346, over tan(30 " +
				"deg)"},
			EdgeLift: Range{0.2, 0.3, 0.4, linearEdge + "Kae/Kte of 6082-T6 0.215, AlMgSi0.5 0.136, over tan(30 " +
				"deg)"},
			Density: Range{2650, 2690, 2720, memory + "2650 (5083) to 2710 kg/m3"},
			Shear: Range{130, 180, 210, "Aluminum Design Manual, Table 3.3-1M: 5083-H116 plate, minimum 180; " +
				"typical properties table: 6061-T6 205; from memory: 5754 130"},
			Tensile: Range{220, 290, 330, "typical properties table of aluminium alloys: 5083-H116/H32 290, " +
				"6061-T6 310; from memory: 5754 220"},
			Yield: Range{130, 205, 280, "typical properties table of aluminium alloys: 5083-H116/H32 205, " +
				"6061-T6 275; from memory: 5754 130"},
			Rake:  rake,
			Drill: drill,
		},
		{
			Name:    "aluminium-wrought",
			Meaning: "aluminium sheet and plate, alloy not known: the range covers 5754 to 7075",
			KC11: Range{240, 660, 1330, linearEdge + "244 (6061-T6) to 1319 (7075); " +
				"likely within 20 % of 6082-T6 and of the median of all seven sets"},
			MC:         linear,
			Edge:       Range{7.5, 15, 28, linearEdge + "7.5 (6061-T6) to 27.7 (7075-T6)"},
			Radial:     Range{0.15, 0.3, 0.6, linearEdge + "0.16 to 0.60"},
			EdgeRadial: Range{0.4, 0.8, 1.4, linearEdge + "0.41 to 1.36"},
			Lift:       wroughtLift,
			EdgeLift:   edgeLift,
			Density:    Range{2650, 2700, 2810, memory + "2650 (5083) to 2810 kg/m3 (7075)"},
			Shear: Range{130, 180, 330, "Aluminum Design Manual, Table 3.3-1M: 5083-H116 plate, minimum 180; " +
				"from memory: 5754 130, 7075-T6 331"},
			Tensile: Range{220, 290, 570, "typical properties table of aluminium alloys: 5083-H116/H32 290, " +
				"6061-T6 310; from memory: 5754 220, 7075-T6 572"},
			Yield: Range{130, 205, 500, "typical properties table of aluminium alloys: 5083-H116/H32 205, " +
				"6061-T6 275; from memory: 5754 130, 7075-T6 503"},
			Rake:  rake,
			Drill: drill,
		},
		{
			Name:       "brass",
			Meaning:    "brass sheet and plate",
			KC11:       Range{600, 700, 800, groupTable + "group N, brass; range " + practice},
			MC:         Range{0.24, 0.27, 0.3, groupTable + "group N, brass; range " + practice},
			Edge:       Range{7, 12, 20, practice + ": as for aluminium"},
			Radial:     Range{0.2, 0.35, 0.5, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{8400, 8470, 8550, memory + "8400 to 8550 kg/m3"},
			Shear:      Range{200, 230, 280, shearSixty},
			Tensile:    Range{340, 380, 430, memory + "340 to 430 N/mm2 for CuZn37 to CuZn39Pb3"},
			Yield:      Range{150, 200, 280, memory + "150 to 280 N/mm2"},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:       "cork",
			Meaning:    "pressed cork granules",
			KC11:       Range{4, 8, 15, memory + "weak: below softwood"},
			MC:         Range{0.2, 0.3, 0.4, woodMC},
			Edge:       Range{0.2, 0.5, 1, practice},
			Radial:     Range{0.2, 0.4, 0.6, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{150, 250, 500, memory + "150 to 500 kg/m3"},
			Shear:      Range{0.3, 0.5, 1, memory + "weak: half of the tensile strength"},
			Tensile:    Range{0.6, 1, 2, memory + "weak: 0.6 to 2 N/mm2"},
			Yield:      Range{0.6, 1, 2, brittle},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:       "foam-open",
			Meaning:    "soft foam with open cells",
			KC11:       Range{0.5, 1.5, 4, memory + "weak: a small share of a solid plastic"},
			MC:         Range{0.2, 0.3, 0.4, plasticMC},
			Edge:       Range{0.05, 0.15, 0.4, practice},
			Radial:     Range{0.2, 0.4, 0.6, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{20, 35, 60, memory + "20 to 60 kg/m3"},
			Shear:      Range{0.04, 0.06, 0.1, memory + "weak: half of the tensile strength"},
			Tensile:    Range{0.08, 0.12, 0.2, memory + "weak: 0.08 to 0.2 N/mm2"},
			Yield:      Range{0.08, 0.12, 0.2, brittle},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:       "hdpe",
			Meaning:    "high-density polyethylene sheet",
			KC11:       Range{30, 60, 100, polymer + "; the softest of them"},
			MC:         Range{0.2, 0.3, 0.4, plasticMC},
			Edge:       Range{0.5, 1.2, 2.5, practice},
			Radial:     Range{0.2, 0.35, 0.5, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{940, 955, 970, memory + "940 to 970 kg/m3"},
			Shear:      Range{12, 15, 18, vonMises},
			Tensile:    Range{21, 26, 32, memory + "21 to 32 N/mm2"},
			Yield:      Range{21, 26, 32, memory + "21 to 32 N/mm2"},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:    "laminate-carbon",
			Meaning: "carbon fibre laminate, fibres in several directions",
			KC11: Range{80, 150, 300, memory + "100 to 400 N/mm2, strongly dependent on the angle to the " +
				"fibre; lower part, with the exponent"},
			MC:         Range{0.3, 0.4, 0.6, memory + "0.3 to 0.7"},
			Edge:       Range{3, 8, 20, practice + ": edges wear quickly"},
			Radial:     Range{0.4, 0.6, 1, practice + ": springback of the fibres"},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{1450, 1530, 1600, memory + "1450 to 1600 kg/m3"},
			Shear:      Range{50, 65, 80, memory + "between the plies 50 to 80 N/mm2"},
			Tensile:    Range{350, 450, 600, memory + "350 to 600 N/mm2 with fibres in four directions"},
			Yield:      Range{350, 450, 600, brittle},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:    "laminate-glass",
			Meaning: "glass fibre laminate, woven, epoxy or polyester",
			KC11: Range{60, 120, 250, memory + "100 to 400 N/mm2, strongly dependent on the angle to the " +
				"fibre; lower part, with the exponent"},
			MC:         Range{0.3, 0.4, 0.6, memory + "0.3 to 0.7"},
			Edge:       Range{3, 7, 18, practice + ": edges wear quickly"},
			Radial:     Range{0.4, 0.6, 1, practice + ": springback of the fibres"},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{1700, 1850, 2000, memory + "1700 to 2000 kg/m3"},
			Shear:      Range{30, 45, 60, memory + "between the plies 30 to 60 N/mm2"},
			Tensile:    Range{200, 270, 350, memory + "200 to 350 N/mm2"},
			Yield:      Range{200, 270, 350, brittle},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:    "mdf",
			Board:   true,
			Meaning: "medium-density fibreboard",
			KC11: Range{13, 22, 36, memory + "20 to 60 N/mm2 at chips of 0.1 to 0.3 mm, not confirmed; " +
				"gives 36 at 0.2 mm"},
			MC:         Range{0.2, 0.3, 0.4, woodMC},
			Edge:       Range{0.4, 1, 2, practice},
			Radial:     Range{0.2, 0.4, 0.6, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{650, 720, 800, memory + "650 to 800 kg/m3"},
			Shear: Range{2, 4, 6, memory + "across the board's edge 4 to 7 N/mm2; " +
				"lower, since planar shear is below 1"},
			Tensile: Range{10, 14, 18, memory + "in the plane of the board 10 to 18 N/mm2"},
			Yield:   Range{22, 27, 35, memory + "bending strength required by EN 622-5, 9 to 12 mm: 22 N/mm2"},
			Rake:    rake,
			Drill:   noDrill,
		},
		{
			Name:    "particleboard",
			Board:   true,
			Meaning: "particleboard, plain or faced",
			KC11: Range{25, 29.5, 33, "Materials 14 (2021) 2208: mean specific force 32.0 (slow) to 37.6 N/mm2 " +
				"(fast) in peripheral up-milling; with the exponent 34.8 at 0.2 mm"},
			MC:         Range{0, 0.1, 0.25, practice + ": thin chips cost more, as in other materials"},
			Edge:       Range{0.1, 0.3, 1, practice},
			Radial:     Range{0.2, 0.4, 0.6, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{600, 660, 720, memory + "600 to 720 kg/m3"},
			Shear:      Range{1.5, 2.5, 4, memory + "weaker than fibreboard"},
			Tensile:    Range{5, 7, 9, memory + "in the plane of the board 5 to 9 N/mm2"},
			Yield: Range{11, 13, 18, memory + "bending strength required by EN 312 for interior fitments: 11 " +
				"N/mm2"},
			Rake:  rake,
			Drill: noDrill,
		},
		{
			Name:       "pc",
			Meaning:    "polycarbonate sheet",
			KC11:       Range{50, 110, 200, polymer},
			MC:         Range{0.2, 0.3, 0.4, plasticMC},
			Edge:       Range{1, 2.5, 5, practice},
			Radial:     Range{0.2, 0.35, 0.5, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{1190, 1200, 1220, memory + "1190 to 1220 kg/m3"},
			Shear:      Range{38, 41, 69, "vendor's sheet for rod, ASTM D732: 41 at yield, 69 ultimate"},
			Tensile:    Range{58, 62, 66, "vendor's sheet for rod: 62 at yield, 65.5 ultimate"},
			Yield:      Range{55, 62, 65, "vendor's sheet for rod: 62"},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:       "plywood",
			Board:      true,
			Meaning:    "plywood",
			KC11:       Range{12, 20, 36, memory + "15 to 60 N/mm2 across the grain; gives 32 at 0.2 mm"},
			MC:         Range{0.2, 0.3, 0.4, woodMC},
			Edge:       Range{0.3, 0.8, 2, practice},
			Radial:     Range{0.2, 0.4, 0.6, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{450, 560, 700, memory + "450 to 700 kg/m3"},
			Shear:      Range{3, 4, 6, memory + "through the thickness 3 to 6 N/mm2 (Wood Handbook, ch. 12)"},
			Tensile:    Range{10, 16, 25, memory + "in the plane, weaker direction 10 to 25 N/mm2"},
			Yield:      Range{20, 32, 50, memory + "modulus of rupture 20 to 50 N/mm2 (Wood Handbook, ch. 12)"},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:       "pmma",
			Meaning:    "acrylic sheet, cast or extruded",
			KC11:       Range{50, 110, 200, polymer},
			MC:         Range{0.2, 0.3, 0.4, plasticMC},
			Edge:       Range{1, 2.5, 5, practice},
			Radial:     Range{0.2, 0.35, 0.5, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{1170, 1185, 1200, memory + "1170 to 1200 kg/m3"},
			Shear: Range{45, 55, 65, "unified facilities guide specification, material table 3-1: minimum 55, " +
				"ASTM D732"},
			Tensile: Range{55, 62, 75, "unified facilities guide specification, material table 3-1: minimum 62"},
			Yield:   Range{55, 62, 75, brittle},
			Rake:    rake,
			Drill:   noDrill,
		},
		{
			Name:       "pom",
			Meaning:    "polyoxymethylene (acetal) sheet",
			KC11:       Range{50, 100, 180, polymer},
			MC:         Range{0.2, 0.3, 0.4, plasticMC},
			Edge:       Range{1, 2, 4, practice},
			Radial:     Range{0.2, 0.35, 0.5, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{1390, 1410, 1430, memory + "1390 to 1430 kg/m3"},
			Shear:      Range{34, 38, 42, vonMises},
			Tensile:    Range{60, 66, 72, memory + "60 to 72 N/mm2"},
			Yield:      Range{60, 66, 72, memory + "60 to 72 N/mm2"},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:       "pvc-foam",
			Meaning:    "rigid expanded polyvinyl chloride sheet",
			KC11:       Range{10, 25, 50, memory + "a rigid plastic's times the share of solid matter, 0.3 to 0.5"},
			MC:         Range{0.2, 0.3, 0.4, plasticMC},
			Edge:       Range{0.3, 0.8, 2, practice},
			Radial:     Range{0.2, 0.35, 0.5, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{450, 550, 700, memory + "450 to 700 kg/m3"},
			Shear:      Range{4, 7, 10, practice + ": half of the tensile strength"},
			Tensile:    Range{10, 14, 20, memory + "10 to 20 N/mm2"},
			Yield:      Range{10, 14, 20, memory + "10 to 20 N/mm2"},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:       "softwood",
			Meaning:    "pine, spruce and the like, solid",
			KC11:       Range{6, 14, 26, memory + "weak: 10 to 40 N/mm2 across the grain at chips of 0.1 to 0.3 mm; gives 23 at 0.2 mm"},
			MC:         Range{0.2, 0.3, 0.4, woodMC},
			Edge:       Range{0.3, 0.8, 2, practice},
			Radial:     Range{0.2, 0.4, 0.6, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{400, 460, 550, memory + "400 to 550 kg/m3"},
			Shear:      Range{2, 3, 5, memory + "across the grain 2 to 5 N/mm2 at webs"},
			Tensile:    Range{2, 3, 4, memory + "across the grain 2 to 4 N/mm2"},
			Yield:      Range{2, 3, 4, brittle},
			Rake:       rake,
			Drill:      noDrill,
		},
		{
			Name:    "steel-mild",
			Meaning: "steel with less than 0.25 % carbon, annealed",
			KC11: Range{1200, 1350, 1550, groupTable + "group P, below 0.25 % carbon, annealed; " +
				"range " + practice},
			MC: Range{0.18, 0.21, 0.25, groupTable + "group P, below 0.25 % carbon, annealed; " +
				"range " + practice},
			Edge:       Range{12, 20, 40, memory + "15 to 40 N/mm in linear-edge models of carbon steel"},
			Radial:     Range{0.25, 0.4, 0.5, memory + "0.3 to 0.5"},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{7830, 7850, 7870, memory + "7850 kg/m3"},
			Shear:      Range{210, 245, 290, memory + "S235, 210 to 290 N/mm2"},
			Tensile:    Range{360, 420, 510, memory + "S235 (EN 10025-2), 360 to 510 N/mm2"},
			Yield:      Range{235, 260, 320, memory + "S235 (EN 10025-2), minimum 235"},
			Rake:       rake,
			Drill:      mild,
		},
		{
			Name:       "steel-stainless",
			Meaning:    "austenitic stainless steel",
			KC11:       Range{1900, 2150, 2450, groupTable + "group M, austenitic; range " + practice},
			MC:         Range{0.17, 0.2, 0.24, groupTable + "group M, austenitic; range " + practice},
			Edge:       Range{15, 25, 45, practice + ": as for mild steel, rounded up"},
			Radial:     Range{0.3, 0.45, 0.6, practice},
			EdgeRadial: edgeRadial,
			Lift:       lift,
			EdgeLift:   edgeLift,
			Density:    Range{7850, 7920, 8000, memory + "7850 to 8000 kg/m3"},
			Shear:      Range{300, 350, 420, shearSixty},
			Tensile:    Range{500, 580, 700, memory + "500 to 700 N/mm2 (1.4301)"},
			Yield:      Range{200, 230, 300, memory + "200 to 230 N/mm2 (1.4301), work hardens"},
			Rake:       rake,
			Drill:      noDrill,
		},
	}
}

// WorkNamed finds a built-in material.
func WorkNamed(name string) (Work, bool) {
	for _, w := range Works() {
		if w.Name == name {
			return w, true
		}
	}
	return Work{}, false
}
