package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/play"
	"candelua/engine/result"
)

// TestStoppedReplay: a replay that somebody stopped neither agrees nor differs.
func TestStoppedReplay(t *testing.T) {
	for _, tt := range []struct {
		err    error
		agrees any
	}{
		{nil, true},
		{errors.New("another"), false},
		{fmt.Errorf("draws: %w", play.ErrInterrupted), nil},
	} {
		var text strings.Builder
		if err := printJSON(&text, &outcome{replay: true, err: tt.err}); err != nil {
			t.Fatal(err)
		}
		var o map[string]any
		if err := json.Unmarshal([]byte(text.String()), &o); err != nil {
			t.Fatal(err)
		}
		if o["agrees"] != tt.agrees {
			t.Errorf("%v: agrees is %v, want %v", tt.err, o["agrees"], tt.agrees)
		}
	}
}

// TestReplayOfAnotherVersion: uncertainties may be drawn otherwise by another version
// of candelua, and the hint says how to compare without them.
func TestReplayOfAnotherVersion(t *testing.T) {
	for engineVersion, want := range map[string]string{
		"0.0.9": "made by candelua 0.0.9; this is candelua " + version + ", which may draw uncertainties differently; give --draws 0",
		version: "the script, the journal or results.json was changed after the run",
	} {
		rep := &engine.Report{Outcome: &play.Outcome{}, Head: history.Head{Engine: engineVersion}, Differences: make([]result.Difference, 3)}
		err := replayDiffers(rep)
		if hint := fault.HintOf(err); !strings.Contains(hint, want) || replayStatus(err) != statusDiffers {
			t.Errorf("made by %s: the hint is %q, want it to contain %q", engineVersion, hint, want)
		}
	}
}
