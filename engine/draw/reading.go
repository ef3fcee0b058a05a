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

// Keys are the keys of a reading's components; [Key] says what each is made of.
type Keys struct{ Scatter, Scale, Chroma, Dark, Zero, Drift, Digit, Gain Key }

// Reading is what is known about the error of the mean of one reading.
type Reading struct {
	Mean     XYZ  // of the single readings, in cd/m²
	Colour   bool // false of a meter that gives Y alone
	scatter  meanScatter
	Accuracy Accuracy
	Hours    float64 // since the dark level was taken
	Zeroed   bool    // the run had the meter measure its dark level before
	zero     float64 // cd/m², by how much that measurement scatters
	Typed    Typed
	Keys     Keys
}

// Drawn is the change of a reading's single readings in one draw.
type Drawn struct {
	// Add comes first, in cd/m².
	Add XYZ
	// ToX and ToZ are added to X and Z for each cd/m² of Y: a shift of
	// chromaticity that leaves the luminance.
	ToX, ToZ float64
	// Gain multiplies it all.
	Gain float64
}

// draw returns the change of the reading in one draw. For a true reading R the measured reading is, to
// the first order,
//
//	(R + scatter + resolution) (1 + scale + correction) + chromaticity + dark + zero + drift · hours
//
// All these errors are small and symmetrical about 0, so that adding them to the
// measured reading draws R just as well as subtracting them:
//
//   - scatter of the mean, see meanScatter.draw;
//   - resolution of a typed number: rectangular, half a unit of the last digit to each side;
//   - dark level and its drift: normal and independent for Y, X and Z, because each
//     channel has a dark level of its own; the drift grows with the hours;
//   - noise of the measurement of the dark level, where the run had the meter take one: the same
//     in all readings until the next one, and likewise of each channel's own;
//   - residual chromaticity error of a correction: normal shifts of x and of y, the
//     same for all readings with the correction; the luminance does not change. In
//     darkness, where Y ≤ 0, there is no shift;
//   - scale, and the residual luminance error of a correction: normal, one factor
//     each for X, Y and Z.
//
// A bench file states one figure for chromaticity, so all colours have the same
// shift. In reality the residual error of a correction differs between colours, so
// that the draws show too little uncertainty for the distance between two colours
// and for the area of a gamut.
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
	if r.zero > 0 {
		d.Add = d.Add.plus(channels(r.Keys.Zero, draw).times(r.zero))
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

// still says whether every draw leaves the reading as it is.
func (r *Reading) still() bool {
	a := r.Accuracy
	shared := a.Scale > 0 || a.Gain > 0 || a.Dark > 0 || r.zero > 0 || a.Drift > 0 && r.Hours > 0 || a.XY > 0 && r.Colour
	return !shared && r.Typed == (Typed{}) && r.scatter.root == [3][3]float64{}
}

// Apply returns a single reading, in cd/m², with the errors of the draw. All single
// readings of a reading change in the same way, so that their scatter stays the same.
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

// lit says whether a reading has a meaningful chromaticity.
func lit(mean XYZ) bool {
	return mean.Y > 0 && mean.Y >= float64(leastY*(mean.X+mean.Y+mean.Z)) && mean.X+mean.Y+mean.Z > 0
}
