package job

import (
	"fmt"

	"github.com/paulmach/orb"

	"staydown/hold/material"
)

// zones reads every [[zone]].
func (r *reader) zones(root *node, layer *Layer, work material.Work) []Zone {
	all := r.each(root, "zone", maxZones)
	if len(all) == 0 {
		if r.absent(root, "zone") {
			r.say(r.section(root, "zone").at, "zone", "the chuck has no zone", `write [[zone]] with name and area`)
		}
		return nil
	}
	var out []Zone
	var gaskets []gasketed
	seen := map[string]section{}
	for i, s := range all {
		z := Zone{Name: s.zoneName(i, seen)}
		if s.need("area", exampleArea) {
			if ring, ok := s.polygon("area", 2); ok {
				z.Area = orb.Polygon{ring}
			}
		}
		z.Seal = s.seal(z.Name, layer)
		z.Groove = s.groove()
		z.Port, z.Hose, z.Valve = s.port(), s.hose(), s.valve()
		if z.Groove == nil && !s.has("groove") && z.Seal == LayerSeal {
			r.assume("zone %s: no grooves given, its whole face breathes (groove)", z.Name)
		}
		open, ok := s.flag("open")
		if !ok && !s.has("open") {
			open = true
			r.assume("zone %s: its valve is open (open)", z.Name)
		}
		z.Open = open
		if z.Covered, _ = s.flag("covered"); z.Covered && z.Seal == GasketSeal {
			s.say(s.where("covered"), "covered", "a gasketed zone needs no cover where the stock closes it",
				"leave it out, or write open = false")
		}
		if z.Seal == GasketSeal {
			// The cord grips better than the chuck, but carries a share of the force that nobody measures.
			on := s.restsOn()
			f := s.friction("zone "+z.Name, material.Friction(work.Family, on), pulled{}, true)
			z.Friction = f.likely()
			gaskets = append(gaskets, gasketed{len(out), z.Name, on, f})
		}
		for j, other := range out {
			if len(z.Area) > 0 && len(other.Area) > 0 && overlap(z.Area[0], other.Area[0]) {
				s.say(s.where("area"), "area", fmt.Sprintf("overlaps the zone on line %d", all[j].at.Line),
					"give each part of the chuck to one zone")
				break
			}
		}
		out = append(out, z)
	}
	r.gasketDoubts(gaskets, work)
	return out
}

// zoneName is the name of a zone, its number where it has none; seen has those before it.
func (s section) zoneName(i int, seen map[string]section) string {
	name, ok := s.phrase("name")
	if !ok {
		if !s.has("name") {
			s.need("name", `"A"`)
		}
		return fmt.Sprint(i + 1)
	}
	if before, twice := seen[name]; twice {
		s.say(s.where("name"), "name", fmt.Sprintf("%q is already the zone on line %d", name, before.at.Line),
			"write another name")
	}
	seen[name] = s
	return name
}

func (s section) seal(name string, layer *Layer) SealKind {
	i, ok := s.choice("seal", "layer", "gasket")
	seal := [...]SealKind{LayerSeal, GasketSeal}[i]
	switch {
	case !ok && s.has("seal"):
	case !ok && layer == nil:
		seal = GasketSeal
		s.assume("zone %s: sealed by a gasket, as the job has no layer (seal)", name)
	case !ok:
		s.assume("zone %s: sealed by the layer on it (seal)", name)
	case seal == LayerSeal && layer == nil:
		s.say(s.where("seal"), "seal", "no layer lies on the chuck", `write a [layer] table, or seal = "gasket"`)
	}
	return seal
}

// restsOn tells what carries a part on a gasketed zone: the chuck's face, unless the job says that rubber does.
func (s section) restsOn() material.Seat {
	if i, ok := s.choice("rests_on", "metal", "rubber"); ok && i == 1 {
		return material.OnRubber
	}
	return material.OnMetal
}

func (s section) groove() *Groove {
	g, ok := s.inner("groove")
	if !ok {
		return nil
	}
	okP, okW := g.need("pitch", `"20 mm"`), g.need("width", `"5 mm"`)
	p, okV := g.quantity("pitch", length, groovePitchMM)
	w, okX := g.quantity("width", length, grooveWideMM)
	if !okP || !okW || !okV || !okX {
		return nil
	}
	if w >= p {
		g.say(g.where("width"), "width",
			fmt.Sprintf("grooves %s wide at a pitch of %s leave no land between them", g.length(w), g.length(p)),
			"write a width below the pitch, or leave groove out where the whole zone breathes")
		return nil
	}
	d, okD := g.quantity("depth", length, grooveDeepMM)
	if !okD && g.has("depth") {
		return nil
	}
	return &Groove{PitchMM: p, WidthMM: w, DepthMM: d}
}

// port reads the openings by which air leaves a zone.
func (s section) port() *Port {
	p, ok := s.inner("port")
	if !ok {
		return nil
	}
	okD := p.need("diameter", `"20 mm"`)
	d, ok := p.quantity("diameter", length, portMM)
	out, okD := &Port{DiameterMM: d}, okD && ok
	switch {
	case p.has("count") && p.has("pitch"):
		p.say(p.where("pitch"), "pitch", "the number of ports is given in two ways", "write count or pitch, not both")
		return nil
	case p.has("pitch"):
		out.PitchMM, ok = p.quantity("pitch", length, portPitchMM)
		if ok && okD && out.PitchMM <= d {
			p.say(p.where("pitch"), "pitch", fmt.Sprintf("ports of %s at a pitch of %s overlap", p.length(d),
				p.length(out.PitchMM)), "write a pitch above the diameter")
			return nil
		}
	case p.has("count"):
		n, okN := p.count("count", portCount)
		out.Count, ok = float64(n), okN
	default:
		p.say(p.at, "port", "the number of ports is missing", "write count = 1, or pitch = \"100 mm\"")
		return nil
	}
	if !ok || !okD {
		return nil
	}
	return out
}
