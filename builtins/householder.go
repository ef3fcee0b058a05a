package builtins

import "math"

// mostColumns is the most that the small systems here have.
const mostColumns = 8

// triangulate turns columns so that those from the one number to before the
// other have nothing under their diagonals, in place, by Householder's
// reflections; later columns are turned along. What was under the diagonals is
// lost: rubbish stands there. Earlier columns are left alone.
//
// Source: Golub and Van Loan, Matrix Computations, 5.1 and 5.2.
func triangulate(columns [][]float64, from, to int) {
	for c := from; c < to; c++ {
		v := columns[c][c:]
		length := math.Sqrt(squares(v))
		if length == 0 {
			continue
		}
		diagonal := -math.Copysign(length, v[0])
		v[0] -= diagonal
		scale := 1 / (length * math.Abs(v[0])) // 2/vᵀv
		rest := columns[c+1:]
		for ; len(rest) >= 4; rest = rest[4:] {
			reflect4(v, scale, rest[0][c:], rest[1][c:], rest[2][c:], rest[3][c:])
		}
		for ; len(rest) >= 2; rest = rest[2:] {
			reflect2(v, scale, rest[0][c:], rest[1][c:])
		}
		for _, column := range rest {
			x := column[c:][:len(v)]
			k := scale * dot(v, x)
			for i := range v {
				x[i] -= k * v[i]
			}
		}
		v[0] = diagonal
	}
}

// reflect4 turns four columns along at once. To the bit this is what each alone would
// become: a sum has to wait for each of its additions, and four sums wait together.
func reflect4(v []float64, scale float64, a, b, c, d []float64) {
	n := len(v)
	a, b, c, d = a[:n], b[:n], c[:n], d[:n]
	var ka, kb, kc, kd float64
	for i, x := range v {
		ka += x * a[i]
		kb += x * b[i]
		kc += x * c[i]
		kd += x * d[i]
	}
	ka, kb, kc, kd = scale*ka, scale*kb, scale*kc, scale*kd
	for i, x := range v {
		a[i] -= ka * x
		b[i] -= kb * x
		c[i] -= kc * x
		d[i] -= kd * x
	}
}

// reflect2 is reflect4 for two columns.
func reflect2(v []float64, scale float64, a, b []float64) {
	n := len(v)
	a, b = a[:n], b[:n]
	var ka, kb float64
	for i, x := range v {
		ka += x * a[i]
		kb += x * b[i]
	}
	ka, kb = scale*ka, scale*kb
	for i, x := range v {
		a[i] -= ka * x
		b[i] -= kb * x
	}
}

// dot4 gives the scalar products of v with four others, each as dot does.
func dot4(v, a, b, c, d []float64) (sa, sb, sc, sd float64) {
	n := len(v)
	a, b, c, d = a[:n], b[:n], c[:n], d[:n]
	for i, x := range v {
		sa += x * a[i]
		sb += x * b[i]
		sc += x * c[i]
		sd += x * d[i]
	}
	return sa, sb, sc, sd
}

// substitute solves Rx = b of a triangle; false where a pivot is nothing against
// its column.
func substitute(r [][]float64, b, x []float64) bool {
	k := len(x)
	for c := range k {
		if !(math.Abs(r[c][c]) > fitSingular*math.Sqrt(squares(r[c][:c+1]))) {
			return false
		}
	}
	for c := k - 1; c >= 0; c-- {
		x[c] = b[c]
		for j := c + 1; j < k; j++ {
			x[c] -= r[j][c] * x[j]
		}
		x[c] /= r[c][c]
	}
	return true
}

// damped gives the d that makes |Rd - b|² + Σ (weight d)² least, R being a
// triangle. A column of no weight stays: its d is 0.
func damped(r [][]float64, b, weight, d []float64) {
	k := len(d)
	var room [mostColumns + 1][2 * mostColumns]float64
	var made [mostColumns + 1][]float64
	var which [mostColumns]int
	n := 0
	for c := range k {
		if d[c] = 0; weight[c] > 0 {
			copy(room[n][:c+1], r[c][:c+1])
			room[n][k+n], which[n] = weight[c], c
			n++
		}
	}
	copy(room[n][:k], b[:k])
	for c := range n + 1 {
		made[c] = room[c][:k+n]
	}
	triangulate(made[:n+1], 0, n)
	var x [mostColumns]float64
	if !substitute(made[:n], made[n], x[:n]) {
		return
	}
	for c := range n {
		d[which[c]] = x[c]
	}
}

// covariance is (RᵀR)⁻¹ of a triangle R, nil where a column is all but a mix of
// others.
func covariance(r [][]float64, k int) [][]float64 {
	var lengths [mostColumns]float64
	for c := range k {
		lengths[c] = math.Sqrt(squares(r[c][:c+1]))
		if !(lengths[c] > 0) || math.IsInf(lengths[c], 0) || math.Abs(r[c][c]) < fitRank*lengths[c] {
			return nil
		}
	}
	var inverse [mostColumns][mostColumns]float64 // of R, columns of length 1
	for c := range k {
		for i := c; i >= 0; i-- {
			x := 0.0
			if i == c {
				x = 1
			}
			for j := i + 1; j <= c; j++ {
				x -= r[j][i] / lengths[j] * inverse[j][c]
			}
			inverse[i][c] = x / (r[i][i] / lengths[i])
		}
	}
	cov := make([][]float64, k)
	for a := range cov {
		cov[a] = make([]float64, k)
		for b := range k {
			for j := max(a, b); j < k; j++ {
				cov[a][b] += inverse[a][j] * inverse[b][j]
			}
			cov[a][b] /= lengths[a] * lengths[b]
		}
	}
	return cov
}

func dot(a, b []float64) (s float64) {
	b = b[:len(a)]
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

func squares(r []float64) (ss float64) {
	for _, e := range r {
		ss += e * e
	}
	return ss
}
