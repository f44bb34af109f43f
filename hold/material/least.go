package material

// The least skin that is worth leaving and the least pass that is worth making, mm: below it a board's skin tears or
// crumbles, and in metals and plastics the unevenness of sheet and table is as large.
const leastPractice = "common practice, no source: boards 0.4 mm, plastics and metals 0.1 mm"

// LeastUseful is the least useful thickness of a skin and depth of a pass in a material, mm.
func (w Work) LeastUseful() Range {
	if w.Board {
		return Range{0.3, 0.4, 0.6, leastPractice}
	}
	return Range{0.05, 0.1, 0.2, leastPractice}
}
