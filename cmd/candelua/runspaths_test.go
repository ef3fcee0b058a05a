package main

import (
	"bytes"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/result"
	"candelua/engine/survey"
)

// Where a list puts values of one unit side by side that came over different signal paths, it says so.
func TestUnlikePathsAreTold(t *testing.T) {
	run := func(unit string, paths ...bench.Path) *survey.Summary {
		return &survey.Summary{Folder: "a-1", Unit: unit, Paths: paths, Values: []*result.Value{{ID: "v", Name: "V"}}}
	}
	empty := run("Plover", bench.PathPlayer)
	empty.Values = nil
	for name, c := range map[string]struct {
		all  []*survey.Summary
		want string
	}{
		"one path":       {[]*survey.Summary{run("Plover", bench.PathPage), run("Plover", bench.PathPage)}, ""},
		"of two units":   {[]*survey.Summary{run("Plover", bench.PathPage), run("Dunlin", bench.PathPlayer)}, ""},
		"older runs":     {[]*survey.Summary{run("Plover", bench.PathPage), run("Plover")}, ""},
		"simulated":      {[]*survey.Summary{run("Plover", bench.PathPage), run("Plover", bench.PathSimulated)}, ""},
		"without values": {[]*survey.Summary{run("Plover", bench.PathPage), empty}, ""},
		"two paths": {[]*survey.Summary{run("Plover", bench.PathPage), run("Dunlin", bench.PathPage), run("Plover", bench.PathPlayer)},
			"Values of Plover were read over different signal paths: page, SDR / file on a player. "},
		"a mixed run": {[]*survey.Summary{run("Plover", bench.PathPage), run("Plover", bench.PathPage, bench.PathPageHDR)},
			"Values of Plover were read over different signal paths: page, SDR / page, SDR; page, HDR still. "},
	} {
		if got := unlikePaths(c.all); (got == "") != (c.want == "") || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
		var text bytes.Buffer
		printRuns(&text, c.all, 80)
		if strings.Contains(text.String(), "signal") != (c.want != "") {
			t.Errorf("%s: the list is\n%s", name, &text)
		}
	}
}
