package colour

// sprague returns the value of the fifth-degree polynomial between y[2] and y[3]
// at the fraction t of the way, where y are six equally spaced values.
//
// The polynomial meets the first and second derivatives of the fourth-degree
// polynomials through the five points around either end.
//
// Source: [CIE167], clause on Sprague interpolation, coefficients from memory;
// the tests rederive them.
func sprague(y *[6]float64, t float64) float64 {
	a0 := y[2]
	a1 := (2*y[0] - 16*y[1] + 16*y[3] - 2*y[4]) / 24
	a2 := (-y[0] + 16*y[1] - 30*y[2] + 16*y[3] - y[4]) / 24
	a3 := (-9*y[0] + 39*y[1] - 70*y[2] + 66*y[3] - 33*y[4] + 7*y[5]) / 24
	a4 := (13*y[0] - 64*y[1] + 126*y[2] - 124*y[3] + 61*y[4] - 12*y[5]) / 24
	a5 := (-5*y[0] + 25*y[1] - 50*y[2] + 50*y[3] - 25*y[4] + 5*y[5]) / 24
	return a0 + t*(a1+t*(a2+t*(a3+t*(a4+t*a5))))
}

// spragueSample returns sample i of v, where two samples before the first and
// two after the last are made up from the nearest six, as [CIE167] does. They carry on a line
// exactly and a curve only roughly, so that the two outermost spans are less good than the
// rest. v must have at least six values.
func spragueSample(v []float64, i int) float64 {
	n := len(v)
	switch i {
	case -2:
		return (884*v[0] - 1960*v[1] + 3033*v[2] - 2648*v[3] + 1080*v[4] - 180*v[5]) / 209
	case -1:
		return (508*v[0] - 540*v[1] + 488*v[2] - 367*v[3] + 144*v[4] - 24*v[5]) / 209
	case n:
		return (508*v[n-1] - 540*v[n-2] + 488*v[n-3] - 367*v[n-4] + 144*v[n-5] - 24*v[n-6]) / 209
	case n + 1:
		return (884*v[n-1] - 1960*v[n-2] + 3033*v[n-3] - 2648*v[n-4] + 1080*v[n-5] - 180*v[n-6]) / 209
	}
	return v[i]
}

// spragueAt returns the value between samples i and i+1 of v at the fraction t
// of the way. v must have at least six values and i+1 must be one of them.
func spragueAt(v []float64, i int, t float64) float64 {
	if i >= 2 && i+4 <= len(v) {
		return sprague((*[6]float64)(v[i-2:]), t)
	}
	var y [6]float64
	for k := range y {
		y[k] = spragueSample(v, i-2+k)
	}
	return sprague(&y, t)
}
