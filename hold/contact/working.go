package contact

func (s *Support) liftSteps(l *Load) []Step {
	steps := []Step{
		{"pressure", "sum of p A", s.pressureN, "N"},
		{"weight", "", s.weightN, "N"},
	}
	sum := "pressure + weight + webs"
	if s.clampN > 0 {
		steps = append(steps, Step{"clamps", "", s.clampN, "N"})
		sum = "pressure + weight + clamps + webs"
	}
	return append(steps, []Step{
		{"webs upright", "sum of min(tau w t, sigma_y w t^2 / 3L)", s.uprightN, "N"},
		{"hold", sum, s.normalN + s.uprightN, "N"},
		{"upward force", "", max(l.ZN, 0), "N"},
		{"margin", "hold / upward force", s.lift(l), ""},
	}...)
}

func (s *Support) slipSteps(l *Load, k *cheapChecks) []Step {
	pressing := "pressure and weight"
	top, sum := forceOnTops(s.body.Presses), "friction + tack + webs"
	var tops []Step
	if s.clampN > 0 {
		pressing = "pressure, weight and clamps"
	}
	if top > 0 {
		sum = "friction + clamps + tack + webs"
		tops = []Step{{"friction of clamps on the top", "sum of mu times force", k.tack * top, "N"}}
	}
	steps := []Step{
		{pressing, "", s.normalN, "N"},
		{"vertical force", "up is positive", l.ZN, "N"},
		{"normal force left", "N - V", k.leftN, "N"},
		{"friction coefficient", "", s.friction, ""},
		{"friction", "mu (N - V)", k.friction*s.normalN + k.press, "N"},
	}
	return append(append(steps, tops...), []Step{
		{"tack", "shear strength times area", k.tack * (s.tack.force - top), "N"},
		{"webs in the plane", "sum of min(tau w t, sigma w t, sigma_y t w^2 / 3L)", k.webs * s.webs.force, "N"},
		{"resistance", sum, k.force, "N"},
		{"horizontal force", "", k.levelN, "N"},
		{"margin", "resistance / horizontal force", k.slip, ""},
	}...)
}

func (s *Support) twistSteps(k *cheapChecks, o Outcome) []Step {
	steps := []Step{
		{"center of resistance X", "", s.origin[0] + k.cx*s.reach, "mm"},
		{"center of resistance Y", "", s.origin[1] + k.cy*s.reach, "mm"},
		{"moment about it", "", k.momentAbout(k.load) * s.reach, "N mm"},
		{"horizontal force", "", k.levelN, "N"},
		{"greatest force alone", "Fmax", k.force, "N"},
		{"greatest moment alone", "Mmax", k.couple * s.reach, "N mm"},
		{"straight line", "1 / (F/Fmax + M/Mmax)", k.line.margin(), ""},
	}
	if r := k.stands; r.dx != 0 || r.dy != 0 {
		p := s.point(r)
		steps = append(steps, Step{"tilt of the pressure by the lift", "1 where it takes the last of it off some place",
			r.steep, ""},
			Step{"share of the rest on one point", "", r.pointShare, ""})
		if r.pointShare > 0 {
			steps = append(steps, Step{"point X", "", p[0], "mm"}, Step{"point Y", "", p[1], "mm"})
		}
	}
	if o.hasSlidingCentre {
		resistance := 0.0
		if o.momentNmm > 0 {
			resistance = o.Margin * o.momentNmm
		}
		steps = append(steps,
			Step{"sliding center X", "", o.slidingCentre[0], "mm"},
			Step{"sliding center Y", "", o.slidingCentre[1], "mm"},
			Step{"moment of the load about it", "", o.momentNmm, "N mm"},
			Step{"resistance about it", "sum of mu p dA times distance", resistance, "N mm"})
	}
	return append(steps, Step{"margin", "on the limit surface", o.Margin, ""})
}

func (s *Support) tipSteps(l *Load, k *cheapChecks) []Step {
	if k.edge < 0 {
		return []Step{{"margin", "no edge it turns over", k.tip, ""}}
	}
	a := &s.axes[k.edge]
	capacity, demand := a.turning(l)
	return []Step{
		{"edge from X", "", a.from[0], "mm"},
		{"edge from Y", "", a.from[1], "mm"},
		{"edge to X", "", a.to[0], "mm"},
		{"edge to Y", "", a.to[1], "mm"},
		{"pressure center inside the edge", "", a.inside(s.centre[0], s.centre[1]), "mm"},
		{"moment of pressure, weight and webs", "sum of p dA times distance", a.resist, "N mm"},
		{"height of the load", "", l.HeightMM, "mm"},
		{"horizontal force across the edge", "", l.XN*a.nx + l.YN*a.ny, "N"},
		{"moment of the horizontal force", "H h", (l.XN*a.nx + l.YN*a.ny) * l.HeightMM, "N mm"},
		{"load inside the edge", "", a.inside(l.X, l.Y), "mm"},
		{"moment of the vertical force", "V v, up is positive", l.ZN * a.inside(l.X, l.Y), "N mm"},
		{"what holds it down", "", capacity, "N mm"},
		{"what turns it up", "", demand, "N mm"},
		{"margin", "holds down / turns up", k.tip, ""},
	}
}
