package builtins

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"

	"candelua/engine/fault"
	"candelua/engine/script"
)

func statsModule() *script.Module {
	return &script.Module{Name: "stats", Help: "Statistics of lists of numbers.", Funcs: []*script.Func{
		script.Pure("stats.mean", "computes the arithmetic mean", func(_ *script.Call, a listArgs) (float64, error) {
			return needs(a.List, 1, meanFloat)
		}),
		script.Pure("stats.sd", "computes the standard deviation of a sample (n - 1)", func(_ *script.Call, a listArgs) (float64, error) {
			return needs(a.List, 2, sdFloat)
		}),
		script.Pure("stats.median", "computes the median; for an even count, the mean of the middle two", func(_ *script.Call, a listArgs) (float64, error) {
			return needs(a.List, 1, medianFloat)
		}),
		script.Pure("stats.percentile", "computes the number below which a share of the list lies", percentile),
		script.Pure("stats.line", "fits a straight line to points by weighted least squares", line),
		script.Pure("stats.power", "fits a power law, y = scale x^exponent, to points by weighted least squares", power),
		script.Pure("stats.decay", "fits a decay, y = offset + sum of amplitude exp(-t/tau), by weighted least squares; each y is a mean over its integration", decay),
		script.Pure("decay:at", "computes the curve that stats.decay fitted, at a time", func(_ *script.Call, a decaySelf) (float64, error) { return a.Self.at(a.T), nil }),
		script.Pure("decay:u_at", "computes the standard error of the fitted curve at a time, from the residuals; nil if it cannot be determined", func(_ *script.Call, a decaySelf) (*float64, error) { return a.Self.uAt(a.T), nil }),
		script.Pure("decay:u_change", "computes the standard error of the difference between the fitted curve at a and at b; nil if it cannot be determined", func(_ *script.Call, a decaySpanSelf) (*float64, error) { return a.Self.uChange(a.A, a.B), nil }),
		script.Pure("decay:crossing", "finds the first time, from the first reading on, at which the fitted curve passes a level", func(_ *script.Call, a decayCrossingArgs) (Crossing, error) { return a.Self.crossing(a.Level), nil }),
		script.Pure("stats.kernel_mean", "computes for each point the mean of the values around it, weighted by exp(-(distance/width)^2)", kernelMean),
		script.Pure("stats.crossing", "finds where a noisy series passes a level; first replaces the series by the closest one that only rises, or only falls", crossing),
		script.Pure("stats.monotonic", "compares each level of a series with the next, and finds the steps that go down by more than the noise and the steps that are too small to tell from noise", monotonic),
		script.Pure("stats.paired", "computes the mean difference of pairs, its scatter and its 95 % interval", paired),
	}}
}

type listArgs struct {
	List []float64 `lua:"list" pos:"1" help:"a list of numbers"`
}

func needs(list []float64, least int, f func([]float64) float64) (float64, error) {
	if len(list) < least {
		return 0, tooFew("list", len(list), least)
	}
	return f(list), nil
}

func tooFew(name string, got, least int) error {
	return wrongCount(name, howMany(got, "numbers"), fmt.Sprintf("%d or more", least), "give more numbers")
}

// wrongCount says that a list is of the wrong length.
func wrongCount(arg, many, want, tip string) error {
	return &fault.ArgError{Arg: arg, Got: "has " + many + "; it must have " + want, Tip: tip}
}

// howMany counts things by their plural: "1 number", "2 numbers".
func howMany(n int, things string) string {
	switch {
	case n != 1:
	case things == "stimuli":
		things = "stimulus"
	default:
		things = strings.TrimSuffix(things, "s")
	}
	return fmt.Sprint(n, " ", things)
}

// series is a list that belongs beside another one.
type series struct {
	name     string
	list     []float64
	optional bool // nil is allowed
}

// sameLengths wants lists as long as the first one, of a name.
func sameLengths(first string, n int, others ...series) error {
	for _, c := range others {
		if len(c.list) != n && !(c.optional && c.list == nil) {
			return wrongCount(c.name, howMany(len(c.list), "numbers"), fmt.Sprintf("%d, as many as %s", n, first), "")
		}
	}
	return nil
}

// meanFloat takes the mean of the residuals off a first mean, so that long
// lists of large numbers lose no digits.
func meanFloat(list []float64) float64 {
	first := stat.Mean(list, nil)
	rest := 0.0
	for _, x := range list {
		rest += x - first
	}
	return first + rest/float64(len(list))
}

func sdFloat(list []float64) float64 { return stat.StdDev(list, nil) }

func medianFloat(list []float64) float64 {
	s := slices.Sorted(slices.Values(list))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return s[n/2-1]/2 + s[n/2]/2
}

type lineArgs struct {
	X []float64 `lua:"x" help:"x of the points"`
	Y []float64 `lua:"y" help:"y of the points, one for each x"`
	W []float64 `lua:"weights" optional:"true" min:"0" help:"weight of each y, one divided by its variance; equal when left out"`
}

// Line is y = intercept + slope x.
type Line struct {
	Slope      float64  `lua:"slope" help:"rise of y for each unit of x"`
	Intercept  float64  `lua:"intercept" help:"y where x is 0"`
	USlope     *float64 `lua:"u_slope" help:"standard error of the slope from the residuals; nil for two points"`
	UIntercept *float64 `lua:"u_intercept" help:"standard error of the intercept from the residuals; nil for two points"`
	Rms        float64  `lua:"rms" help:"weighted root mean square of the residuals"`
}

// LuaName is what scripts call it.
func (Line) LuaName() string { return "line" }

func line(_ *script.Call, a lineArgs) (Line, error) {
	if err := sameLengths("x", len(a.X), series{"y", a.Y, false}, series{"weights", a.W, true}); err != nil {
		return Line{}, err
	}
	return fitLine(a.X, a.Y, a.W)
}

var errNoLine = errors.New("all points have the same x; a line needs at least two different ones")

// fitLine is weighted least squares about the weighted means, which keeps
// digits that the textbook sums lose.
//
// Source: JCGM 100:2008, annex H.3, with weights.
func fitLine(x, y, w []float64) (Line, error) {
	weight := func(i int) float64 {
		if w == nil {
			return 1
		}
		return w[i]
	}
	mx, my := stat.Mean(x, w), stat.Mean(y, w)
	var sxx, sxy, sw float64
	used := 0
	for i := range x {
		sxx += weight(i) * (x[i] - mx) * (x[i] - mx)
		sxy += weight(i) * (x[i] - mx) * (y[i] - my)
		sw += weight(i)
		if weight(i) > 0 {
			used++
		}
	}
	if used < 2 || !(sxx > 0) {
		return Line{}, errNoLine
	}
	l := Line{Slope: sxy / sxx}
	l.Intercept = my - l.Slope*mx
	ss := 0.0
	for i := range x {
		e := y[i] - l.Intercept - l.Slope*x[i]
		ss += weight(i) * e * e
	}
	l.Rms = math.Sqrt(ss / sw)
	if used > 2 {
		s2 := ss / float64(used-2)
		l.USlope, l.UIntercept = root(s2/sxx), root(s2*(1/sw+mx*mx/sxx))
	}
	return l, nil
}

func formatNumber(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
