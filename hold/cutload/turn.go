package cutload

import "math"

// turnCells is the number of table cells over the front half turn: half a degree each. Straight-line interpolation of
// the running integral is then good to 1e-5 of the whole.
const turnCells = 360

// basis holds the six functions of the angle phi from which the force of an edge follows, or integrals of them over phi:
// c^p cos, c^p sin, c^p for the chip, with c = max(cos phi, 0) and p the law's power, and cos, sin, 1 for the edge.
type basis struct{ chipCos, chipSin, chip, edgeCos, edgeSin, edge float64 }

func (a basis) minus(b basis) basis {
	return basis{a.chipCos - b.chipCos, a.chipSin - b.chipSin, a.chip - b.chip, a.edgeCos - b.edgeCos, a.edgeSin - b.edgeSin, a.edge - b.edge}
}

func (a basis) plus(b basis, k float64) basis {
	return basis{
		a.chipCos + float64(k*b.chipCos), a.chipSin + float64(k*b.chipSin), a.chip + float64(k*b.chip),
		a.edgeCos + float64(k*b.edgeCos), a.edgeSin + float64(k*b.edgeSin), a.edge + float64(k*b.edge),
	}
}

// turn is the running integral of basis over the angle, from 0. It is read-only once made.
type turn struct {
	power float64
	table [turnCells + 1][3]float64 // chipCos, chipSin, chip from -pi/2
}

// newTurn tabulates c^p; the power is above 0.
func newTurn(power float64) *turn {
	t := &turn{power: power}
	const cell = math.Pi / turnCells
	f := func(phi float64) [3]float64 {
		c := math.Max(math.Cos(phi), 0)
		s := math.Pow(c, power)
		return [3]float64{s * c, s * math.Sin(phi), s}
	}
	last := [3]float64{}
	for i := 0; i < turnCells; i++ {
		phi := -math.Pi/2 + float64(i)*cell
		middle, next := f(phi+cell/2), f(phi+cell)
		if i == turnCells-1 {
			next = [3]float64{}
		}
		for j := range last { // Simpson
			t.table[i+1][j] = t.table[i][j] + float64(cell/6*(last[j]+float64(4*middle[j])+next[j]))
		}
		last = next
	}
	return t
}

// at is basis itself at an angle.
func (t *turn) at(phi float64) basis {
	sin, cos := math.Sincos(phi)
	b := basis{edgeCos: cos, edgeSin: sin, edge: 1}
	if cos > 1e-12 {
		s := math.Pow(cos, t.power)
		b.chipCos, b.chipSin, b.chip = s*cos, s*sin, s
	}
	return b
}

// to is the running integral up to phi in [-2 pi, 2 pi]; only differences of it mean anything.
func (t *turn) to(phi float64) basis {
	sin, cos := math.Sincos(phi)
	b := basis{edgeCos: sin, edgeSin: -cos, edge: phi}
	turns := math.Floor((phi + math.Pi/2) / (2 * math.Pi))
	x := (phi - float64(turns*2*math.Pi) + math.Pi/2) * (turnCells / math.Pi)
	i := int(x)
	if i >= turnCells {
		turns, i, x = turns+1, 0, 0
	}
	low, high, part := &t.table[i], &t.table[i+1], x-float64(i)
	whole := &t.table[turnCells]
	b.chipCos = low[0] + float64(part*(high[0]-low[0])) + float64(turns*whole[0])
	b.chipSin = low[1] + float64(part*(high[1]-low[1])) + float64(turns*whole[1])
	b.chip = low[2] + float64(part*(high[2]-low[2])) + float64(turns*whole[2])
	return b
}

// window is a turn seen through an arc of engagement: outside the arc basis is 0. It repeats every 2 pi.
type window struct {
	turn        *turn
	right, left float64
	start, all  basis // running integral at right; integral over the arc
}

func (t *turn) window(right, left float64) window {
	left = math.Min(left, right+2*math.Pi)
	w := window{turn: t, right: right, left: left, start: t.to(right)}
	w.all = t.to(left).minus(w.start)
	return w
}

// slack makes the ends of the arc belong to it in spite of rounding.
const slack = 1e-9

func (w *window) at(phi float64) (basis, bool) {
	rest := phi - w.right + slack
	rest -= math.Floor(rest/(2*math.Pi)) * 2 * math.Pi
	if rest > w.left-w.right+2*slack {
		return basis{}, false
	}
	return w.turn.at(math.Min(math.Max(w.right+rest-slack, w.right), w.left)), true
}

// to is the running integral of what is seen, from right; phi may be any number of turns away.
func (w *window) to(phi float64) basis {
	turns := math.Floor((phi - w.right) / (2 * math.Pi))
	rest := phi - w.right - float64(turns*2*math.Pi)
	b := w.all
	if rest < w.left-w.right {
		b = w.turn.to(w.right + rest).minus(w.start)
	}
	if turns != 0 {
		b = b.plus(w.all, turns)
	}
	return b
}
