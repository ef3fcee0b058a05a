package colour

import (
	"fmt"
	"math"
)

const metresPerInch = 0.0254

// Screen is a display's surface with square pixels. Make it with [NewScreen].
type Screen struct {
	diagonal      float64 // m
	width, height int     // pixels
}

// NewScreen returns the screen of a diagonal in inches and its pixels. Each must be above
// 0, or the error says which is not.
func NewScreen(diagonalInches float64, width, height int) (Screen, error) {
	if !(diagonalInches > 0) || math.IsInf(diagonalInches, 0) {
		return Screen{}, fmt.Errorf("diagonal is %v inches; it must be above 0", diagonalInches)
	}
	if width <= 0 || height <= 0 {
		return Screen{}, fmt.Errorf("screen of %d by %d pixels; both must be above 0", width, height)
	}
	return Screen{diagonalInches * metresPerInch, width, height}, nil
}

// PixelsPerInch returns the pixel density.
//
//	ppi = sqrt(w² + h²) / diagonal
//
// Source: [IDMS], 13.1.
func (s Screen) PixelsPerInch() float64 { return metresPerInch / s.Pitch() }

// Pitch returns the distance of neighbouring pixels in m.
func (s Screen) Pitch() float64 {
	return s.diagonal / math.Hypot(float64(s.width), float64(s.height))
}

// Size returns the width and height in m.
func (s Screen) Size() (width, height float64) {
	return float64(s.width) * s.Pitch(), float64(s.height) * s.Pitch()
}

// Area returns the area in m².
func (s Screen) Area() float64 {
	w, h := s.Size()
	return w * h
}

// PixelsPerDegree returns how many pixels a degree at the screen's centre spans, seen from
// a distance in m.
//
//	ppd = 2 d tan(0.5°) / pitch
//
// Source: geometry.
func (s Screen) PixelsPerDegree(metres float64) float64 {
	return 2 * metres * math.Tan(math.Pi/360) / s.Pitch()
}

// Window is a rectangle of the screen's own shape that fills a share of its area.
type Window struct {
	Side          float64 // share of the screen's width and of its height
	Width, Height int     // whole pixels, nearest
	Area          float64 // m², of the exact window
	Share         float64 // share of the screen that the whole pixels fill
}

// Window returns the window that fills a share of the screen's area, above 0 up to 1;
// else the error says so. A share so small that no pixel is left gives one pixel.
//
//	side = sqrt(share)
//
// Source: [IDMS], 5.9, on box patterns.
func (s Screen) Window(share float64) (Window, error) {
	if !(share > 0 && share <= 1) {
		return Window{}, fmt.Errorf("window is %v of the screen's area; it must be above 0 and at most 1", share)
	}
	side := math.Sqrt(share)
	w := max(1, int(math.Round(side*float64(s.width))))
	h := max(1, int(math.Round(side*float64(s.height))))
	return Window{
		Side: side, Width: w, Height: h,
		Area:  share * s.Area(),
		Share: float64(w) * float64(h) / (float64(s.width) * float64(s.height)),
	}, nil
}

// SpotDiameter returns the diameter in m that a meter of a full acceptance angle in
// degrees sees from a distance in m, where its lens is small against the distance.
//
//	D = 2 d tan(α/2)
//
// Source: geometry.
func SpotDiameter(metres, degrees float64) float64 {
	return 2 * metres * math.Tan(degrees*math.Pi/360)
}

// ConeSolidAngle returns the solid angle in sr of a cone of a half angle in degrees.
//
//	Ω = 2π (1 - cos α)
//
// Source: geometry.
func ConeSolidAngle(halfDegrees float64) float64 {
	s := math.Sin(halfDegrees * math.Pi / 360)
	return 4 * math.Pi * s * s // 1 - cos α, without its cancellation
}

// DiscIlluminance returns the illuminance in lx on the axis of a matt disc of a luminance in
// cd/m² and a radius, at a distance, both in m.
//
//	E = πL r²/(r² + d²)
//
// Source: [ILV]; geometry.
func DiscIlluminance(cdm2, radius, distance float64) float64 {
	return math.Pi * cdm2 * radius * radius / (radius*radius + distance*distance)
}
