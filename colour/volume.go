package colour

import (
	"fmt"
	"math"
)

// GamutVolume returns the volume that a display fills in a colour space. place gives the
// coordinates of a signal in that space.
//
// The surface of the RGB cube is cut into 12 steps² triangles, a closed mesh, and the volume
// is the sum of the signed tetrahedra from the origin. Parts of the mesh that turn inside out count
// negative. Steps must be from 1 to 1000; the error of the result falls with steps².
// A coordinate that is not finite is an error.
//
// Source: the divergence theorem; [IDMS], 5.32 (number from memory), for the use.
func GamutVolume(steps int, place func(rgb [3]float64) [3]float64) (float64, error) {
	if steps < 1 || steps > 1000 {
		return 0, fmt.Errorf("mesh of %d steps; it must be 1 to 1000", steps)
	}
	levels := make([]float64, steps+1)
	for i := range levels {
		levels[i] = float64(i) / float64(steps)
	}
	return surfaceVolume(levels, place)
}

// surfaceVolume is the volume within the surface of the cube that is cut at some levels.
func surfaceVolume(levels []float64, place func(rgb [3]float64) [3]float64) (float64, error) {
	sum := 0.0
	for axis := range 3 {
		sum += faceVolume(levels, axis, levels[len(levels)-1], place) - faceVolume(levels, axis, levels[0], place)
	}
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		return 0, fmt.Errorf("gamut volume is not finite: a colour of the surface has no place in the space")
	}
	return math.Abs(sum), nil
}

// faceVolume returns the signed volume under the face of the cube on which one channel has a
// level. It keeps one row of corners, so that each is placed once.
func faceVolume(levels []float64, axis int, level float64, place func([3]float64) [3]float64) float64 {
	corner := func(i, j int) [3]float64 {
		var rgb [3]float64
		rgb[axis] = level
		rgb[(axis+1)%3] = levels[i]
		rgb[(axis+2)%3] = levels[j]
		return place(rgb)
	}
	row := make([][3]float64, len(levels))
	for j := range row {
		row[j] = corner(0, j)
	}
	sum := 0.0
	for i := 1; i < len(levels); i++ {
		previous := row[0]
		row[0] = corner(i, 0)
		for j := 1; j < len(levels); j++ {
			// previous and row[j] are of the last row, row[j-1] and next of this one.
			next := corner(i, j)
			sum += tripleProduct(previous, row[j-1], next) + tripleProduct(previous, next, row[j])
			previous, row[j] = row[j], next
		}
	}
	return sum / 6
}

func tripleProduct(a, b, c [3]float64) float64 {
	return a[0]*(b[1]*c[2]-b[2]*c[1]) - a[1]*(b[0]*c[2]-b[2]*c[0]) + a[2]*(b[0]*c[1]-b[1]*c[0])
}

// LabVolume returns the volume of the space's gamut in CIELAB, in cubic ΔE*ab, with the
// space's own white as reference white. Levels are spaced evenly in the cube root of light, as lightness is.
//
// Source: [IDMS], 5.32 (number from memory); [CIE15], 8.2.1.
func (s *Space) LabVolume(steps int) (float64, error) {
	white, err := NewWhite(s.ToXYZ([3]float64{1, 1, 1}))
	if err != nil {
		return 0, fmt.Errorf("%s: %w", s.name, err)
	}
	return GamutVolume(steps, func(rgb [3]float64) [3]float64 {
		for i, v := range rgb {
			rgb[i] = v * v * v
		}
		c := white.Lab(s.ToXYZ(rgb))
		return [3]float64{c.L, c.A, c.B}
	})
}

// ITPVolume returns the volume of the space's gamut in ICtCp, on the scale of ΔE ITP, for a white of
// a luminance in cd/m² and a black of 0.
//
// Source: [IDMS], 5.32 (number from memory); [BT2124], annex 1.
func (s *Space) ITPVolume(steps int, white float64) (float64, error) {
	if !(white > 0 && white <= PQPeak) {
		return 0, fmt.Errorf("white is %v cd/m²; it must be above 0 and at most %v", white, PQPeak)
	}
	top := EncodePQ(white)
	return GamutVolume(steps, func(rgb [3]float64) [3]float64 {
		for i, v := range rgb {
			rgb[i] = DecodePQ(v * top)
		}
		c := s.ToXYZ(rgb).ICtCp()
		return [3]float64{720 * c.I, 360 * c.Ct, 720 * c.Cp}
	})
}
