//go:build !race

package hold

const raceDetector = false
