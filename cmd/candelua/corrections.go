package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/procedure"
)

// correctionTexts reads the corrections that a bench file names, by paths that
// start at its folder, into the texts that a run keeps.
func correctionTexts(file *bench.File, texts map[string]string) error {
	for _, k := range file.Kinds() {
		s := file.Section(k)
		if s.Correction == "" {
			continue
		}
		path := filepath.FromSlash(s.Correction)
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(file.Path), path)
		}
		text, err := correctionText(path)
		if err != nil {
			return &fault.UsageError{Err: fmt.Errorf("%s: %s.correction: %w", s.Where(), k, err)}
		}
		texts[history.CorrectionText(k)] = text
	}
	return nil
}

// correctionText reads a correction file and refuses one that cannot be used.
func correctionText(path string) (string, error) {
	src, err := procedure.ReadText(path)
	if err != nil {
		return "", fmt.Errorf("the correction cannot be read: %w", err)
	}
	if _, err := bench.ParseCorrection(filepath.ToSlash(path), src); err != nil {
		return "", err
	}
	return string(src), nil
}

// noCorrection is what --correction names to leave a meter uncorrected.
const noCorrection = "none"

// givenCorrections reads what --correction says: FILE, or PLACE=FILE with the
// place of the meter on the bench. What is mapped to "" is left uncorrected.
func givenCorrections(given []string) (map[bench.Kind]string, error) {
	out := map[bench.Kind]string{}
	for _, g := range given {
		place, path := bench.KindMeter, g
		if before, after, found := strings.Cut(g, "="); found && !strings.ContainsAny(before, `/\.`) {
			place, path = bench.Kind(before), after
		}
		if place != bench.KindMeter && place != bench.KindReference {
			return nil, &flagError{fmt.Errorf("--correction is for %q; it must be meter or reference", string(place)),
				orWord(string(place), []string{string(bench.KindMeter), string(bench.KindReference)}, "write for example --correction reference=corrections/crake-dusk.toml")}
		}
		if _, twice := out[place]; twice {
			return nil, &flagError{fmt.Errorf("--correction is given twice for the %s", place), "give it once for each meter"}
		}
		if path == noCorrection {
			out[place] = ""
			continue
		}
		text, err := correctionText(path)
		if err != nil {
			return nil, &fault.UsageError{Err: err, Tip: orWord(path, []string{noCorrection}, "")}
		}
		out[place] = text
	}
	return out, nil
}
