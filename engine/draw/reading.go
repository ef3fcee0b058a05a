package draw

// Accuracy is what a bench states of a meter: standard uncertainties, 0 where
// nothing is stated.
type Accuracy struct {
	Scale float64 // % of the reading
	XY    float64 // of chromaticity x and of y
	Dark  float64 // cd/m², when the dark level was last taken
	Drift float64 // cd/m² an hour since then
	Gain  float64 // % of the reading, what a correction leaves
}

// Keys are the keys of a reading's components, see [Key] for what goes into
// each.
type Keys struct{ Scatter, Scale, Chroma, Dark, Drift, Digit, Gain Key }

// Reading is all that is known of the error of one reading's mean.
type Reading struct {
	Mean     XYZ  // of the single readings, in cd/m²
	Colour   bool // false of a meter that gives Y alone
	scatter  meanScatter
	Accuracy Accuracy
	Hours    float64 // since the dark level was taken
	Typed    Typed
	Keys     Keys
}

// Drawn is what one draw does to a reading's single readings.
type Drawn struct {
	// Add comes first, in cd/m².
	Add XYZ
	// ToX and ToZ are added to X and Z for each cd/m² of Y: a shift of
	// chromaticity that leaves the luminance.
	ToX, ToZ float64
	// Gain multiplies it all.
	Gain float64
}

// draw returns what a draw does to the reading. With a true reading R, what was measured is taken to be
//
//	(R + scatter + last digit of what was typed) (1 + scale + correction) + chromaticity + dark + drift · hours
//
// to the first order. All of these are small and symmetrical about 0, so that
// adding them to what was measured draws R just as well as taking them off:
//
//   - scatter of the mean, see meanScatter.draw;
//   - a typed number's last digit: rectangular, half a unit of it to each side;
//   - dark level and its drift: normal, of Y, X and Z each for itself, since
//     each channel is dark by itself; the drift grows with the hours;
//   - what the correction leaves of chromaticity: normal shifts of x and of y, the
//     same for all that was read with the correction; the luminance stays. There
//     is none in darkness, where Y ≤ 0;
//   - scale, and what a correction leaves of the luminance: normal, one factor each
//     for X, Y and Z.
//
// A bench file states one figure for chromaticity, so one shift serves all
// colours. What a correction leaves differs between colours in truth: of the
// distance between two colours, or a gamut's area, the draws say too little.
//
// Source: [JCGM101], 6.4.2 (rectangular), 6.4.7 (normal), 6.4.9 (t); the model
// is our own.
func (r *Reading) draw(draw int) Drawn {
	d := Drawn{Gain: 1, Add: r.scatter.draw(r.Keys.Scatter, draw)}
	if r.Typed != (Typed{}) {
		d.Add = d.Add.plus(r.Typed.draw(r.Mean, r.Keys.Digit, draw))
	}
	if r.Accuracy.Dark > 0 {
		d.Add = d.Add.plus(channels(r.Keys.Dark, draw).times(r.Accuracy.Dark))
	}
	if r.Accuracy.Drift > 0 && r.Hours > 0 {
		d.Add = d.Add.plus(channels(r.Keys.Drift, draw).times(r.Accuracy.Drift * r.Hours))
	}
	if r.Accuracy.XY > 0 && r.Colour {
		k := r.Keys.Chroma
		d.ToX, d.ToZ = shift(r.Mean, k.normal(draw)*r.Accuracy.XY, k.part(1).normal(draw)*r.Accuracy.XY)
	}
	if r.Accuracy.Scale > 0 {
		d.Gain += float64(r.Keys.Scale.normal(draw) * r.Accuracy.Scale / 100)
	}
	if r.Accuracy.Gain > 0 {
		d.Gain += float64(r.Keys.Gain.normal(draw) * r.Accuracy.Gain / 100)
	}
	if !r.Colour {
		d.Add.X, d.Add.Z = 0, 0
	}
	return d
}

// Apply returns a single reading, in cd/m², as the draw has it. All that a
// reading averages are moved alike, so that their scatter stays what it was.
func (d Drawn) Apply(s XYZ) XYZ {
	s = s.plus(d.Add)
	s.X += float64(d.ToX * s.Y)
	s.Z += float64(d.ToZ * s.Y)
	return s.times(d.Gain)
}

// channels are normal numbers of Y, X and Z each.
func channels(k Key, draw int) XYZ {
	return XYZ{Y: k.normal(draw), X: k.part(1).normal(draw), Z: k.part(2).normal(draw)}
}

// shift says what a change of chromaticity adds to X and Z for each cd/m² of Y:
//
//	X/Y = x/y,  Z/Y = (1 - x - y)/y
//
// There is no saying, and it adds nothing, in darkness (see [lit]) and where
// the change reaches half of y.
//
// Source: [CIE15], chromaticity coordinates.
func shift(mean XYZ, dx, dy float64) (toX, toZ float64) {
	if !lit(mean) {
		return 0, 0
	}
	sum := mean.X + mean.Y + mean.Z
	x, y := mean.X/sum, mean.Y/sum
	if dy < -y/2 || dy > y/2 {
		return 0, 0
	}
	moved := y + dy
	return (x+dx)/moved - x/y, (1-x-dx-moved)/moved - mean.Z/mean.Y
}

// leastY is a chromaticity y that only noise goes below: the deepest blue of
// displays, that of BT.2020, has 0.046.
const leastY = 0.01

// lit says whether a reading has a chromaticity to speak of.
func lit(mean XYZ) bool {
	return mean.Y > 0 && mean.Y >= float64(leastY*(mean.X+mean.Y+mean.Z)) && mean.X+mean.Y+mean.Z > 0
}
