package colour

import (
	"fmt"
	"math"
)

// Pair is one stimulus as two meters read it: the reference, usually a spectroradiometer,
// and the target, the meter whose readings the correction is for.
type Pair struct{ Reference, Target XYZ }

// Correction maps the readings of a target meter to those of a reference meter for
// displays with the same primaries. It is valid for that kind of display only.
type Correction struct {
	Matrix Matrix
	// Residuals are the remaining errors at the stimuli that the correction was made from, in their order.
	Residuals []Residual
}

// Residual is the remaining error of a corrected reading against the reference.
type Residual struct {
	DeltaUV   float64 // Δu′v′, NaN where either has no chromaticity
	Luminance float64 // relative error of Y, NaN where the reference's is not above 0
}

// Apply returns the corrected reading.
func (c *Correction) Apply(target XYZ) XYZ { return c.Matrix.Apply(target) }

// Worst returns the largest Δu′v′ and the largest absolute luminance error of the residuals.
// Each is NaN if one of them is.
func (c *Correction) Worst() Residual {
	var w Residual
	for _, r := range c.Residuals {
		w.DeltaUV = math.Max(w.DeltaUV, r.DeltaUV)
		w.Luminance = math.Max(w.Luminance, math.Abs(r.Luminance))
	}
	return w
}

// minimumSpread is the least area in u′v′ of the triangle of red, green and blue from
// which a correction is made: a seventh of BT.709's. The smaller the triangle, the more it
// magnifies the errors of the meters.
const minimumSpread = 0.009

// FourColour returns the correction by the four-colour matrix method, from readings of
// red, green, blue and white at full drive.
//
// The chromaticities of red, green and blue are weighted so that they add up to that of white,
// in both meters; their luminances are not used. The resulting matrix makes all four
// chromaticities exact, and it is scaled so that the luminance of white is exact too. Because
// luminances are not used, drift and a display that is not additive do no harm.
//
//	R = N diag(k_N) (M diag(k_M))⁻¹    N k_N = W_N    M k_M = W_M
//
// The error wraps [ErrNoChromaticity] for a reading that is black, and [ErrSingular] if red,
// green and blue are too close to a line in u′v′ for a reliable matrix.
//
// Source: [OhnoHardis1997], the method from memory and checked by its properties.
func FourColour(red, green, blue, white Pair) (*Correction, error) {
	all := [4]Pair{red, green, blue, white}
	n, err := weightedPrimaries(all, "reference", func(p Pair) XYZ { return p.Reference })
	if err != nil {
		return nil, err
	}
	m, err := weightedPrimaries(all, "target", func(p Pair) XYZ { return p.Target })
	if err != nil {
		return nil, err
	}
	inverse, err := m.Inverse()
	if err != nil {
		return nil, fmt.Errorf("target readings: white lies on a line between two primaries: %w", err)
	}
	return newCorrection(n.Mul(&inverse), all[:]), nil
}

var colourNames = [4]string{"red", "green", "blue", "white"}

// weightedPrimaries returns the matrix whose columns have the chromaticities of red, green and
// blue and add up to white.
func weightedPrimaries(all [4]Pair, meter string, reading func(Pair) XYZ) (Matrix, error) {
	var xy [4]XY
	for i, p := range all {
		var err error
		if xy[i], err = reading(p).XY(); err == nil && xy[i].Y <= 0 {
			err = ErrNoChromaticity
		}
		if err != nil {
			return Matrix{}, fmt.Errorf("%s reading of %s: %w", meter, colourNames[i], err)
		}
	}
	if err := checkSpread(meter, xy[0], xy[1], xy[2]); err != nil {
		return Matrix{}, err
	}
	s, err := NewSpace(meter+" readings", xy[0], xy[1], xy[2], xy[3])
	if err != nil {
		return Matrix{}, err
	}
	return s.toXYZ.Scale(reading(all[3]).Y), nil
}

func checkSpread(meter string, red, green, blue XY) error {
	if area := UVPolygon(red.UV(), green.UV(), blue.UV()).Area(); !(area >= minimumSpread) {
		return fmt.Errorf("%s readings: red, green and blue span %.5f in u′v′; it must be at least %v: %w",
			meter, area, minimumSpread, ErrSingular)
	}
	return nil
}

// MatrixCorrection returns the least-squares correction from readings of three or more stimuli.
//
//	R = N Mᵀ (M Mᵀ)⁻¹    columns of N and M: the XYZ of reference and target
//
// With exactly three stimuli, usually red, green and blue, it is exact for these: R = N M⁻¹.
// Errors count by their size in cd/m², so that bright colours have the most weight. Unlike in
// [FourColour], an error in a single luminance changes chromaticities.
//
// The error wraps [ErrSingular] for fewer than three stimuli and for stimuli that do not span
// the colours, and [ErrNoChromaticity] for a reading that is not finite.
//
// Source: [E1455], attributed from memory.
func MatrixCorrection(pairs []Pair) (*Correction, error) {
	if len(pairs) < 3 {
		return nil, fmt.Errorf("matrix from %d stimuli; it needs at least 3: %w", len(pairs), ErrSingular)
	}
	var nm, mm Matrix
	for i, p := range pairs {
		n := [3]float64{p.Reference.X, p.Reference.Y, p.Reference.Z}
		m := [3]float64{p.Target.X, p.Target.Y, p.Target.Z}
		if s := n[0] + n[1] + n[2] + m[0] + m[1] + m[2]; math.IsNaN(s) || math.IsInf(s, 0) {
			return nil, fmt.Errorf("reading of stimulus %d is not finite: %w", i+1, ErrNoChromaticity)
		}
		for r := range 3 {
			for c := range 3 {
				nm[r][c] += n[r] * m[c]
				mm[r][c] += m[r] * m[c]
			}
		}
	}
	inverse, err := mm.Inverse()
	if err != nil {
		return nil, fmt.Errorf("target readings: %w", err)
	}
	if det := relativeDeterminant(&mm); !(det > minimumDeterminant) {
		return nil, fmt.Errorf("target readings are almost linearly dependent (%.1e; it must be above %.0e): %w", det, minimumDeterminant, ErrSingular)
	}
	return newCorrection(nm.Mul(&inverse), pairs), nil
}

// minimumDeterminant is the least determinant of M Mᵀ over the product of its diagonal: the
// square of the volume that the readings span, for unit lengths. For BT.709 it is 0.25.
const minimumDeterminant = 1e-4

func relativeDeterminant(m *Matrix) float64 { return m.Det() / (m[0][0] * m[1][1] * m[2][2]) }

func newCorrection(m Matrix, pairs []Pair) *Correction {
	c := &Correction{Matrix: m, Residuals: make([]Residual, len(pairs))}
	for i, p := range pairs {
		c.Residuals[i] = residual(m.Apply(p.Target), p.Reference)
	}
	return c
}

func residual(got, want XYZ) Residual {
	r := Residual{DeltaUV: math.NaN(), Luminance: math.NaN()}
	if want.Y > 0 {
		r.Luminance = got.Y/want.Y - 1
	}
	a, errA := got.UV()
	b, errB := want.UV()
	if errA == nil && errB == nil {
		r.DeltaUV = a.Distance(b)
	}
	return r
}

// Additivity tells whether a display's primaries add up to its white.
type Additivity struct {
	Sum       XYZ     // of red, green and blue, each less black, plus black
	Luminance float64 // Y of the sum over Y of white: 1 for an additive display, less where white is boosted
	DeltaUV   float64 // Δu′v′ between the sum and white
}

// CheckAdditivity compares the sum of red, green and blue with white. Each of the three
// includes the light of black, which is counted once.
//
//	S = R + G + B - 2K
//
// The error wraps [ErrNoChromaticity] where white or the sum has none.
//
// Source: [IDMS], 5.4, on colour-signal white.
func CheckAdditivity(red, green, blue, white, black XYZ) (Additivity, error) {
	sum := red.Add(green).Add(blue).Sub(black.Scale(2))
	w, err := white.UV()
	if err != nil {
		return Additivity{}, fmt.Errorf("white: %w", err)
	}
	s, err := sum.UV()
	if err != nil {
		return Additivity{}, fmt.Errorf("sum of red, green and blue: %w", err)
	}
	return Additivity{Sum: sum, Luminance: sum.Y / white.Y, DeltaUV: s.Distance(w)}, nil
}
