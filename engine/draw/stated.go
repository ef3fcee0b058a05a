package draw

import "math"

// StatedScatter is what a bench states of how a meter's single readings scatter. The zero
// StatedScatter is nothing.
type StatedScatter struct {
	// Noise says it at some levels, in rising order. It is the better statement: where it is
	// given, Repeatability is not used.
	Noise []NoiseAt
	// Repeatability is the standard uncertainty of a single reading in % of Y. It is taken to
	// hold at statedAt and above.
	Repeatability float64
	// Dark is a figure for darkness, in cd/m², on the safe side, such as the uncertainty of
	// the dark level; 0 where nobody says.
	Dark float64
	// Floor is the lowest luminance that the meter can measure, in cd/m²; 0 where nobody says.
	Floor float64
	// Zero is by how much one measurement of the dark level differs from the next, as a
	// standard deviation in cd/m²; 0 where nobody says.
	Zero float64
}

// NoiseAt is how single readings scatter at one level.
type NoiseAt struct {
	Level float64 // cd/m²
	Noise float64 // standard deviation of Y of a single reading, in cd/m²
	// Common is the share of the variance that X, Y and Z have in common, from 0 to 1.
	Common float64
}

const (
	// statedAt is the level in cd/m² at which a repeatability without a level is taken to hold.
	// Data sheets state it for about that (common practice, no source). In brighter
	// light a share of Y is on the safe side, in dimmer light it is not: counting noise, the
	// square of which is in proportion to the light, is what a darker reading is taken to have.
	statedAt = 100
	// statedCommon is the share that X, Y and Z have in common where nobody says: a meter's
	// noise is between a gain that all share and a noise of each channel's own.
	statedCommon = 0.5
	// statedDoF are the degrees of freedom of a stated figure: that of a figure which is good
	// to a fifth ([JCGM100], G.4.2: ν ≈ ½ (Δu/u)⁻²).
	statedDoF = 12
)

// says whether anything is stated.
func (s *StatedScatter) says() bool { return len(s.Noise) > 0 || s.Repeatability > 0 }

// at is the stated scatter of single readings of a mean.
//
// Between the stated levels a straight line joins the logarithms of level and noise. A
// variance a + b·Y + c·Y² lies nowhere above such a line, so that the line is on
// the safe side; for the same reason the noise stays what it is below the lowest
// level, and grows in proportion to the light above the highest.
func (s *StatedScatter) at(mean XYZ) spread {
	noise, common := s.luminance(max(mean.Y, 0))
	return channelsOf(mean, noise, s.inDarkness(), common)
}

// clear is how many times its noise a light must be, for its colour to say how the channels go together.
const clear = 5

// channelsOf is the covariance of single readings whose Y scatters by noise, in cd/m², and in
// darkness by no more than dark.
//
// What X, Y and Z have in common is a gain, in proportion to each; what each has of
// its own is noise of the dark, alike in all, and of counting, whose variance is in proportion
// to the channel's light (a model of our own).
func channelsOf(mean XYZ, noise, dark, common float64) spread {
	out := spread{dof: statedDoF}
	own := (1 - common) * noise * noise
	dark = min(dark*dark, own)
	share := [3]float64{1, 1, 1} // of each channel's light, Y = 1
	if mean.Y > clear*noise && mean.X >= 0 && mean.Z >= 0 {
		share = mean.times(1 / mean.Y).vector()
	}
	for i, a := range share {
		for j, b := range share {
			out.cov[i][j] = float64(common * noise * noise * a * b)
		}
		out.cov[i][i] += dark + float64((own-dark)*a)
	}
	return out
}

// luminance is the stated standard deviation of Y at a level, and the share of the
// variance that X, Y and Z have in common.
func (s *StatedScatter) luminance(level float64) (noise, common float64) {
	if len(s.Noise) == 0 {
		share := s.Repeatability / 100 * math.Sqrt(level*math.Max(level, statedAt))
		return math.Sqrt(share*share + s.Dark*s.Dark), statedCommon
	}
	first, last := s.Noise[0], s.Noise[len(s.Noise)-1]
	if level <= first.Level {
		return first.Noise, first.Common
	}
	if level >= last.Level {
		if last.Level > 0 {
			last.Noise *= level / last.Level
		}
		return last.Noise, last.Common
	}
	k := 1
	for s.Noise[k].Level < level {
		k++
	}
	return between(s.Noise[k-1], s.Noise[k], level)
}

// between joins two stated levels. Where one of the numbers is 0 there is no logarithm, and the
// line joins level and variance: what counting noise does.
func between(a, b NoiseAt, level float64) (noise, common float64) {
	if a.Level == 0 || a.Noise == 0 || b.Noise == 0 {
		part := level / b.Level
		if a.Level > 0 {
			part = (level - a.Level) / (b.Level - a.Level)
		}
		return math.Sqrt(a.Noise*a.Noise + part*(b.Noise*b.Noise-a.Noise*a.Noise)), a.Common + part*(b.Common-a.Common)
	}
	part := log(level/a.Level) / log(b.Level/a.Level)
	return a.Noise * exp(part*log(b.Noise/a.Noise)), a.Common + part*(b.Common-a.Common)
}

// Single is the stated standard uncertainty of a single reading of a luminance, in cd/m².
func (s *StatedScatter) Single(level float64) float64 {
	noise, _ := s.luminance(max(level, 0))
	return noise
}

// inDarkness is the stated standard deviation without light, in cd/m²; 0 where nobody says.
func (s *StatedScatter) inDarkness() float64 {
	if len(s.Noise) > 0 {
		return s.Noise[0].Noise
	}
	return s.Dark
}
