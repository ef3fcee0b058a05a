package draw

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// What the study of coverage concludes of readings, and their true levels.

func luminances(cd ...float64) []XYZ {
	out := make([]XYZ, len(cd))
	for i, y := range cd {
		out[i].Y = y
	}
	return out
}

// relative scatter of Y, in %, and noise of the dark in cd/m².
func noisy(percent, dark float64) func(XYZ) XYZ {
	return func(l XYZ) XYZ { return XYZ{Y: math.Hypot(percent/100*l.Y, dark)} }
}

func meanY(v []XYZ) float64 {
	sum := 0.
	for _, l := range v {
		sum += l.Y
	}
	return sum / float64(len(v))
}

func ratioY(v []XYZ) float64 { return v[0].Y / v[1].Y }

// exponent is the slope of log luminance over log signal, of equal steps up to 1.
func exponent(v []XYZ) float64 {
	var x, y []float64
	for i, l := range v {
		if l.Y > 0 {
			x, y = append(x, math.Log(float64(i+1)/float64(len(v)))), append(y, math.Log(l.Y))
		}
	}
	_, slope := stat.LinearRegression(x, y, nil, false)
	return slope
}

// crossing is when luminances, read every 5 s, first fall to half the first,
// between two readings by a straight line; NaN where they do not.
func crossing(v []XYZ) float64 {
	for i := 1; i < len(v); i++ {
		if half := v[0].Y / 2; v[i].Y <= half {
			return 5 * (float64(i) - (half-v[i].Y)/(v[i-1].Y-v[i].Y))
		}
	}
	return math.NaN()
}

func lowestOverHighest(v []XYZ) float64 {
	y := make([]float64, len(v))
	for i, l := range v {
		y[i] = l.Y
	}
	return slices.Min(y) / slices.Max(y)
}

func norms(v []XYZ) []float64 {
	out := make([]float64, len(v))
	for i, d := range v {
		out[i] = math.Sqrt(d.X*d.X + d.Y*d.Y + d.Z*d.Z)
	}
	return out
}

func meanNorm(v []XYZ) float64 { return stat.Mean(norms(v), nil) }
func maxNorm(v []XYZ) float64  { return slices.Max(norms(v)) }
func medianNorm(v []XYZ) float64 {
	n := norms(v)
	slices.Sort(n)
	return (n[len(n)/2] + n[(len(n)-1)/2]) / 2
}

// errors are 18 colour errors that point everywhere, of lengths from 0.3 to 1.7
// of a mean one in units of what a reading's mean scatters on each axis.
func colourErrors(mean float64) []XYZ {
	out := make([]XYZ, 18)
	for i := range out {
		z := 1 - (2*float64(i)+1)/18
		sine, cosine := math.Sincos(2.399963 * float64(i)) // the golden angle
		r := math.Sqrt(1 - z*z)
		out[i] = XYZ{r * cosine, r * sine, z}.times(mean * (0.3 + 1.4*float64(i*7%18)/17))
	}
	return out
}

func alike(XYZ) XYZ { s := math.Sqrt(perReading); return XYZ{s, s, s} }

func decay() []XYZ {
	out := make([]XYZ, 9)
	for i := range out {
		out[i].Y = 10 * math.Exp(-float64(i)*5/20)
	}
	return out
}

func tone(gamma float64) []XYZ {
	out := make([]XYZ, 9)
	for i := range out {
		out[i].Y = 100 * math.Pow(float64(i+1)/9, gamma)
	}
	return out
}
