package builtins

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/script"
)

// sitting is since when a meter's dark level stands. It follows from answers
// alone.
type sitting struct {
	zeros map[string]int
	since map[string]float64 // script time and what the run had stood still, s
	// stated is what is stated of each meter's scatter, the same for all its readings.
	stated map[string]draw.StatedScatter
}

// zeroed begins a new sitting of a meter.
func zeroed(c *script.Call) {
	s := script.State[sitting](c)
	if s.zeros == nil {
		s.zeros, s.since = map[string]int{}, map[string]float64{}
	}
	s.zeros[c.Device()]++
	s.since[c.Device()] = lasted(c, c.Now())
}

// lasted is for how long the run had lasted at a script time near the step's, in s,
// pauses too. Where nobody draws, that is not known, and nobody asks.
func lasted(c *script.Call, t float64) float64 {
	if d := c.Host().Draws; d != nil {
		return t + d.StoodBefore(c.Number())
	}
	return t
}

// draws moves the single readings of a mean to where a draw has it: read as the meter gave
// them, samples as they are once corrected. relative is the standard error that it went on for, in %, or 0. Outside of
// such an execution they stay as they are.
// at is where the meter looked, nil where nobody said.
func draws(c *script.Call, read, samples []sample, relative float64, at *[2]float64) []sample {
	return drawn(c, 0, read, samples, relative, at)
}

// drawsEach is draws for a series, each of which stands for itself.
func drawsEach(c *script.Call, read, samples []sample, at *[2]float64) []sample {
	if c.Host().Draws == nil {
		return samples
	}
	out := make([]sample, 0, len(samples))
	for i := range samples {
		out = append(out, drawn(c, i+1, read[i:i+1], samples[i:i+1], 0, at)...)
	}
	return out
}

// drawn is draws for a mean, or for one single reading of a series, counted from 1.
func drawn(c *script.Call, single int, read, samples []sample, relative float64, at *[2]float64) []sample {
	d := c.Host().Draws
	if d == nil || len(samples) == 0 {
		return samples
	}
	if d.Number == script.Probe {
		return probed(c, samples)
	}
	s := script.SharedState[draw.Sheet](d.Shared)
	switch {
	case d.Shaken != nil:
		return shaken(c, s, single, samples)
	case d.Number == script.Look:
		enter(c, s, single, read, samples, relative, at)
		enterSpectrum(c, s, single, read, samples)
		return samples
	}
	moved, ok := s.Draw(c.Number(), single, d.Number)
	if !ok {
		return samples
	}
	out := slices.Clone(samples)
	move(out, moved)
	if shape, ok := s.Spectrum(c.Number(), single, d.Number); ok {
		reshape(out, meanSpectrum(samples), shape)
	}
	return out
}

// shaken moves the single readings by what is not known of them.
func shaken(c *script.Call, s *draw.Sheet, single int, samples []sample) []sample {
	d := c.Host().Draws
	out := slices.Clone(samples)
	if s.Shakes(*d.Shaken, c.Number(), single) {
		const least = 0.01 // cd/m², by a share of which darkness is moved
		k := draw.NewKey("probe").Number(c.Number()).Number(single)
		by := func(x float64, of string) float64 { return k.Text(of).Shake(d.Number) * math.Max(math.Abs(x), least) }
		mean := samples[0]
		move(out, draw.Drawn{Add: draw.XYZ{X: by(mean.X, "X"), Y: by(mean.Y, "Y"), Z: by(mean.Z, "Z")}, Gain: 1})
	}
	if mean := meanSpectrum(samples); mean != nil && c.Since(5) {
		if shape := shakenShape(c, mean, single); shape != nil {
			reshape(out, mean, shape)
		}
	}
	return out
}

// probed moves the single readings of a step where a probe moves that step. A share moves X and Z by other
// amounts than Y, so that the chromaticity moves too, and a reading of 0 by a little as well.
func probed(c *script.Call, samples []sample) []sample {
	m, moves := c.Host().Draws.Moves[c.Number()]
	if !moves {
		return samples
	}
	by := func(x, times float64) float64 {
		const dark = 0.001 // cd/m2
		return times * m.Share * (math.Abs(x) + dark)
	}
	if m.To != nil {
		all := *m.To - meanOfY(samples)
		by = func(_, _ float64) float64 { return all }
	}
	out := slices.Clone(samples)
	for i := range out {
		s := &out[i]
		was := s.Y
		s.Y += by(s.Y, 1)
		if s.Colour {
			s.X, s.Z = s.X+by(s.X, 1.3), s.Z+by(s.Z, 0.6)
		}
		if factor := s.Y / was; was > 0 && !math.IsInf(factor, 0) {
			s.Spectrum = timesSpectrum(s.Spectrum, factor)
		}
	}
	return out
}

func meanOfY(samples []sample) (mean float64) {
	for _, x := range samples {
		mean += x.Y / float64(len(samples))
	}
	return mean
}

// move puts the single readings of a mean where a draw has them. Their spectra are all
// multiplied by what their mean Y is, so that the mean spectrum's luminance follows; where there is no light,
// they stay as they are.
func move(samples []sample, by draw.Drawn) {
	var was, is float64
	for i := range samples {
		s := &samples[i]
		xyz := by.Apply(draw.XYZ{X: s.X, Y: s.Y, Z: s.Z})
		was, is = was+s.Y, is+xyz.Y
		s.Y = xyz.Y
		if s.Colour {
			s.X, s.Z = xyz.X, xyz.Z
		}
	}
	factor := is / was
	if !(was > 0) || math.IsInf(factor, 0) { // beyond what a number holds, where there is hardly light
		return
	}
	for i := range samples {
		samples[i].Spectrum = timesSpectrum(samples[i].Spectrum, factor)
	}
}

// timesSpectrum is a spectrum with all its values multiplied, nil of none. The one
// that is given stays: it is what was recorded, and all draws share it.
func timesSpectrum(s *bench.Spectrum, factor float64) *bench.Spectrum {
	if s == nil {
		return nil
	}
	out := &bench.Spectrum{From: s.From, Step: s.Step, Values: make([]float64, len(s.Values))}
	for i, v := range s.Values {
		out.Values[i] = v * factor
	}
	return out
}

// enter notes a reading; relative is the standard error in % that it went on for,
// or 0.
func enter(c *script.Call, s *draw.Sheet, single int, read, samples []sample, relative float64, at *[2]float64) {
	known := c.Host().Devices[c.Device()]
	colour := true
	singles := make([]draw.XYZ, len(samples))
	for i, x := range samples {
		singles[i] = draw.XYZ{X: x.X, Y: x.Y, Z: x.Z}
		colour = colour && x.Colour
	}
	step, began := c.Number(), samples[0].Began
	s.Enter(step, single, c.Device(), singles,
		draw.Taken{Unstated: unstated(c, known), Exact: known.Simulated || !c.Since(5), Stated: script.State[sitting](c).statedOf(c.Device(), known), Seconds: secondsOf(samples), Began: lasted(c, began),
			Stimulus: stimulus(c, at), Unsynchronised: flagsOf(read).Unsynchronised, UntilSteady: relative > 0, Target: relative},
		draw.Reading{Mean: draw.MeanOf(singles), Colour: colour, Accuracy: accuracyOf(c, known), Keys: keysOf(c, known, single, read),
			Typed: typedPlaces(samples), Zeroed: script.State[sitting](c).zeros[c.Device()] > 0, Hours: max(0, lasted(c, began)-script.State[sitting](c).since[c.Device()]) / 3600})
}

// unstated says whether nobody states how far off a meter may be in all that it reads: a
// certificate does, and a simulated world, also where that is 0. Runs by the rules
// before 4 did not tell.
func unstated(c *script.Call, known bench.Identity) bool {
	return c.Since(4) && !known.Simulated && known.Accuracy.Scale == 0
}

// statedOf is statedOf, made once.
func (s *sitting) statedOf(device string, known bench.Identity) draw.StatedScatter {
	if _, made := s.stated[device]; !made {
		if s.stated == nil {
			s.stated = map[string]draw.StatedScatter{}
		}
		s.stated[device] = statedOf(known)
	}
	return s.stated[device]
}

// statedOf is what is stated of a meter's scatter.
func statedOf(known bench.Identity) draw.StatedScatter {
	a := known.Accuracy
	s := draw.StatedScatter{Repeatability: a.Repeatability, Dark: a.Dark, Floor: known.Floor, Zero: a.Zero}
	for _, row := range a.Noise {
		at := draw.NoiseAt{Level: row[0], Noise: row[1], Common: bench.CommonNoise}
		if len(row) > 2 {
			at.Common = row[2]
		}
		s.Noise = append(s.Noise, at)
	}
	return s
}

// stimulus tells the light that a meter reads, and how it looks at it, from any other, as far
// as the run's steps say. After a question a person may have changed anything.
func stimulus(c *script.Call, at *[2]float64) string {
	s := sceneOf(c)
	patch := "none"
	if p := s.seen(c); p != nil {
		patch = fmt.Sprintf("%+v", *p)
	}
	return fmt.Sprint(patch, s.off, s.settings, s.surround(at), nameOf(correctionOf(c)) != nil, s.asked)
}

// secondsOf is for how long a single reading was taken; 0 of those that a person typed, who
// takes a time that says nothing.
func secondsOf(samples []sample) (s float64) {
	for _, x := range samples {
		if x.Typed != "" {
			return 0
		}
		s += (x.Ended - x.Began) / float64(len(samples))
	}
	return s
}

// accuracyOf is what all readings of a meter share. A correction leaves what it
// states: of chromaticity in place of the meter's own, of luminance besides its scale.
func accuracyOf(c *script.Call, known bench.Identity) draw.Accuracy {
	a := draw.Accuracy{Scale: known.Accuracy.Scale, XY: known.Accuracy.XY, Dark: known.Accuracy.Dark, Drift: known.Accuracy.Drift}
	if by := correctionOf(c); by != nil {
		a.XY, a.Gain = by.Residual.XY, by.Residual.Luminance
	}
	return a
}

// keysOf name what the numbers of a reading's errors belong to, so that two
// readings, of two runs too, share just what they share. A reading goes by its
// place in a run that is not interrupted, so that a resumed one gives the
// same, and by the luminance that the meter gave: with the place alone, the few hundred
// numbers of a reading would be the same in all runs of a procedure, and all their
// uncertainties too large or too small alike. Another correction changes no number.
func keysOf(c *script.Call, known bench.Identity, single int, read []sample) draw.Keys {
	meter := calibrated(known)
	run := runOf(c)
	zeros := script.State[sitting](c).zeros[c.Device()]
	own := func(component string) draw.Key { return readingKey(c, component, single, read) }
	sitting := func(component string) draw.Key {
		return draw.NewKey(component).Text(meter).Text(run).Number(zeros)
	}
	chroma, gain := draw.NewKey("chromaticity").Text(meter), draw.Key{}
	if by := correctionOf(c); by != nil {
		chroma, gain = correctionKey("correction", by), correctionKey("correction gain", by)
	}
	return draw.Keys{Gain: gain, Scatter: own("scatter"), Digit: own("digit"), Scale: draw.NewKey("scale").Text(meter), Chroma: chroma,
		Dark: sitting("dark"), Zero: sitting("zero"), Drift: sitting("drift")}
}

// readingKey is the key of what a reading has of its own.
func readingKey(c *script.Call, component string, single int, read []sample) draw.Key {
	luminance := strconv.FormatFloat(meanOfY(read), 'e', 6, 64) // seven digits are the same on every platform
	return draw.NewKey(component).Text(runOf(c)).Number(c.Place()).Number(single).Text(luminance)
}

// calibrated tells a meter from any other, and from itself before it was calibrated anew:
// what it is off by is another number then. Where nobody states the calibration, the meter
// is taken for the same.
func calibrated(known bench.Identity) string {
	parts := []string{known.Driver, known.Name, known.Serial}
	if a := known.Accuracy; a.Certificate != "" || a.Date != "" {
		parts = append(parts, a.Certificate, a.Date)
	}
	return strings.Join(parts, "\x00")
}

// correctionKey tells a correction from any other: one that is made anew under the
// old name has another matrix.
func correctionKey(component string, by *bench.Correction) draw.Key {
	k := draw.NewKey(component).Text(by.Name)
	for _, row := range by.Matrix {
		for _, x := range row {
			k = k.Text(strconv.FormatFloat(x, 'x', -1, 64))
		}
	}
	return k
}

// typedPlaces is to what a person read off the numbers of a typed reading.
func typedPlaces(samples []sample) (t draw.Typed) {
	if len(samples) != 1 || samples[0].Typed == "" || strings.HasPrefix(strings.ToLower(samples[0].Typed), "file") { // a file has no digits
		return t
	}
	numbers := strings.FieldsFunc(samples[0].Typed, func(r rune) bool { return unicode.IsSpace(r) || r == ';' })
	tristimulus := len(numbers) == 4 && strings.EqualFold(numbers[0], "xyz")
	place := func(i int) float64 {
		p, err := draw.LastPlace(numbers[i])
		if err != nil {
			return 0
		}
		return p
	}
	switch {
	case tristimulus:
		t.Place = draw.XYZ{X: place(1), Y: place(2), Z: place(3)}
	case len(numbers) == 1:
		t.Place.Y = place(0)
	case len(numbers) == 3:
		t.Place.Y, t.X, t.Y = place(0), place(1), place(2)
	}
	return t
}
