package main

import (
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/survey"
)

// pathsText says over which signal paths a run was read; empty where that is not known, or where all was simulated.
func pathsText(paths []bench.Path) string {
	var words []string
	for _, p := range paths {
		if p != bench.PathSimulated {
			words = append(words, string(p))
		}
	}
	return strings.Join(words, "; ")
}

// unlikePaths is what must be said where a list puts values of one unit side by side that were read over
// different signal paths; empty where there are none.
func unlikePaths(all []*survey.Summary) string {
	first := map[string]string{}
	var units, paths []string
	for _, s := range all {
		path := pathsText(s.Paths)
		if path == "" || len(s.Values) == 0 {
			continue
		}
		was, known := first[s.Unit]
		if !known {
			first[s.Unit] = path
			continue
		}
		if was == path {
			continue
		}
		for _, one := range []string{was, path} {
			if !slices.Contains(paths, one) {
				paths = append(paths, one)
			}
		}
		if !slices.Contains(units, s.Unit) {
			units = append(units, s.Unit)
		}
	}
	if units == nil {
		return ""
	}
	return "Values of " + strings.Join(units, ", ") + " were read over different signal paths: " + strings.Join(paths, " / ") +
		". A unit may treat the same code differently on each, so do not compare such values unless you know that it does not. candelua runs RUN shows the path of each."
}
