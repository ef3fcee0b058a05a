package sim

import (
	"fmt"

	"candelua/colour"
	"candelua/engine/bench"
)

// truthGamut is a space whose coverage is asked for.
type truthGamut struct {
	Space   string `toml:"space" one_of:"bt709|p3-d65|bt2020" help:"colour space"`
	Diagram string `toml:"diagram" one_of:"uv|xy" help:"chromaticity diagram: CIE 1976 u'v' or CIE 1931 xy"`
}

// truthContrast is a white whose contrast with black is asked for.
type truthContrast struct {
	Window      float64 `toml:"window" unit:"%" min:"0.01" max:"100" help:"share of the screen that is white"`
	Lux         float64 `toml:"lux" unit:"lx" min:"0" max:"200000" help:"illuminance of the screen"`
	Reflectance float64 `toml:"reflectance" unit:"%" min:"0" max:"100" help:"share of that light that the screen reflects"`
}

// truthRollOff is where the light of a PQ signal falls short of the luminance that it stands for.
type truthRollOff struct {
	Window        float64 `toml:"window" unit:"%" min:"0.01" max:"100" help:"share of the screen"`
	MasteringPeak float64 `toml:"mastering_peak" unit:"cd/m2" min:"0" max:"10000" help:"mastering peak in the metadata; 0: not stated"`
	MaxCLL        float64 `toml:"max_cll" unit:"cd/m2" min:"0" max:"10000" help:"MaxCLL in the metadata; 0: not stated"`
	By            float64 `toml:"by" unit:"%" min:"0.01" max:"90" help:"shortfall at which the roll-off is taken to begin"`
}

// coverage is which share of a colour space's triangle the primaries' covers, in
// either diagram, in percent.
func coverage(w *World, args any) (float64, error) {
	a := args.(truthGamut)
	space := map[string]*colour.Space{"bt709": colour.BT709, "p3-d65": colour.P3D65, "bt2020": colour.BT2020}[a.Space]
	p, err := w.truthPrimaries()
	if err != nil {
		return 0, err
	}
	own, target := colour.UVPolygon(p[0].UV(), p[1].UV(), p[2].UV()), space.UVGamut()
	if a.Diagram == "xy" {
		own, target = colour.XYPolygon(p[:]...), space.XYGamut()
	}
	g, err := own.Compare(target)
	return 100 * g.Coverage, err
}

// additivity is the luminance of red, green and blue together, black counted
// once, in percent of that of white in the same window.
func additivity(w *World, args any) (float64, error) {
	window := args.(truthShare).Window
	black, err := w.truthLuminance(grey(0, window, bench.SDR, 0))
	if err != nil {
		return 0, err
	}
	sum := black
	for i := range 3 {
		p := grey(0, window, bench.SDR, 0)
		p.RGB[i] = 1
		y, err := w.truthLuminance(p)
		if err != nil {
			return 0, err
		}
		sum += y - black
	}
	white, err := w.truthLuminance(grey(1, window, bench.SDR, 0))
	return 100 * sum / white, err
}

// contrast is white over black, each with what the screen throws back of an
// even light.
func contrast(w *World, args any) (float64, error) {
	a := args.(truthContrast)
	white, err := w.truthLuminance(grey(1, a.Window, bench.SDR, 0))
	if err != nil {
		return 0, err
	}
	black, err := w.truthLuminance(grey(0, 100, bench.SDR, 0))
	if err != nil {
		return 0, err
	}
	room := colour.LambertianLuminance(a.Lux, a.Reflectance/100)
	if black+room <= 0 {
		return 0, fmt.Errorf("black has no light, so there is no contrast")
	}
	return (white + room) / (black + room), nil
}

// rollOffStart is the luminance that the lowest PQ signal means whose light is
// so far behind it, by bisection: above a knee no display catches up.
func rollOffStart(w *World, args any) (float64, error) {
	a := args.(truthRollOff)
	behind := func(signal float64) (bool, error) {
		p := grey(signal, a.Window, bench.PQ, 16)
		p.Metadata = bench.Metadata{MasteringPeak: a.MasteringPeak, MaxCLL: a.MaxCLL}
		y, err := w.truthLuminance(p)
		return y < (1-a.By/100)*colour.DecodePQ(signal), err
	}
	low, high := colour.EncodePQ(1+10*w.params.Light.Black), 1.0
	if out, err := behind(high); err != nil || !out {
		return 0, errorOr(err, "the light of no PQ signal falls %g %% short of the luminance that the signal stands for", a.By)
	}
	if out, err := behind(low); err != nil || out {
		return 0, errorOr(err, "the light falls %g %% short of the luminance that the signal stands for even at the darkest signal", a.By)
	}
	for high-low > 1e-5 {
		middle := (low + high) / 2
		out, err := behind(middle)
		if err != nil {
			return 0, err
		}
		if out {
			high = middle
		} else {
			low = middle
		}
	}
	return colour.DecodePQ(high), nil
}

// errorOr is err, or where there is none an error of this text.
func errorOr(err error, format string, args ...any) error {
	if err != nil {
		return err
	}
	return fmt.Errorf(format, args...)
}

// cctOf is a colour's temperature. It fails where that means nothing.
func cctOf(c colour.XYZ) (colour.CCT, error) {
	xy, err := c.XY()
	if err != nil {
		return colour.CCT{}, err
	}
	return xy.CCT()
}
