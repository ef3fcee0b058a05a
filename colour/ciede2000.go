package colour

import "math"

// Weights2000 are the parametric factors kL, kC and kH of CIEDE2000. A larger factor
// makes that part of a difference count less.
type Weights2000 struct{ KL, KC, KH float64 }

// ReferenceWeights are the factors 1, 1, 1 of the reference conditions.
//
// Source: [CIE142].
var ReferenceWeights = Weights2000{1, 1, 1}

// DeltaE2000 returns the colour difference CIEDE2000 with factors 1, 1, 1.
//
// It is symmetric. It was fitted to differences of up to about 5 between colours seen
// side by side; larger numbers only rank.
//
// Source: [CIE142]; [ISO11664-6]; [Sharma2005] for what those leave open.
func DeltaE2000(c, d Lab) float64 {
	p := delta2000(c, d)
	return math.Sqrt(p.L*p.L + p.C*p.C + p.H*p.H + p.rotation*p.C*p.H)
}

// DeltaE2000Weighted is [DeltaE2000] with the given parametric factors, which must be above 0.
//
// Source: [CIE142].
func DeltaE2000Weighted(c, d Lab, w Weights2000) float64 {
	p := delta2000(c, d)
	l, chroma, hue := p.L/w.KL, p.C/w.KC, p.H/w.KH
	return math.Sqrt(l*l + chroma*chroma + hue*hue + p.rotation*chroma*hue)
}

// Delta2000 returns the CIEDE2000 difference from c to d by its parts with factors 1, 1, 1:
// ΔL′/S_L, ΔC′/S_C and ΔH′/S_H, signed. Positive L is lighter, positive C more saturated and
// positive H counter-clockwise. The parts do not quite add up in quadrature to [DeltaE2000]: in the
// blues a rotation term couples chroma and hue.
//
// Source: [CIE142].
func (c Lab) Delta2000(d Lab) LChDelta { return delta2000(c, d).LChDelta }

// parts2000 is a CIEDE2000 difference before it is summed.
type parts2000 struct {
	LChDelta
	rotation float64 // R_T
}

// The published formula is written in angles. Here the same is done with vectors: the mean hue
// is a bisector, multiples of it follow from its sine and cosine, and only the blue rotation
// needs the angle itself.
func delta2000(c, d Lab) parts2000 {
	mean := (math.Sqrt(c.A*c.A+c.B*c.B) + math.Sqrt(d.A*d.A+d.B*d.B)) / 2
	g := 1 + 0.5*(1-chromaRatio(mean))
	a1, a2 := g*c.A, g*d.A
	c1, c2 := math.Sqrt(a1*a1+c.B*c.B), math.Sqrt(a2*a2+d.B*d.B)

	dH := hueDifference(a1, c.B, c1, a2, d.B, c2)
	cos, sin, opposite := meanHue(a1, c.B, c1, a2, d.B, c2)
	if opposite < 0 {
		dH = -math.Abs(dH)
	}
	meanC := (c1 + c2) / 2
	l := (c.L+d.L)/2 - 50
	sL := 1 + 0.015*l*l/math.Sqrt(20+l*l)
	sC := 1 + 0.045*meanC
	sH := 1 + 0.015*meanC*hueWeight(cos, sin)
	return parts2000{
		LChDelta: LChDelta{(d.L - c.L) / sL, (c2 - c1) / sC, dH / sH},
		rotation: blueRotation(cos, sin, meanC),
	}
}

// chromaRatio returns sqrt(c⁷ / (c⁷ + 25⁷)).
func chromaRatio(c float64) float64 {
	const limit = 25.0 * 25 * 25 * 25 * 25 * 25 * 25
	c2 := c * c
	c7 := c2 * c2 * c2 * c
	if math.IsInf(c7, 0) {
		return 1
	}
	return math.Sqrt(c7 / (c7 + limit))
}

// meanHue returns the cosine and sine of the mean hue h̄′ of (a1, b1) and (a2, b2), whose
// lengths are c1 and c2. It is the bisector of the smaller angle between them; the hue of
// the other where one is grey, see [greyChroma]; and 0 where both are.
//
// Opposite hues have two bisectors. The formula then takes the mean of the two angles counted from
// 0 to 360°, and opposite is the sign of the hue difference that goes with it; else it is 0.
func meanHue(a1, b1, c1, a2, b2, c2 float64) (cos, sin, opposite float64) {
	if c1*c2 < greyChroma {
		a1, b1, c1 = a1+a2, b1+b2, c1+c2
		if c1 == 0 {
			return 1, 0, 0
		}
		return a1 / c1, b1 / c1, 0
	}
	u, v := a1*c2+a2*c1, b1*c2+b2*c1 // c1 c2 times the sum of the unit vectors
	if a1*a2+b1*b2 < 0 {
		// More than 90° apart the sum cancels; the difference, turned by 90°, does not.
		u, v = b2*c1-b1*c2, a1*c2-a2*c1
		switch cross := a1*b2 - b1*a2; {
		case cross < 0:
			u, v = -u, -v
		case cross == 0 && (b1 > 0 || b1 == 0 && a1 > 0):
			opposite = 1 // the first angle is the smaller: h̄ is 90° after it
		case cross == 0:
			opposite = -1
			u, v = -u, -v
		}
	}
	r := math.Sqrt(u*u + v*v)
	return u / r, v / r, opposite
}

// hueWeight returns T, the weight of hue differences around a mean hue.
//
//	T = 1 - 0.17 cos(h - 30°) + 0.24 cos 2h + 0.32 cos(3h + 6°) - 0.20 cos(4h - 63°)
func hueWeight(cos, sin float64) float64 {
	const (
		cos30, sin30 = 0.866025403784438646763723170752936183, 0.5
		cos6, sin6   = 0.994521895368273336922691944980570107, 0.104528463267653471399834154802498029
		cos63, sin63 = 0.453990499739546791560408366357871199, 0.891006524188367862359709571413626313
	)
	cos2, sin2 := cos*cos-sin*sin, 2*sin*cos
	cos3, sin3 := cos2*cos-sin2*sin, sin2*cos+cos2*sin
	cos4, sin4 := cos2*cos2-sin2*sin2, 2*sin2*cos2
	return 1 - 0.17*(cos*cos30+sin*sin30) + 0.24*cos2 +
		0.32*(cos3*cos6-sin3*sin6) - 0.20*(cos4*cos63+sin4*sin63)
}

// blueRotation returns R_T, which couples chroma and hue around hue 275°.
//
//	R_T = -2 sqrt(C⁷/(C⁷ + 25⁷)) sin(60° exp(-((h - 275°)/25°)²))
//
// The angle is not taken: the sine is a smooth function of 1 - cos(h - 275°), which the products of
// the hue's cosine and sine give, and is read from a table, see [blueTable]. The formula counts h
// from 0 to 360° and does not wrap round, so that there is nothing in the first quadrant.
func blueRotation(cos, sin, meanC float64) float64 {
	const (
		cos275, sin275 = 0.087155742747658173558064270837473, -0.996194698091745532295010402473888
		hueNoise       = 1e-11 // a mean hue of 0 must not round to 360°, where the formula jumps by 0.00001
	)
	if meanC == 0 || cos > 0 && sin > -hueNoise {
		return 0
	}
	at := (1 - cos*cos275 - sin*sin275) * blueScale
	if !(at < blueCells) {
		return 0 // under 2e-13
	}
	at = max(at, 0)
	cell := int(at)
	t := at - float64(cell)
	c := &blueTable[cell]
	t2 := t * t
	return -2 * chromaRatio(meanC) * (c[0] + c[1]*t + (c[2]+c[3]*t)*t2 + (c[4]+c[5]*t)*t2*t2)
}

// The table of blueRotation reaches to 138° from hue 275° on either side.
const (
	blueCells = 512
	blueReach = 1.743 // 1 - cos 138°
	blueScale = blueCells / blueReach
)

// blueTable holds sin(60° exp(-(δ/25°)²)) as a function of 1 - cos δ: in each cell the polynomial
// through six points, the zeros of a Chebyshev polynomial. It is within 2e-13 of the function.
var blueTable = func() (table [blueCells][6]float64) {
	sine := func(at float64) float64 {
		k := math.Acos(1-at/blueScale) * 180 / math.Pi / 25
		return math.Sin(math.Pi / 3 * math.Exp(-k*k))
	}
	for cell := range table {
		table[cell] = throughChebyshev(func(t float64) float64 { return sine(float64(cell) + t) })
	}
	return table
}()

// throughChebyshev returns the coefficients, lowest first, of the polynomial that meets f at the
// six zeros of a Chebyshev polynomial on 0 to 1, by Newton's divided differences.
func throughChebyshev(f func(t float64) float64) (c [6]float64) {
	var t, d [6]float64
	for i := range t {
		t[i] = (1 - math.Cos(math.Pi*(2*float64(i)+1)/12)) / 2
		d[i] = f(t[i])
	}
	for k := 1; k < 6; k++ {
		for i := 5; i >= k; i-- {
			d[i] = (d[i] - d[i-1]) / (t[i] - t[i-k])
		}
	}
	for i := 5; i >= 0; i-- { // c = c·(t - t_i) + d_i
		for k := 5; k > 0; k-- {
			c[k] = c[k-1] - t[i]*c[k]
		}
		c[0] = d[i] - t[i]*c[0]
	}
	return c
}
