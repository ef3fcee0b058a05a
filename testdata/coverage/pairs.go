package main

import (
	"context"
	"fmt"
	"io"
	"math"

	"candelua/builtins"
	"candelua/engine/draw"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

// A pair is two units, the second brighter by a known factor, measured one after
// the other with the same meter or each with its own. The meter's scale is known
// to 1 %, some fifty times what the peak scatters: the mean of four windows, since
// the panel limits no power. One window alone would be known too badly, see
// the package comment of draw: of a single mean of five, that was read until steady, the interval is
// too wide, and holds the truth in 97.6 % of 2,000.
const (
	pairFactor = 1.03
	pairScale  = 1.0 // %
	pairValue  = "peak-luminance"
	pairWhite  = 400 // cd/m²
)

// pairer measures units.
type pairer struct {
	subject
	draws int
}

func newPairer(ctx context.Context, draws int) (*pairer, error) {
	p, err := procedure.Find("window-sweep", scripts.Files)
	if err != nil {
		return nil, err
	}
	loaded, err := procedure.Load(ctx, p, builtins.Modules())
	if err != nil {
		return nil, err
	}
	program, contract := loaded.Program, loaded.Contract
	params, err := contract.Values([]string{"windows=1,4,10,18", "longest_settling=0"})
	return &pairer{subject{"window-sweep", program, params}, draws}, err
}

// unit measures a unit of a white with a meter, and gives its peak's draws.
// A meter of 0 is another one for each seed.
func (p *pairer) unit(ctx context.Context, white float64, meter int, seed uint64) (draw.Run, draw.Uncertainty, error) {
	fail := func(err error) (draw.Run, draw.Uncertainty, error) { return draw.Run{}, draw.Uncertainty{}, err }
	w := sim.Default()
	w.Limit.Curve, w.Warmup, w.Retention.Terms = nil, sim.WarmupParams{}, nil
	w.Light.White, w.Meter.Scale, w.Meter.ErrorsSeed = white, pairScale, meter
	job, out, err := p.execute(ctx, w, seed)
	if err == nil {
		err = out.Err
	}
	if err != nil {
		return fail(err)
	}
	d, err := drawn(ctx, job, out.Results, uncertainty.Plan{Draws: p.draws, Always: true}, true)
	if err != nil {
		return fail(err)
	}
	r, ok := d.Run(pairValue)
	if !ok {
		return fail(fmt.Errorf("seed %d: there is no %s to compare", seed, pairValue))
	}
	u, err := draw.Evaluate(r.Estimate, r.Draws)
	return r, u, err
}

// tally counts what pairs came to.
type tally struct {
	pairs, covered, significant int
	width, alone                float64 // sums of the interval's relative width, of the ratio and of the first alone
}

// measure compares so many pairs of units, the second of which has a factor
// times the first's white.
func (p *pairer) measure(ctx context.Context, pairs, first int, factor float64, oneMeter bool) (t tally, err error) {
	for i := range pairs {
		seed, meter := uint64(first+2*i), 0
		if oneMeter {
			meter = first + i
		}
		a, alone, err := p.unit(ctx, pairWhite, meter, seed)
		if err != nil {
			return t, err
		}
		b, _, err := p.unit(ctx, pairWhite*factor, meter, seed+1)
		if err != nil {
			return t, err
		}
		c, err := draw.Ratio(b, a)
		if err != nil {
			return t, err
		}
		t.pairs++
		if c.Low <= factor && factor <= c.High {
			t.covered++
		}
		if c.Significant {
			t.significant++
		}
		t.width += (c.High - c.Low) / c.Estimate
		t.alone += (alone.High - alone.Low) / alone.Estimate
	}
	return t, nil
}

// comparePairs prints how the ratio of two units' peaks is known, and how often
// two equal ones come out as different; all pairs are of equal units with one
// meter and with two, and a quarter as many that differ.
func comparePairs(ctx context.Context, out io.Writer, pairs, draws, first int) error {
	p, err := newPairer(ctx, draws)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\npairs, %d draws a run\n\n", draws)
	fmt.Fprintln(out, "| meters | ratio | pairs | covered, % | width over one's own | significant, % |")
	fmt.Fprintln(out, "| --- | --- | --- | --- | --- | --- |")
	for _, k := range []struct {
		name   string
		one    bool
		factor float64
		pairs  int
	}{{"one", true, 1, pairs}, {"one", true, pairFactor, pairs / 4}, {"two", false, 1, pairs}, {"two", false, pairFactor, pairs / 4}} {
		t, err := p.measure(ctx, k.pairs, first, k.factor, k.one)
		if err != nil {
			return err
		}
		percent := func(n int) string {
			s := float64(n) / float64(t.pairs)
			return fmt.Sprintf("%.1f ± %.1f", 100*s, 100*math.Sqrt(s*(1-s)/float64(t.pairs)))
		}
		fmt.Fprintf(out, "| %s | %v | %d | %s | %.3f | %s |\n", k.name, k.factor, t.pairs, percent(t.covered), t.width/t.alone, percent(t.significant))
	}
	return nil
}
