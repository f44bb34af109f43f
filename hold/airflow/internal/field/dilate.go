package field

// dilate replaces every value of a grid by the largest within the given number of cells, along the rows and then along
// the columns (van Herk 1992): a square window.
func dilate(values []float32, nx, ny, reach int) {
	if reach <= 0 {
		return
	}
	line := make([]float32, max(nx, ny))
	out := make([]float32, max(nx, ny))
	for y := 0; y < ny; y++ {
		row := values[y*nx : (y+1)*nx]
		slidingMax(row, out[:nx], reach)
		copy(row, out)
	}
	for x := 0; x < nx; x++ {
		for y := 0; y < ny; y++ {
			line[y] = values[y*nx+x]
		}
		slidingMax(line[:ny], out[:ny], reach)
		for y := 0; y < ny; y++ {
			values[y*nx+x] = out[y]
		}
	}
}

// slidingMax sets out[i] to the largest of in[i-reach .. i+reach].
func slidingMax(in, out []float32, reach int) {
	var queue []int // indices of falling values
	head := 0
	for i := 0; i < len(in)+reach; i++ {
		if i < len(in) {
			for len(queue) > head && in[queue[len(queue)-1]] <= in[i] {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, i)
		}
		if at := i - reach; at >= 0 && at < len(in) {
			for queue[head] < at-reach {
				head++
			}
			out[at] = in[queue[head]]
		}
	}
}
