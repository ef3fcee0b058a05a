package engine

import (
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/history"
)

// checkCorrections refuses a bench whose corrections were not handed over,
// since one that is ignored is worse than none, and warns of a correction that
// was made for another meter or display, or too long ago.
func (s *Spec) checkCorrections(head *history.Head) error {
	for _, k := range history.CorrectedKinds {
		section := s.Bench.Section(k)
		if section == nil || section.Correction == "" {
			continue
		}
		if _, ok := s.Texts[history.CorrectionText(k)]; !ok {
			return bench.Errorf(bench.CodeUnsupported, "", "%s: %s.correction is %q, and the text of that file was not given", section.Where(), k, section.Correction)
		}
	}
	corrections, err := head.Corrections()
	if err != nil {
		return err
	}
	for _, text := range misfits(corrections, head.Subject(), head.Devices) {
		s.warn("%s", text)
	}
	return nil
}

// misfits tells of corrections that were made for another meter, or on another display, than they are applied to, or too long ago. A meter
// that a person reads may be any: the person is asked to look.
func misfits(corrections map[string]*bench.Correction, of bench.Subject, devices []bench.Named) []string {
	var told []string
	for _, d := range devices {
		c := corrections[d.Name]
		if c == nil {
			continue
		}
		if d.Identity.ByHand {
			told = append(told, fmt.Sprintf("the correction %q was made for the meter %s, and the %s is read by hand: make sure that it is the same", c.Name, c.Meter, d.Name))
		}
		told = append(told, c.Misfits(d.Name, d.Identity, of)...)
	}
	return told
}
