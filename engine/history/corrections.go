package history

import "candelua/engine/bench"

// CorrectedKinds are the places whose readings can have a correction.
var CorrectedKinds = []bench.Kind{bench.KindMeter, bench.KindReference}

// CorrectionText is the name under which a run's head keeps the correction file
// of a meter, so that a resumption and a replay have it without the file.
func CorrectionText(meter bench.Kind) string { return "correction " + string(meter) }

// Corrections reads the corrections that a head keeps, by the meter's place.
func (h *Head) Corrections() (map[string]*bench.Correction, error) {
	m := map[string]*bench.Correction{}
	for _, k := range CorrectedKinds {
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
