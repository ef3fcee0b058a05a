//go:build race

package campaign

// Race says whether the race detector is on, with which tests take ten times as
// long and far more memory.
const Race = true
