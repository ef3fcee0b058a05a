package colour

import "math"

// CIE1931 is the CIE 1931 standard colorimetric observer, for fields of about 2°.
//
// Its table is the published one at 5 nm from 380 to 780 nm, and every 10 nm in the
// tails down to 360 and up to 830 nm, where the values between are interpolated in
// their logarithms. Leaving out the tails moves a colour temperature by 1.4 K at 6500 K.
//
// Source: [CIE15], table T.4; [CIE11664].
var CIE1931 = &Observer{
	name: "CIE 1931 2°",
	x:    from5nm(cie1931XBelow[:], cie1931X5[:], cie1931XAbove[:]),
	y:    from5nm(cie1931YBelow[:], cie1931Y5[:], cie1931YAbove[:]),
	z:    from5nm(cie1931ZBelow[:], cie1931Z5[:], cie1931ZAbove[:]),
}

// CIE1964 is the CIE 1964 standard colorimetric observer, for fields of about 10°.
//
// Its table is the published one at every 10 nm from 360 to 830 nm; between, it is
// interpolated, and there x̄ may be off by 0.003 and ȳ and z̄ by 0.005. The chromaticities of
// daylight and incandescent light are right to 0.00005 all the same; narrow lines between the
// tabulated wavelengths are not.
//
// Source: [CIE15], table T.5; [CIE11664].
var CIE1964 = &Observer{
	name: "CIE 1964 10°",
	x:    from10nm(cie1964X10),
	y:    from10nm(cie1964Y10),
	z:    from10nm(cie1964Z10),
}

// from5nm joins a table at 360 and 370, one at 5 nm from 380 to 780, and one at
// every 10 nm from 790 to 830 nm, and interpolates them to 1 nm.
func from5nm(below, middle, above []float64) [cmfCount]float64 {
	all := make([]float64, 0, (cmfTo-cmfFrom)/5+1)
	all = append(all, below[0], geometricMean(below[0], below[1]), below[1], geometricMean(below[1], middle[0]))
	all = append(all, middle...)
	last := middle[len(middle)-1]
	for _, v := range above {
		all = append(all, geometricMean(last, v), v)
		last = v
	}
	return interpolateCMF(all, 5)
}

// from10nm interpolates a table at every 10 nm to 1 nm. The steps are wide for such steep
// curves: interpolating square roots comes nearer than interpolating the values.
func from10nm(table [48]float64) [cmfCount]float64 {
	var roots [len(table)]float64
	for i, v := range table {
		roots[i] = math.Sqrt(v)
	}
	out := interpolateCMF(roots[:], 10)
	for k, root := range out {
		out[k] = root * root
	}
	for i, v := range table {
		out[10*i] = v // exactly as published
	}
	return out
}

func geometricMean(a, b float64) float64 { return math.Sqrt(a * b) }

// interpolateCMF interpolates a table that starts at cmfFrom to 1 nm. Sprague's
// polynomial may swing below zero where a function ends in zeros; no CMF does.
func interpolateCMF(table []float64, step int) (out [cmfCount]float64) {
	for k := range out {
		i := min(k/step, len(table)-2)
		out[k] = max(0, spragueAt(table, i, float64(k-i*step)/float64(step)))
	}
	for i, v := range table {
		out[i*step] = v // exactly as published, up to the very end
	}
	return out
}

// The published tables. Those at 5 nm start at 380 nm, the tails below at 360 and above
// at 790 nm, and those at 10 nm at 360 nm.

var cie1931X5 = [...]float64{
	0.001368, 0.002236, 0.004243, 0.00765, 0.01431, 0.02319, 0.04351, 0.07763,
	0.13438, 0.21477, 0.2839, 0.3285, 0.34828, 0.34806, 0.3362, 0.3187,
	0.2908, 0.2511, 0.19536, 0.1421, 0.09564, 0.05795, 0.03201, 0.0147,
	0.0049, 0.0024, 0.0093, 0.0291, 0.06327, 0.1096, 0.1655, 0.22575,
	0.2904, 0.3597, 0.43345, 0.51205, 0.5945, 0.6784, 0.7621, 0.8425,
	0.9163, 0.9786, 1.0263, 1.0567, 1.0622, 1.0456, 1.0026, 0.9384,
	0.85445, 0.7514, 0.6424, 0.5419, 0.4479, 0.3608, 0.2835, 0.2187,
	0.1649, 0.1212, 0.0874, 0.0636, 0.04677, 0.0329, 0.0227, 0.01584,
	0.011359, 0.008111, 0.00579, 0.004109, 0.002899, 0.002049, 0.00144, 0.001,
	0.00069, 0.000476, 0.000332, 0.000235, 0.000166, 0.000117, 8.3e-05, 5.9e-05,
	4.2e-05,
}

var cie1931XBelow = [...]float64{
	0.0001299, 0.0004149,
}

var cie1931XAbove = [...]float64{
	2.067383e-05, 1.025398e-05, 5.085868e-06, 2.522525e-06, 1.251141e-06,
}

var cie1964X10 = [...]float64{
	1.222e-07, 5.9586e-06, 0.000159952, 0.0023616, 0.0191097, 0.084736, 0.204492, 0.314679,
	0.383734, 0.370702, 0.302273, 0.195618, 0.080507, 0.016172, 0.003816, 0.037465,
	0.117749, 0.236491, 0.376772, 0.529826, 0.705224, 0.878655, 1.01416, 1.11852,
	1.12399, 1.03048, 0.856297, 0.647467, 0.431567, 0.268329, 0.152568, 0.0812606,
	0.0408508, 0.0199413, 0.00957688, 0.00455263, 0.00217496, 0.00104476, 0.000508258, 0.000250969,
	0.00012639, 6.45258e-05, 3.34117e-05, 1.76115e-05, 9.41363e-06, 5.09347e-06, 2.79531e-06, 1.55314e-06,
}

var cie1931Y5 = [...]float64{
	3.9e-05, 6.4e-05, 0.00012, 0.000217, 0.000396, 0.00064, 0.00121, 0.00218,
	0.004, 0.0073, 0.0116, 0.01684, 0.023, 0.0298, 0.038, 0.048,
	0.06, 0.0739, 0.09098, 0.1126, 0.13902, 0.1693, 0.20802, 0.2586,
	0.323, 0.4073, 0.503, 0.6082, 0.71, 0.7932, 0.862, 0.91485,
	0.954, 0.9803, 0.99495, 1.0, 0.995, 0.9786, 0.952, 0.9154,
	0.87, 0.8163, 0.757, 0.6949, 0.631, 0.5668, 0.503, 0.4412,
	0.381, 0.321, 0.265, 0.217, 0.175, 0.1382, 0.107, 0.0816,
	0.061, 0.04458, 0.032, 0.0232, 0.017, 0.01192, 0.00821, 0.005723,
	0.004102, 0.002929, 0.002091, 0.001484, 0.001047, 0.00074, 0.00052, 0.000361,
	0.000249, 0.000172, 0.00012, 8.5e-05, 6e-05, 4.2e-05, 3e-05, 2.1e-05,
	1.5e-05,
}

var cie1931YBelow = [...]float64{
	3.917e-06, 1.239e-05,
}

var cie1931YAbove = [...]float64{
	7.4657e-06, 3.7029e-06, 1.8366e-06, 9.1093e-07, 4.5181e-07,
}

var cie1964Y10 = [...]float64{
	1.3398e-08, 6.511e-07, 1.7364e-05, 0.0002534, 0.0020044, 0.008756, 0.021391, 0.038676,
	0.062077, 0.089456, 0.128201, 0.18519, 0.253589, 0.339133, 0.460777, 0.606741,
	0.761757, 0.875211, 0.961988, 0.991761, 0.99734, 0.955552, 0.868934, 0.777405,
	0.658341, 0.527963, 0.398057, 0.283493, 0.179828, 0.107633, 0.060281, 0.0318004,
	0.0159051, 0.0077488, 0.00371774, 0.00176847, 0.00084619, 0.00040741, 0.00019873, 9.8428e-05,
	4.9737e-05, 2.5486e-05, 1.3249e-05, 7.0128e-06, 3.76473e-06, 2.04613e-06, 1.12809e-06, 6.297e-07,
}

var cie1931Z5 = [...]float64{
	0.00645, 0.01055, 0.02005, 0.03621, 0.06785, 0.1102, 0.2074, 0.3713,
	0.6456, 1.03905, 1.3856, 1.62296, 1.74706, 1.7826, 1.77211, 1.7441,
	1.6692, 1.5281, 1.28764, 1.0419, 0.81295, 0.6162, 0.46518, 0.3533,
	0.272, 0.2123, 0.1582, 0.1117, 0.07825, 0.05725, 0.04216, 0.02984,
	0.0203, 0.0134, 0.00875, 0.00575, 0.0039, 0.00275, 0.0021, 0.0018,
	0.00165, 0.0014, 0.0011, 0.001, 0.0008, 0.0006, 0.00034, 0.00024,
	0.00019, 0.0001, 5e-05, 3e-05, 2e-05, 1e-05, 0.0, 0.0,
	0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
	0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
	0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
	0.0,
}

var cie1931ZBelow = [...]float64{
	0.0006061, 0.001946,
}

var cie1931ZAbove = [...]float64{
	0.0, 0.0, 0.0, 0.0, 0.0,
}

var cie1964Z10 = [...]float64{
	5.35027e-07, 2.61437e-05, 0.000704776, 0.0104822, 0.0860109, 0.389366, 0.972542, 1.55348,
	1.96728, 1.9948, 1.74537, 1.31756, 0.772125, 0.415254, 0.218502, 0.112044,
	0.060709, 0.030451, 0.013676, 0.003988, 0.0, 0.0, 0.0, 0.0,
	0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
	0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
	0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
}
