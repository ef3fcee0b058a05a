package bench

import (
	"math"
	"slices"
)

// What a sample is judged by where the meter states nothing.
const (
	// unstatedDark is taken for the standard uncertainty of a meter's dark
	// level that nobody stated, in cd/m² (common practice, no source).
	unstatedDark = 0.01
	// chromaticitySlack is how far a chromaticity may lie outside the
	// triangle of what is possible. A deep red has x + y of 1 within the
	// meter's own error (common practice, no source).
	chromaticitySlack = 0.002
	// leastY is a chromaticity y that no display's colour goes below; the
	// blue of BT.2020 has 0.046 [BT2020]. A y of 0 or less is noise only
	// where the noise reaches that far.
	leastY = 0.04
	// darkLimits is how many standard uncertainties of the dark level make up
	// the noise of a reading.
	darkLimits = 5
	// mostNoise is how far from 0, in cd/m², any meter for displays may read in the
	// dark, whatever it states: a quick one scatters by more than the dark level
	// is known to (common practice, no source). What is more negative than this and
	// than the stated limits has another cause: a dark level that was taken in light,
	// or a broken connection.
	mostNoise = 1
)

// CheckSample judges a sample alike for every driver and returns it with
// [BelowFloor] among its flags where its luminance is under the meter's floor.
// about is what is known of the meter, see [Bench.About].
//
// It refuses, with an [Error] of code "bad-reading":
//
//   - a value that is not finite;
//   - a luminance below -1 cd/m², and below minus five times the standard uncertainty u
//     of the meter's dark level: the greater of Accuracy.Dark and Floor, 0.01 cd/m²
//     where neither is stated. What is less negative is noise around black,
//     and valid data;
//   - with colour, X + Y + Z that is negative by more than noise;
//   - with colour, where X, Y or Z is farther from 0 than noise, a chromaticity that
//     no light has: x < 0, y ≤ 0 or x + y > 1, by more than 0.002, five
//     times Accuracy.XY, and what such noise makes;
//   - an end before the beginning.
func CheckSample(s Sample, about Identity) (Sample, error) {
	if err := checkFinite(s); err != nil {
		return s, err
	}
	limit := darkLimits * darkUncertainty(about)
	if least := -max(limit, mostNoise); s.Y < least {
		return s, Errorf(CodeBadReading, darkAgain, "luminance is %.4g cd/m²; it must be at least %.4g cd/m²", s.Y, least)
	}
	if s.Colour {
		if err := checkChromaticity(s, limit, darkLimits*about.Accuracy.XY); err != nil {
			return s, err
		}
	}
	if s.Ended < s.Began {
		return s, Errorf(CodeBadReading, "", "reading ended at %v, before it began at %v", s.Ended, s.Began)
	}
	if s.Y < about.Floor && !slices.Contains(s.Flags, BelowFloor) {
		s.Flags = append(slices.Clone(s.Flags), BelowFloor)
	}
	return s, nil
}

// darkAgain is the advice where a reading is too negative.
const darkAgain = "measure the meter's dark level again, then read again"

func darkUncertainty(about Identity) float64 {
	if u := max(about.Accuracy.Dark, about.Floor); u > 0 { // a level may be known better than a reading scatters
		return u
	}
	return unstatedDark
}

func checkFinite(s Sample) error {
	values := []struct {
		name  string
		value float64
	}{{"X", s.X}, {"Y", s.Y}, {"Z", s.Z}}
	if !s.Colour {
		values = values[1:2]
	}
	for _, v := range values {
		if !finite(v.value) {
			return Errorf(CodeBadReading, "", "%s is %v; it must be a finite number of cd/m²", v.name, v.value)
		}
	}
	if s.Spectrum == nil {
		return nil
	}
	for i, v := range s.Spectrum.Values {
		if !finite(v) {
			at := s.Spectrum.From + float64(i)*s.Spectrum.Step
			return Errorf(CodeBadReading, "", "spectrum is %v at %g nm; it must be a finite number", v, at)
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// checkChromaticity refuses what no light has. limit is 5u in cd/m²,
// and stated what the meter may be off by.
func checkChromaticity(s Sample, limit, stated float64) error {
	most := max(limit, mostNoise)
	if math.Abs(s.X) <= most && math.Abs(s.Y) <= most && math.Abs(s.Z) <= most {
		return nil // noise around black has no chromaticity
	}
	sum := s.X + s.Y + s.Z
	if sum <= 0 {
		return Errorf(CodeBadReading, darkAgain, "X + Y + Z is %.4g cd/m²; it must be above 0", sum)
	}
	x, y := s.X/sum, s.Y/sum
	slack := chromaticitySlack + stated + most/sum
	dark := y <= 0 && limit/sum < leastY
	if x >= -slack && y >= -slack && x+y <= 1+slack && !dark {
		return nil
	}
	return Errorf(CodeBadReading, "check that the meter sees the patch, then read again",
		"chromaticity is x %.4f, y %.4f; x must be at least 0, y above 0, and x + y at most 1", x, y)
}
