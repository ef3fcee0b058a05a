package sim

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/spell"
)

// TruthDoc describes a truth that can be asked for by name.
type TruthDoc struct {
	Name, Unit, Help string
	Args             []string // each as "window: share of the screen (0 to 100 %)"
}

// truth is a function of the world that can be asked for by name.
type truth struct {
	TruthDoc
	args reflect.Type // a struct that is declared as parameters are
	at   func(w *World, args any) (float64, error)
}

// truthWindow is a window whose light is asked for, shown until all has
// settled; see [World.TruthXYZ]. It is seen from a place and an angle, in a room
// and with settings that can be stated.
type truthWindow struct {
	Grey       float64   `toml:"grey" min:"0" max:"1" help:"signal of the window"`
	RGB        []float64 `toml:"rgb" min:"0" max:"1" help:"signals of red, green and blue, instead of grey"`
	Window     float64   `toml:"window" unit:"%" min:"0.01" max:"100" help:"share of the screen"`
	Background float64   `toml:"background" min:"0" max:"1" help:"signal around the window"`
	Signal     string    `toml:"signal" one_of:"sdr|pq" help:"signal type"`
	Bits       int       `toml:"bits" min:"0" max:"16" help:"bits of the signal; 0: as the display quantises it"`

	At         []float64          `toml:"at" min:"0" max:"1" help:"place on the screen, as shares of its width from the left and of its height from the top; without it the middle of the window"`
	Horizontal float64            `toml:"horizontal" unit:"degrees" min:"-89" max:"89" help:"angle from straight on, to the side"`
	Vertical   float64            `toml:"vertical" unit:"degrees" min:"-89" max:"89" help:"angle from straight on, up or down"`
	Lamps      map[string]float64 `toml:"lamps" unit:"%" min:"0" max:"100" help:"levels of the room's lamps by their names, with the room's stray light; without it the room is dark"`
	Settings   map[string]any     `toml:"settings" help:"positions of the unit's controls by their names; the others are where they give most light"`
}

// truthShare is a window of which only the size matters.
type truthShare struct {
	Window float64 `toml:"window" unit:"%" min:"0.01" max:"100" help:"share of the screen"`
}

func (a *truthShare) defaults() { a.Window = 100 }

// truthWindows are windows of one grey, of which the brightest is asked for.
type truthWindows struct {
	Grey    float64   `toml:"grey" min:"0" max:"1" help:"signal of the window"`
	Windows []float64 `toml:"windows" unit:"%" min:"0.01" max:"100" help:"shares of the screen"`
	Signal  string    `toml:"signal" one_of:"sdr|pq" help:"signal type"`
}

// truthGreys are greys whose tone is asked for.
type truthGreys struct {
	Steps int     `toml:"steps" min:"4" max:"4096" help:"number of evenly spaced greys from black to white"`
	Bits  int     `toml:"bits" min:"0" max:"16" help:"bits that each grey is rounded to; 0: no rounding"`
	From  float64 `toml:"from" min:"0" max:"0.99" help:"only greys above this signal are used"`
}

// arguments returns a truth's arguments with their defaults.
func (t truth) arguments() reflect.Value {
	v := reflect.New(t.args).Elem()
	switch a := v.Addr().Interface().(type) {
	case *truthWindow:
		*a = truthWindow{Grey: 1, Window: 100, Signal: "sdr"}
	case *truthWindows:
		*a = truthWindows{Grey: 1, Signal: "sdr"}
	case *truthGreys:
		*a = truthGreys{Steps: 21, Bits: 8, From: 0.05}
	case *truthGamut:
		*a = truthGamut{Space: "bt709", Diagram: "uv"}
	case *truthContrast:
		*a = truthContrast{Window: 100}
	case *truthRollOff:
		*a = truthRollOff{Window: 10, By: 5}
	case interface{ defaults() }:
		a.defaults()
	}
	return v
}

// window declares a truth of one window's colour.
func window(name, unit, help string, of func(colour.XYZ) (float64, error)) truth {
	return truth{TruthDoc{Name: name, Unit: unit, Help: help}, reflect.TypeFor[truthWindow](), func(w *World, args any) (float64, error) {
		a := args.(truthWindow)
		p, err := a.patch()
		if err != nil {
			return 0, err
		}
		l, err := a.look()
		if err != nil {
			return 0, err
		}
		c, err := w.truthSeen(p, l, a.settings()...)
		if err != nil {
			return 0, err
		}
		return of(c)
	}}
}

func (a *truthWindow) patch() (bench.Patch, error) {
	p := bench.Patch{RGB: [3]float64{a.Grey, a.Grey, a.Grey}, Window: a.Window, Signal: bench.Signal(a.Signal), Bits: a.Bits,
		Background: [3]float64{a.Background, a.Background, a.Background}, At: [2]float64{0.5, 0.5}}
	if a.RGB != nil {
		if len(a.RGB) != 3 {
			return p, wrong("rgb", "is a list of %d; it must be 3 signals", len(a.RGB))
		}
		p.RGB = [3]float64(a.RGB)
	}
	return p, nil
}

func (a *truthWindow) look() (look, error) {
	l := look{horizontal: a.Horizontal, vertical: a.Vertical, lamps: a.Lamps}
	if a.At != nil {
		if len(a.At) != 2 {
			return l, wrong("at", "is a list of %d; it must be 2 shares, from the left and from the top", len(a.At))
		}
		l.at = (*[2]float64)(a.At)
	}
	return l, nil
}

func (a *truthWindow) settings() []bench.Setting {
	var all []bench.Setting
	for _, name := range sortedKeys(a.Settings) {
		all = append(all, bench.Setting{Name: name, Value: a.Settings[name]})
	}
	return all
}

// truths are all truths that can be asked for by name.
var truths = slices.Concat([]truth{
	window("luminance", "cd/m2", "luminance of a window", func(c colour.XYZ) (float64, error) { return c.Y, nil }),
	window("x", "", "chromaticity x of a window, CIE 1931", func(c colour.XYZ) (float64, error) { xy, err := c.XY(); return xy.X, err }),
	window("y", "", "chromaticity y of a window, CIE 1931", func(c colour.XYZ) (float64, error) { xy, err := c.XY(); return xy.Y, err }),
	window("u", "", "chromaticity u' of a window, CIE 1976", func(c colour.XYZ) (float64, error) { uv, err := c.UV(); return uv.U, err }),
	window("v", "", "chromaticity v' of a window, CIE 1976", func(c colour.XYZ) (float64, error) { uv, err := c.UV(); return uv.V, err }),
	window("cct", "K", "correlated colour temperature of a window", func(c colour.XYZ) (float64, error) { t, err := cctOf(c); return t.Kelvin, err }),
	window("duv", "", "distance of a window from the Planckian locus, CIE 1960; above 0 is greenish", func(c colour.XYZ) (float64, error) { t, err := cctOf(c); return t.Duv, err }),
	{TruthDoc{Name: "coverage", Unit: "%", Help: "share of a colour space's triangle that the primaries cover"}, reflect.TypeFor[truthGamut](), coverage},
	{TruthDoc{Name: "additivity", Unit: "%", Help: "luminance of red, green and blue together, black counted once, relative to white"}, reflect.TypeFor[truthShare](), additivity},
	{TruthDoc{Name: "contrast", Help: "contrast of white and black, in the dark or in even ambient light"}, reflect.TypeFor[truthContrast](), contrast},
	{TruthDoc{Name: "roll_off_start", Unit: "cd/m2", Help: "start of the HDR roll-off: lowest PQ luminance that the light falls short of"}, reflect.TypeFor[truthRollOff](), rollOffStart},
	{TruthDoc{Name: "peak_luminance", Unit: "cd/m2", Help: "luminance of the brightest window of a list"}, reflect.TypeFor[truthWindows](), peakLuminance},
	{TruthDoc{Name: "exponent", Help: "exponent of the power function that fits the SDR curve best"}, reflect.TypeFor[truthGreys](), exponent},
}, timeTruths, stepTruths)

func peakLuminance(w *World, args any) (float64, error) {
	a := args.(truthWindows)
	if len(a.Windows) == 0 {
		return 0, wrong("windows", "is missing; it must be the shares of the screen to choose from")
	}
	peak := 0.0
	for _, window := range a.Windows {
		y, err := w.truthLuminance(bench.Patch{RGB: [3]float64{a.Grey, a.Grey, a.Grey}, Window: window, Signal: bench.Signal(a.Signal), At: [2]float64{0.5, 0.5}})
		if err != nil {
			return 0, err
		}
		peak = math.Max(peak, y)
	}
	return peak, nil
}

// exponent is the slope of the straight line through ln(L(V)/L(1)) over ln V,
// by least squares, every grey of the same weight; L is the light above black,
// before any limiting. Where the curve is a power it is the curve's exponent,
// but for the rounding of greys to codes, which both sides share.
func exponent(w *World, args any) (float64, error) {
	a := args.(truthGreys)
	var n, sx, sy, sxx, sxy float64
	for i := 1; i < a.Steps; i++ {
		v := quantise(float64(i)/float64(a.Steps-1), a.Bits)
		light := w.tone.sdr(v)
		if v <= a.From || light <= 0 {
			continue
		}
		x, y := math.Log(v), math.Log(light)
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	if n < 2 {
		return 0, fmt.Errorf("exponent: %v greys are above from (%v); at least two are needed", n, a.From)
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx), nil
}

// TruthNames returns the names of the truths that [Subject.Truth] knows.
func TruthNames() []string {
	names := make([]string, len(truths))
	for i, t := range truths {
		names[i] = t.Name
	}
	return names
}

// Truths describes the truths that [Subject.Truth] knows, for a reference.
func Truths() []TruthDoc {
	docs := make([]TruthDoc, len(truths))
	for i, t := range truths {
		docs[i] = t.TruthDoc
		for _, d := range fieldsOf(t.args) {
			docs[i].Args = append(docs[i].Args, fmt.Sprintf("%s: %s (%s)", d.name, d.help, d.limits()))
		}
	}
	return docs
}

// truthOf computes a truth by its name.
func (s *Subject) truthOf(name string, args any) (float64, error) {
	for _, t := range truths {
		if t.Name != name {
			continue
		}
		v := t.arguments()
		err := assign(v, name, args)
		if err == nil {
			err = checkDeclared(v, name)
		}
		if err != nil {
			return 0, err
		}
		x, err := t.at(s.world, v.Interface())
		if err != nil {
			return 0, fmt.Errorf("%s: %w", name, err)
		}
		return x, nil
	}
	return 0, bench.Errorf(bench.CodeBadFile, didYouMean(spell.Nearest(name, TruthNames())), "the simulated world has no truth %q; it must be %s", name, quoted(TruthNames()))
}
