//go:build race

package sandbox

// raceDetector says that the race detector is on, which multiplies memory.
const raceDetector = true
