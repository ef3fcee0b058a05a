package engine_test

import (
	"context"
	"errors"
	"testing"

	"candelua/engine"
	"candelua/engine/fault"
)

// A parameter that cannot be used is refused with a sentence that says what it is
// for, how to write it and where to read more.
func TestHintForAParameter(t *testing.T) {
	for set, want := range map[string]string{
		"rest=0.2s":   "give the number without its unit; see candelua describe window-sweep",
		"rest=-1":     "rest: sets how long the panel rests on black between windows; see candelua describe window-sweep",
		"windows=2 5": "write a list as 1,2,5, without a unit; ",
		"signal=hdr":  "signal: chooses the signal format of white; see candelua describe window-sweep",
		"windos=2":    "its parameters are windows, ",
	} {
		_, err := engine.Run(context.Background(), simSpec(t, shipped(t, "window-sweep"), set))
		if !errors.Is(err, fault.ErrUsage) {
			t.Fatalf("%s: %v", set, err)
		}
		has(t, fault.HintOf(err), want)
	}
}
