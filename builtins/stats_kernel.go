package builtins

import (
	"math"

	"candelua/engine/script"
)

type kernelArgs struct {
	X      []float64 `lua:"x" help:"first coordinate of each value"`
	Y      []float64 `lua:"y" optional:"true" help:"second coordinate of each value, if there is one"`
	Z      []float64 `lua:"z" optional:"true" help:"third coordinate of each value, if there is one"`
	Values []float64 `lua:"values" help:"the values to average, one for each x"`
	Width  float64   `lua:"width" above:"0" help:"distance at which a value has the weight 1/e"`
}

// kernelMean gives for each point the mean of the values around it, each weighted
// by a Gaussian of its distance:
//
//	m(i) = Σ w(i, k) v(k) / Σ w(i, k),   w = exp(-(distance/width)²)
//
// Source: Nadaraya, Theory Probab. Appl. 9 (1964) 141; Watson, Sankhyā A 26
// (1964) 359.
func kernelMean(c *script.Call, a kernelArgs) ([]float64, error) {
	n := len(a.X)
	if err := sameLengths("x", n, series{"y", a.Y, true}, series{"z", a.Z, true}, series{"values", a.Values, false}); err != nil {
		return nil, err
	}
	c.Charge(int64(n) * int64(n))
	sums, weights := make([]float64, n), make([]float64, n)
	for i := range n {
		for k := range i + 1 {
			square := apart(a.X, i, k) + apart(a.Y, i, k) + apart(a.Z, i, k)
			w := math.Exp(-square / (a.Width * a.Width))
			sums[i], weights[i] = sums[i]+w*a.Values[k], weights[i]+w
			if k < i {
				sums[k], weights[k] = sums[k]+w*a.Values[i], weights[k]+w
			}
		}
	}
	for i := range sums {
		sums[i] /= weights[i]
	}
	return sums, nil
}

// apart is the square of a difference, 0 without the coordinate.
func apart(x []float64, i, k int) float64 {
	if x == nil {
		return 0
	}
	return (x[i] - x[k]) * (x[i] - x[k])
}
