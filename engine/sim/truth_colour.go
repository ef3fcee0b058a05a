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

// TruthWhite returns the chromaticity of full SDR white. It fails where a
// setting cannot be set.
func (w *World) TruthWhite(settings ...bench.Setting) (colour.XY, error) {
	c, err := w.TruthXYZ(grey(1, 10, bench.SDR, 0), settings...)
	if err != nil {
		return colour.XY{}, err
	}
	return c.XY()
}

// TruthPrimaries returns the chromaticities of full red, green and blue, the
// black level included as a meter sees it. It fails where a setting cannot be
// set.
func (w *World) TruthPrimaries(settings ...bench.Setting) (all [3]colour.XY, err error) {
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

// TruthCoverage returns which share of a colour space's triangle in the CIE 1976
// diagram the primaries' covers, 0 to 1. It fails where a setting cannot be set.
func (w *World) TruthCoverage(of *colour.Space, settings ...bench.Setting) (float64, error) {
	p, err := w.TruthPrimaries(settings...)
	if err != nil {
		return 0, err
	}
	g, err := colour.UVPolygon(p[0].UV(), p[1].UV(), p[2].UV()).Compare(of.UVGamut())
	return g.Coverage, err
}

// TruthPeak returns the luminance, in cd/m², of the brightest of some windows
// of full white, and which it is. It fails without windows, and as
// [World.TruthXYZ] does.
func (w *World) TruthPeak(s bench.Signal, windows []float64, settings ...bench.Setting) (luminance, window float64, err error) {
	if len(windows) == 0 {
		return 0, 0, fmt.Errorf("peak: windows are missing, want shares of the screen to choose from")
	}
	for _, size := range windows {
		y, err := w.TruthLuminance(grey(1, size, s, 0), settings...)
		if err != nil {
			return 0, 0, err
		}
		if y > luminance {
			luminance, window = y, size
		}
	}
	return luminance, window, nil
}

// codes returns the luminances of all full-range codes of so many bits, as greys.
func (w *World) codes(bits int) ([]float64, error) {
	if bits < 1 || bits > 16 {
		return nil, fmt.Errorf("codes: bits is %d, want 1 to 16", bits)
	}
	most := int(math.Ldexp(1, bits)) - 1
	all := make([]float64, most+1)
	for code := range all {
		y, err := w.TruthLuminance(grey(float64(code)/float64(most), 10, bench.SDR, bits))
		if err != nil {
			return nil, err
		}
		all[code] = y
	}
	return all, nil
}

// TruthFirstCode returns the lowest code of so many bits whose grey is by more
// than least, in cd/m², brighter than black. It fails for bits that are none,
// and where no code is.
func (w *World) TruthFirstCode(bits int, least float64) (int, error) {
	all, err := w.codes(bits)
	if err != nil {
		return 0, err
	}
	for code, y := range all {
		if y-all[0] > least {
			return code, nil
		}
	}
	return 0, fmt.Errorf("first code: no grey is by more than %v cd/m2 brighter than black", least)
}

// sameStep is by how little, as a share, two steps differ that are one.
const sameStep = 1e-9

// TruthMerged returns the ranges of neighbouring codes of so many bits, first
// and last, whose greys have the same light. It fails for bits that are none.
func (w *World) TruthMerged(bits int) (ranges [][2]int, err error) {
	all, err := w.codes(bits)
	if err != nil {
		return nil, err
	}
	for code := 1; code < len(all); code++ {
		if all[code]-all[code-1] > sameStep*all[code] {
			continue
		}
		if n := len(ranges); n > 0 && ranges[n-1][1] == code-1 {
			ranges[n-1][1] = code
		} else {
			ranges = append(ranges, [2]int{code - 1, code})
		}
	}
	return ranges, nil
}
