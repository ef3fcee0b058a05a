package sim

import (
	"fmt"
	"math"

	"candelua/colour"
	"candelua/engine/bench"
)

// grey is a window of one signal in the middle of a black screen.
func grey(level, window float64, s bench.Signal, bits int) bench.Patch {
	return bench.Patch{RGB: [3]float64{level, level, level}, Window: window, Signal: s, Bits: bits, At: [2]float64{0.5, 0.5}}
}

// truthPrimaries returns the chromaticities of full red, green and blue, the
// black level included as a meter sees it. It fails where a setting cannot be
// set.
func (w *World) truthPrimaries(settings ...bench.Setting) (all [3]colour.XY, err error) {
	for i := range all {
		p := grey(0, 10, bench.SDR, 0)
		p.RGB[i] = 1
		c, err := w.TruthXYZ(p, settings...)
		if err != nil {
			return all, err
		}
		if all[i], err = c.XY(); err != nil {
			return all, err
		}
	}
	return all, nil
}

// codes returns the luminances of all full-range codes of so many bits, as greys.
func (w *World) codes(bits int) ([]float64, error) {
	if bits < 1 || bits > 16 {
		return nil, fmt.Errorf("codes: bits is %d; it must be 1 to 16", bits)
	}
	most := int(math.Ldexp(1, bits)) - 1
	all := make([]float64, most+1)
	for code := range all {
		y, err := w.truthLuminance(grey(float64(code)/float64(most), 10, bench.SDR, bits))
		if err != nil {
			return nil, err
		}
		all[code] = y
	}
	return all, nil
}

// truthFirstCode returns the lowest code of so many bits whose grey is by more
// than least, in cd/m², brighter than black. It fails for bits that are none,
// and where no code is.
func (w *World) truthFirstCode(bits int, least float64) (int, error) {
	all, err := w.codes(bits)
	if err != nil {
		return 0, err
	}
	for code, y := range all {
		if y-all[0] > least {
			return code, nil
		}
	}
	return 0, fmt.Errorf("first code: no grey is brighter than black by more than %v cd/m2", least)
}
