package sweep

// tiled keeps something for some tiles of the grid. Its memory is used again.
type tiled[T any] struct {
	tiles []*T
	used  []int32
	spare []*T
}

// reset takes everything away; tiles is the number of tiles of the grid.
func (x *tiled[T]) reset(tiles int) {
	if len(x.tiles) != tiles {
		x.tiles, x.used = make([]*T, tiles), x.used[:0]
	}
	for _, i := range x.used {
		var none T
		*x.tiles[i] = none
		x.spare = append(x.spare, x.tiles[i])
		x.tiles[i] = nil
	}
	x.used = x.used[:0]
}

// at gives what tile i has, none of it yet the first time.
func (x *tiled[T]) at(i int) *T {
	if x.tiles[i] == nil {
		if n := len(x.spare); n > 0 {
			x.tiles[i], x.spare = x.spare[n-1], x.spare[:n-1]
		} else {
			x.tiles[i] = new(T)
		}
		x.used = append(x.used, int32(i))
	}
	return x.tiles[i]
}
