package sweep

// HeightMM gives what is left of the material of a cell, above Stock.BottomMM; 0 when it is cut through or there was
// none.
func (r *Record) HeightMM(ix, iy int) float64 { return max(0, r.cells.HeightAt(ix, iy)).MM() }
