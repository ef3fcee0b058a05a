//go:build !linux

package builtins

import "time"

var beginning = time.Now()

// threadTime is the time that passed: here the processor's is not known.
func threadTime() time.Duration { return time.Since(beginning) }
