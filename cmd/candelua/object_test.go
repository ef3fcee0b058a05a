package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
)

// TestStoppedReplay: a replay that somebody stopped neither agrees nor differs.
func TestStoppedReplay(t *testing.T) {
	for _, tt := range []struct {
		err    error
		agrees any
	}{
		{nil, true},
		{errors.New("another"), false},
		{fmt.Errorf("draws: %w", engine.ErrInterrupted), nil},
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
