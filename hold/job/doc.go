// Package job reads the job file: what lies on the table, on what, held by which pump, cut with which tools.
//
// It takes the bytes of a TOML file and gives a Job in mm, Pa, N, rad and m3/h, or errors that name the line, what is
// wrong and what to write. It knows nothing of programs' text, of pressure fields and of files; it only names the tools
// that a read program calls and the job lacks, and drafts a job file for one.
//
// Files layer (ParseLayers): the nearest wins, key by key. Lists are replaced as a whole, but tools are laid over one
// another by number, work offsets by system; so are hose, valve, tests of the layer and the cut of a measurement. What
// a nearer file says in another way drops the farther one: see the rivals in the schema.
//
// Single values beside the files (Set) are one more layer, the nearest. They reach into lists of tables, by number,
// name or place, and into tables that files replace whole.
//
// Every quantity is a text with its unit, in any case: 6 mm, 0.25 in, 1/4", 1-1/2 in. Lengths: mm, cm, m, in (", inch),
// ft ('). Pressures: Pa, kPa, mbar, bar, psi, inHg, mmHg. Flows: m3/h, l/min, cfm. Speeds: mm/min, m/min, in/min,
// ft/min. Forces: N, kN, lbf. Angles: deg. Permeabilities: m2, darcy. Stresses: Pa, kPa, MPa, N/mm2, psi. Densities:
// kg/m3, g/cm3, lb/ft3, lb/in3. Areas: mm2, cm2, m2, in2. Times: s. Powers: W, kW. Forces per length: N/mm, lbf/in.
// Spindle speeds: rpm.
//
// What nobody knows exactly may be one value, [low, high] or [low, likely, high]: its 5, 50 and 95 % points. Of two
// values the likely one lies in the geometric middle, of lengths and what may be 0 in the arithmetic one. Two equal
// values are exact. One value takes the spread of its kind (material.Spreads), which Assumed tells. Such keys are
// friction, friction_wet, tack and through of the layer; friction and friction_wet of zones; flow, ultimate (one value:
// exact) and leak of the pump; force of a clamp; runout of a tool; specific_force, lift_ratio, through, shear, tensile
// and yield of a material; tolerance of the stock is [thinner, thicker]. Job.Doubts holds them, one for each cause.
//
// Keys, beside each what stands for it when it is missing ("-": nothing does, it must be written):
//
//	[site]                one of the two
//	  altitude            0 m: geopotential, standard atmosphere
//	  pressure            ambient, absolute
//	[stock]
//	  shape               rectangle; or disc, polygon (told from the other keys when left out)
//	  corner, size        -, rectangle: lowest X, Y, Z; extents
//	  centre, diameter    -, disc: X and Y of its middle
//	  corners             -, polygon: list of [X, Y]
//	  thickness, bottom   -, disc and polygon: height, and Z of the table side
//	  material            -, built-in or own
//	  anchored            false
//	  tolerance           0.1 mm: how far thickness and flatness may be off, either way, or [thinner, thicker]; a skin
//	                      must be thicker
//	  faced               as is usual for the material: none, top, bottom (the table side) or both; faces that a tight
//	                      skin covers
//	[[stock.cutout]]      openings that are there before the program starts: corner and size (X, Y), or centre and
//	                      diameter, or corners; wholly inside, apart from one another
//	[[blank]]             further parts of the stock with the geometry keys of [stock] and [[blank.cutout]]; all rest
//	                      at the same Z. With blanks, [stock] may name only material, anchored and bottom
//	[layer]               no table: bare gasketed chuck
//	  material            none; a built-in layer, from which come thickness, through and along
//	  thickness           - (without material)
//	  through             - (without material or a test below): permeability across the sheet
//	  along               as through; permeability in its plane
//	  friction            that of the pair of materials (staydown materials); part on layer, dry
//	  friction_wet        in the proportion of the pair; once coolant has run
//	  tack                0 kPa, shear strength of an adhesive face
//	  cut_limit           half the thickness
//	  edge                open; or sealed
//	[layer.flow_test]     own measurement of through: area, pressure_drop, flow (free air; one or several readings),
//	                      thickness (that of the layer)
//	[layer.air_resistance] own measurement of through: method = "gurley" with seconds (for 100 ml) or "bendtsen" with
//	                      flow, one or several readings; thickness (that of the layer)
//	[[layer.pull]]        own measurement of friction: a coupon dragged over the table by a spring scale
//	  material            that of the stock; of the coupon. Coupons of other materials count for those
//	  area, vacuum        -, of the coupon; on the gauge, below ambient
//	  readings            -, force or forces at which it starts to slide
//	  weight              none; of the coupon and what lies on it, a force
//	  wet                 false; true: with coolant, gives friction_wet
//	                      Vacuums of which one is 1.5 times another tell tack from friction, unless tack is given
//	[[layer.gauge]]       own measurement of through and of the pump's leak: the gauge with the table bare and covered
//	  covered             -, by a tight sheet: share of the open zones ("50 %") or area
//	  readings            -, vacuum or vacuums on the gauge
//	[[zone]]
//	  name, area          -; area: two opposite corners, or three and more round it
//	  seal                layer; gasket when the job has no layer
//	  groove              none, the whole zone breathes; else { pitch, width, depth }; without depth they cost no
//	                      pressure
//	  port                none, it costs no pressure; else { diameter, count } or { diameter, pitch }: where air
//	                      leaves the zone
//	  hose, valve         none, they cost no pressure; as of [pump]: of the zone alone, from its ports to where the
//	                      zones meet
//	  open                true
//	  rests_on            metal, the chuck's face inside the gasket; or rubber, a mat or pads that carry the part
//	  covered             false; true: what the stock leaves bare of the zone lies under film or a board, airtight
//	  friction            that of the pair of materials; gasketed zones only, part on what carries it, dry
//	  friction_wet        in the proportion of the pair
//	[pump]
//	  kind                -, rotary-vane, dry-claw, side-channel or ejector; pressures of the latter two are those at
//	                      sea level
//	  flow                - (without curve)
//	  curve               none; list of [absolute pressure, flow], falling
//	  ultimate            of the kind, or the end of the curve; absolute
//	  leak                5 % of the flow
//	  alarm               none; vacuum below ambient
//	  hose                none, it costs no pressure; else { length, bore }: to the table, shared by all zones
//	  valve               none, it costs no pressure; else { conductance, critical_ratio } (C and b of ISO 6358) or
//	                      { kv }: valve or filter
//	[machine]
//	  rapid               10 m/min
//	  speed               none; spindle speed of programs that name no S
//	  extensions          .nc .ngc .tap .cnc .gcode .mpf .iso .eia
//	  zero                unknown; X, Y, Z of the machine's own zero (G53, G28) in the coordinates of the stock
//	  harmless_m          none; M codes of the machine that move neither tool nor work, like [62, 63]
//	[machine.output]      what M codes of the machine switch; others are not read. Keys are codes as programs write
//	                      them, with or without P ("M62 P3"; "M62" alone stands for those with any P that are not
//	                      listed), values are "harmless", "pump on", "zone NAME on", "zone on" (all of them), "clamp
//	                      NAME on", "clamp on", or off. Before the first switch of a thing it is taken to be the other
//	                      way round
//	  m7, m8              flood; or air, mist, extraction: what the codes turn on. Mist and flood wet the work to the
//	                      end
//	  units               unknown; mm or inch, of programs that move before G20 or G21
//	  arc_centres         incremental: I, J and K count from the start of the arc; or absolute: places, as under G90.1
//	  end                 required: M2, M30 or a closing percent sign; or none: the end of the file ends a program
//	  table               unknown; outline beyond which the tool may not go below the top of the stock: two opposite
//	                      corners, or three and more round it
//	[[clamp]]             presses what lies below it on the table and stands in the way of tool and holder
//	  name                its number
//	  shape               rectangle; or disc, polygon (told from the other keys when left out)
//	  corner, size        -, rectangle: lowest X, Y; extents
//	  centre, diameter    -, disc
//	  corners             -, polygon: list of [X, Y]
//	  height, top         -, one of the two: of its highest point, above the stock or as a Z
//	  force               -, with which it presses
//	  friction            none: only that on the table keeps the work in its place; dry work on clamp
//	[[fixture]]           stands in the way of tool and holder, and holds nothing
//	  name, shape         as of a clamp
//	  corner, size        -, rectangle: lowest X, Y, Z; extents
//	  centre, diameter, corners, top  -, disc and polygon: as of a clamp
//	[[origin]]            system ("G54" to "G59.3", "G54.1 P1" on) and at (X, Y, Z): where a work offset lies in the
//	                      coordinates of the stock
//	[[tool]]
//	  number, diameter    -; number 0 is the tool in the spindle before the first change
//	  shape               flat; or ball, bull, vee, drill
//	  corner              -, bull: radius
//	  angle               -, vee: included angle; drill: 118 deg
//	  flutes              2
//	  helix               30 deg, up-cut; negative: down-cut; 0 deg: straight flutes; within +-60 deg
//	  upcut               none; compression tool: height above its tip up to which it is up-cut, it is down-cut above
//	  hand                as the spindle turns; right (cuts under M3) or left (cuts under M4)
//	  speed               that of the machine; spindle speed where the program names no S
//	  rake                0 deg
//	  reach               unknown; flute length
//	  length              unknown; what stands out of the holder, not less than reach; stands for gauge_length
//	  holder              unknown, the holder is not checked; its diameter
//	  gauge_length        as length; from the tip up to where the holder begins
//	  runout              0.01 mm, at most a hundredth of the diameter
//	  offset              part: the path is the outline of the part, compensation moves the tool aside by its radius;
//	                      or in-path: the path is already that of the tool's middle
//	[material.NAME]       own material
//	  based_on            none; a built-in or own material, whose figures stand for those not given
//	  specific_force      - (without based_on): stress at 1 mm of chip
//	  exponent            - (without based_on): of kc = specific_force h^-exponent
//	  density             - (without based_on)
//	  through             tight: permeability to air across the sheet
//	  along               as through, or in the base's proportion to it: permeability in its plane
//	  edge_force          0.025 mm times specific_force; rubbing force per length of edge at no chip, from which a
//	                      straight line goes to where it touches the curve of specific_force and exponent; with
//	                      exponent 0 it is added
//	  radial_ratio        0.5; radial over tangential force
//	  lift_ratio          0.6, of the edge force 0.2; vertical over tangential force as a share of tan(helix), up to 1
//	  failure             brittle; or ductile: joins stretch until they carry together with the hold
//	  shear, tensile, yield  half the tensile strength; nothing when none of them is given, webs then carry nothing
//	  measured_power, measured_force  none; power at the cutter or mean tangential force in cut = { diameter, depth,
//	                      width, feed_per_tooth, flutes, speed }: scales specific_force and edge_force to it
//	[limits]
//	  margin              2.0
//	  least_skin          0.4 mm in boards, else 0.1 mm: thinner skins are not proposed
//	  least_pass          0.4 mm in boards, else 0.1 mm: thinner passes are not proposed
//	[report] units        those of the program: metric or inch, in reports and messages
//	[records] since       none; day from which on records of the shop count, as "2026-05-04"
//	[grid]   cell         chosen from tools and stock
//	[web]    height       chosen from the stock; material at or below it counts as a web
package job
