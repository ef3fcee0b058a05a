//go:build !race

package script

const raceDetector = false
