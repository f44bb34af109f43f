//go:build !race

package sweep

// randomNests is the number of random nests drawn for each cell that pieces are checked at.
const randomNests = 300
