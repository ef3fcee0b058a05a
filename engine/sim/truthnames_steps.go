package sim

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"candelua/engine/bench"
)

// truthCodes are greys of which some step is asked for.
type truthCodes struct {
	Bits     int     `toml:"bits" min:"1" max:"12" help:"bits of the signal"`
	Least    float64 `toml:"least" unit:"cd/m2" min:"0" max:"10" help:"least luminance above black that counts as visible"`
	Exponent float64 `toml:"exponent" min:"1" max:"4" help:"exponent of the power function that is the target"`
}

func (a *truthCodes) defaults() { *a = truthCodes{Bits: 8, Least: 0.005, Exponent: 2.2} }

// truthRamp is a ramp of codes.
type truthRamp struct {
	Bits   int     `toml:"bits" min:"1" max:"12" help:"bits of the signal"`
	From   int     `toml:"from" min:"1" max:"4095" help:"first code"`
	To     int     `toml:"to" min:"1" max:"4095" help:"last code"`
	Window float64 `toml:"window" unit:"%" min:"0.01" max:"100" help:"share of the screen"`
	Factor float64 `toml:"factor" min:"1" max:"100" help:"multiple of that median above which a step is a jump"`
	Beside int     `toml:"beside" min:"1" max:"100" help:"number of neighbours on each side"`
}

func (a *truthRamp) defaults() {
	*a = truthRamp{Bits: 8, From: 8, To: 255, Window: 10, Factor: 1.5, Beside: 6}
}

// sameStep is by how little, as a share, two steps differ that are one.
const sameStep = 1e-9

// stepTruths are truths of single steps of a ramp.
var stepTruths = []truth{
	{TruthDoc{Name: "first_code", Help: "lowest code that is brighter than black by more than least"},
		reflect.TypeFor[truthCodes](), func(w *World, args any) (float64, error) {
			a := args.(truthCodes)
			code, err := w.truthFirstCode(a.Bits, a.Least)
			return float64(code), err
		}},
	{TruthDoc{Name: "crush", Help: "codes lost near black: first_code less that of a power function with the same black and white"},
		reflect.TypeFor[truthCodes](), crush},
	{TruthDoc{Name: "merged_steps", Help: "number of steps from one code to the next that do not change the light"},
		reflect.TypeFor[truthRamp](), func(w *World, args any) (float64, error) {
			steps, err := w.rampSteps(args.(truthRamp))
			n := 0
			for _, s := range steps {
				if s <= sameStep {
					n++
				}
			}
			return float64(n), err
		}},
	{TruthDoc{Name: "jumps", Help: "number of steps larger than factor times the median of their neighbours"},
		reflect.TypeFor[truthRamp](), jumps},
}

func crush(w *World, args any) (float64, error) {
	a := args.(truthCodes)
	first, err := w.truthFirstCode(a.Bits, a.Least)
	if err != nil {
		return 0, err
	}
	white, err := w.truthLuminance(grey(1, 10, bench.SDR, a.Bits))
	if err != nil {
		return 0, err
	}
	black := w.params.Light.Black
	most := math.Ldexp(1, a.Bits) - 1
	wanted := math.Floor(most*math.Pow(a.Least/(white-black), 1/a.Exponent)) + 1
	return float64(first) - wanted, nil
}

// rampSteps returns the local exponent of each step,
//
//	ln(L/L₋₁) / ln(code/(code − 1))
//
// which is 0 of a step that merges, and level along a power.
func (w *World) rampSteps(a truthRamp) ([]float64, error) {
	most := math.Ldexp(1, a.Bits) - 1
	if a.To <= a.From || float64(a.To) > most {
		return nil, wrong("to", "is %d; it must be more than from (%d), up to %v", a.To, a.From, most)
	}
	var steps []float64
	last := 0.0
	for code := a.From; code <= a.To; code++ {
		y, err := w.truthLuminance(grey(float64(code)/most, a.Window, bench.SDR, a.Bits))
		if err != nil {
			return nil, err
		}
		if !(y > 0) {
			return nil, fmt.Errorf("ramp: code %d has no light", code)
		}
		if code > a.From {
			steps = append(steps, math.Log(y/last)/math.Log(float64(code)/float64(code-1)))
		}
		last = y
	}
	return steps, nil
}

func jumps(w *World, args any) (float64, error) {
	a := args.(truthRamp)
	steps, err := w.rampSteps(a)
	n := 0
	for i, s := range steps {
		var beside []float64
		for k := max(0, i-a.Beside); k <= min(len(steps)-1, i+a.Beside); k++ {
			if k != i {
				beside = append(beside, steps[k])
			}
		}
		slices.Sort(beside)
		middle := (beside[(len(beside)-1)/2] + beside[len(beside)/2]) / 2
		if s > sameStep && s > a.Factor*middle {
			n++
		}
	}
	return float64(n), err
}
