package colour

import (
	"errors"
	"math"
)

// ErrSingular is the error for a matrix, or for a set of colours, that leaves a
// direction of colour undetermined: two primaries alike, or all three on a line.
var ErrSingular = errors.New("colours are linearly dependent: use three that span a triangle")

// Matrix is a 3x3 matrix, row by row. It maps columns: RGB to XYZ, readings to
// corrected readings.
type Matrix [3][3]float64

// Identity is the matrix that changes nothing.
var Identity = Matrix{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}

// MulVec returns m times the column v.
func (m *Matrix) MulVec(v [3]float64) [3]float64 {
	return [3]float64{
		m[0][0]*v[0] + m[0][1]*v[1] + m[0][2]*v[2],
		m[1][0]*v[0] + m[1][1]*v[1] + m[1][2]*v[2],
		m[2][0]*v[0] + m[2][1]*v[1] + m[2][2]*v[2],
	}
}

// Apply returns m times c.
func (m *Matrix) Apply(c XYZ) XYZ {
	v := m.MulVec([3]float64{c.X, c.Y, c.Z})
	return XYZ{v[0], v[1], v[2]}
}

// Mul returns the product m n: the map that applies n first and m then.
func (m *Matrix) Mul(n *Matrix) Matrix {
	var p Matrix
	for i := range 3 {
		for j := range 3 {
			p[i][j] = m[i][0]*n[0][j] + m[i][1]*n[1][j] + m[i][2]*n[2][j]
		}
	}
	return p
}

// Scale returns m with every element multiplied by k.
func (m *Matrix) Scale(k float64) Matrix {
	var p Matrix
	for i := range 3 {
		for j := range 3 {
			p[i][j] = k * m[i][j]
		}
	}
	return p
}

// Transpose returns m mirrored in its diagonal.
func (m *Matrix) Transpose() Matrix {
	var p Matrix
	for i := range 3 {
		for j := range 3 {
			p[i][j] = m[j][i]
		}
	}
	return p
}

// Det returns the determinant of m.
func (m *Matrix) Det() float64 {
	return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) -
		m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
		m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
}

// singularRatio is the smallest determinant, over the product of the columns'
// lengths, that still counts as three directions. Displays lie above 0.01; below
// this limit an inverse has lost about ten of its sixteen digits.
const singularRatio = 1e-10

// Inverse returns the matrix that undoes m.
//
// The error is [ErrSingular] where the columns of m do not span the space: where
// the determinant is under 1e-10 of the product of their lengths.
func (m *Matrix) Inverse() (Matrix, error) {
	det, volume := m.Det(), 1.0
	for j := range 3 {
		volume *= math.Sqrt(m[0][j]*m[0][j] + m[1][j]*m[1][j] + m[2][j]*m[2][j])
	}
	if !(math.Abs(det) > singularRatio*volume) || math.IsInf(volume, 0) {
		return Matrix{}, ErrSingular
	}
	return m.adjugate(1 / det), nil
}

// adjugate returns k times the adjugate of m.
func (m *Matrix) adjugate(k float64) Matrix {
	return Matrix{
		{
			k * (m[1][1]*m[2][2] - m[1][2]*m[2][1]),
			k * (m[0][2]*m[2][1] - m[0][1]*m[2][2]),
			k * (m[0][1]*m[1][2] - m[0][2]*m[1][1]),
		}, {
			k * (m[1][2]*m[2][0] - m[1][0]*m[2][2]),
			k * (m[0][0]*m[2][2] - m[0][2]*m[2][0]),
			k * (m[0][2]*m[1][0] - m[0][0]*m[1][2]),
		}, {
			k * (m[1][0]*m[2][1] - m[1][1]*m[2][0]),
			k * (m[0][1]*m[2][0] - m[0][0]*m[2][1]),
			k * (m[0][0]*m[1][1] - m[0][1]*m[1][0]),
		},
	}
}
