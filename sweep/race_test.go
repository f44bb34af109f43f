//go:build race

package sweep

// randomNests is smaller under the race detector, which makes every case some ten times slower.
const randomNests = 60
