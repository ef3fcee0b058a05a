package engine

import (
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/history"
)

// checkCorrections refuses a bench whose corrections were not handed over,
// since one that is ignored is worse than none, and warns of a correction that
// was made for another meter or display.
func (s *Spec) checkCorrections(b *bench.Bench) error {
	for _, k := range history.CorrectedKinds {
		section := s.Bench.Section(k)
		if section == nil || section.Correction == "" {
			continue
		}
		if _, ok := s.Texts[history.CorrectionText(k)]; !ok {
			return bench.Errorf(bench.CodeUnsupported, "", "%s: %s.correction is %q, and the text of that file was not given", section.Where(), k, section.Correction)
		}
	}
	corrections, err := (&history.Head{Texts: s.Texts}).Corrections()
	if err != nil {
		return err
	}
	for _, text := range misfits(corrections, s.Unit.Name, b.Devices()) {
		s.warn("%s", text)
	}
	return nil
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
				c.Meter, d.Name, d.Identity.Called()))
		}
		if c.Unit != "" && unit != bench.DefaultUnit().Name && c.Unit != unit {
			told = append(told, made+fmt.Sprintf("on %s, and the unit is %s: it holds only where both have the same primaries", c.Unit, unit))
		}
	}
	return told
}
