package sweep

// cells is the tiled store behind a Record.
type cells struct{}
