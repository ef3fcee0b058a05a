package engine

import (
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/result"
	"candelua/engine/store"
)

// correctedKinds are the places whose readings can have a correction.
var correctedKinds = []bench.Kind{bench.KindMeter, bench.KindReference}

// CorrectionText is the name under which a run's head keeps the correction file
// of a meter, so that a resumption and a replay have it without the file.
func CorrectionText(meter bench.Kind) string { return "correction " + string(meter) }

// corrections reads the corrections that a head keeps, by the meter's place.
func correctionsOf(h *history.Head) (map[string]*bench.Correction, error) {
	m := map[string]*bench.Correction{}
	for _, k := range correctedKinds {
		text, ok := h.Texts[CorrectionText(k)]
		if !ok {
			continue
		}
		c, err := bench.ParseCorrection(CorrectionText(k), []byte(text))
		if err != nil {
			return nil, err
		}
		m[string(k)] = c
	}
	return m, nil
}

// checkCorrections refuses a bench whose corrections were not handed over,
// since one that is ignored is worse than none, and warns of a correction that
// was made for another meter or display.
func (s *Spec) checkCorrections(b *bench.Bench) error {
	for _, k := range correctedKinds {
		section := s.Bench.Section(k)
		if section == nil || section.Correction == "" {
			continue
		}
		if _, ok := s.Texts[CorrectionText(k)]; !ok {
			return bench.Errorf(bench.CodeUnsupported, "", "%s: %s.correction is %q, and its text was not handed over", section.Where(), k, section.Correction)
		}
	}
	corrections, err := correctionsOf(&history.Head{Texts: s.Texts})
	if err != nil {
		return err
	}
	for _, text := range misfits(corrections, s.Unit.Name, b.Devices()) {
		s.warn("%s", text)
	}
	return nil
}

// writeCorrections writes the corrections that a run made as files that a bench
// file can name.
func writeCorrections(folder *store.Run, res *result.Results) error {
	var files []store.Correction
	for _, r := range res.Corrections() {
		c := bench.Correction{Name: r.Name, Path: r.ID, Method: r.Method, Matrix: r.Matrix, Meter: bench.Maker(r.Meter), Reference: bench.Maker(r.Reference),
			Unit: r.Unit, Mode: r.Mode, Date: r.Date, Notes: r.Notes, Residual: bench.Residual{XY: r.XY, Luminance: r.Luminance}}
		text, err := c.Text()
		if err != nil {
			return fmt.Errorf("correction %q cannot be written: %w", r.Name, err)
		}
		files = append(files, store.Correction{ID: r.ID, Name: r.Name, Text: text})
	}
	return folder.WriteCorrections(files)
}

// misfits tells of corrections that were made for another meter, or on another
// display, than they are applied to.
func misfits(corrections map[string]*bench.Correction, unit string, devices []bench.Named) []string {
	var told []string
	for _, d := range devices {
		c := corrections[d.Name]
		if c == nil {
			continue
		}
		made := fmt.Sprintf("the correction %q was made ", c.Name)
		switch {
		case d.Identity.ByHand:
			told = append(told, made+fmt.Sprintf("for the meter %s, and the %s is read by hand: make sure that it is the same", c.Meter, d.Name))
		case !c.Meter.Is(d.Identity):
			told = append(told, made+fmt.Sprintf("for the meter %s, and the %s is %s: its readings may be further off with it than without",
				c.Meter, d.Name, called(d.Identity)))
		}
		if c.Unit != "" && unit != bench.DefaultUnit().Name && c.Unit != unit {
			told = append(told, made+fmt.Sprintf("on %s, and the unit is %s: it holds only where both have the same primaries", c.Unit, unit))
		}
	}
	return told
}
