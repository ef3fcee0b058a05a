//go:build race

package script

// raceDetector says that the race detector is on, which multiplies memory.
const raceDetector = true
