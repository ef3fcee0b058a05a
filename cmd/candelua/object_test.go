package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/history"
	"candelua/engine/play"
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

// TestReplayOfOlderRules: what older rules decide is reported, and is no difference.
func TestReplayOfOlderRules(t *testing.T) {
	path := filepath.Join(t.TempDir(), "contrast-1")
	if err := os.CopyFS(path, os.DirFS("../../testdata/runs/older/contrast-0.1")); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("candelua", "replay", path).CombinedOutput()
	if want := "The run was made by rules 1, and this candelua computes by rules 6. Not compared: 7 details, because uncertainties are drawn and evaluated differently since rules 6:\n    value white-luminance: u is recorded as "; err != nil ||
		!strings.Contains(string(out), "The replay agrees: 12 steps, 3 values.\n"+want) {
		t.Errorf("it prints, with %v,\n%s\nwant\n%s", err, out, want)
	}
	out, err = exec.Command("candelua", "replay", path, "--json").Output()
	var o struct {
		Agrees     bool
		OlderRules struct {
			Run, Now    int
			Changes     []string
			Differences []string
		} `json:"older_rules"`
	}
	if err := errors.Join(err, json.Unmarshal(out, &o)); err != nil {
		t.Fatal(err)
	}
	if r := o.OlderRules; !o.Agrees || r.Run != 1 || r.Now != history.Rules || len(r.Changes) != 1 || len(r.Differences) != 7 {
		t.Errorf("the object says %+v", o)
	}
}
