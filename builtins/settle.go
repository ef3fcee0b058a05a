package builtins

import (
	"context"
	"math"
	"time"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/draw"
	"candelua/engine/fault"
	"candelua/engine/script"
)

var settleStep = script.Sampling("meter.settle", "reads repeatedly until the luminance no longer drifts; where a person reads the meter, until two readings in a row agree", settleLive, settleDerive,
	script.Requesting(settleRequest), script.Checking(settleCheck))

type settleArgs struct {
	Within  float64 `lua:"within" default:"0.5" above:"0" max:"100" unit:"%" help:"allowed drift, as a share of the luminance"`
	Over    float64 `lua:"over" default:"60" above:"0" max:"86400" unit:"s" help:"time over which the drift is judged; for a person, the time between readings"`
	Timeout float64 `lua:"timeout" default:"1800" above:"0" max:"604800" unit:"s" help:"longest time to wait for the luminance to settle"`
	Every   float64 `lua:"every" default:"0" min:"0" max:"86400" unit:"s" help:"time from one reading to the next; 0: a thirtieth of over"`
	Sync    bool    `lua:"sync" default:"false" help:"true: fits each integration to whole refresh periods, so that a light that is switched on and off does not seem to change"`
	// At is optional without a default: older journals lack it.
	At *[2]float64 `lua:"at" min:"0" max:"1" help:"where on the screen the meter looks, from the left and from the top; when left out, at the middle of the window"`
}

// Settling is how the luminance came to rest.
type Settling struct {
	Settled bool     `lua:"settled" help:"false if the luminance still drifted at the timeout"`
	Seconds float64  `lua:"seconds" unit:"s" help:"how long it took"`
	Drift   float64  `lua:"drift" unit:"%" help:"last drift found within the time of over"`
	UDrift  *float64 `lua:"u_drift" unit:"%" help:"its standard uncertainty from the scatter of the readings; nil if there is none"`
	Y       float64  `lua:"Y" unit:"cd/m2" help:"the last luminance"`
}

// LuaName is what scripts call it.
func (Settling) LuaName() string { return "settling" }

func settleCheck(a settleArgs) error {
	if a.Timeout <= a.Over {
		return &fault.ArgError{Arg: "timeout", Got: declare.Show(a.Timeout), Want: "more than over, which is " + declare.Show(a.Over)}
	}
	return nil
}

type settleAnswer struct {
	Settled bool `json:"settled"`
	// Withdrawn are readings that a person withdrew, by their number from 0.
	Withdrawn []int `json:"withdrawn,omitempty"`
}

func settleLive(ctx context.Context, c *script.Call, a settleArgs, emit func(sample) error) (w settleAnswer, err error) {
	if c.Host().Devices[c.Device()].ByHand {
		return settleByHand(ctx, c, a, emit)
	}
	if err := canAim(c, a.At); err != nil {
		return w, err
	}
	if since, pending := litSince(c); !pending {
		if err := untilLit(ctx, c, since, 0); err != nil {
			return w, err
		}
	}
	clock := c.Bench().Clock
	every := a.Every
	if every == 0 {
		every = a.Over / 30
	}
	began := clock.Now()
	var got []sample
	for {
		next := clock.Now() + time.Duration(every*1e9)
		_, err := readSamples(ctx, c, bench.ReadRequest{Most: 1, Sync: a.Sync, At: a.At}, emit, func(s sample) bool {
			got = append(got, s)
			return true
		})
		if err != nil {
			return w, err
		}
		if drift, _, known := driftOf(got, a.Over); known && math.Abs(drift) <= a.Within {
			return settleAnswer{Settled: true}, nil
		}
		if (max(clock.Now(), next) - began).Seconds() >= a.Timeout {
			return w, nil
		}
		if err := clock.WaitUntil(ctx, next); err != nil {
			return w, err
		}
	}
}

// driftOf is the slope of the last stretch of readings, by least squares, as a
// share of the luminance in percent over that stretch. Two readings alone say
// little of a slope, so it is not known before there are five, and of slow
// readings the stretch is as long as five take. u is its standard uncertainty, as the
// readings scatter about the line.
func driftOf(got []sample, over float64) (percent float64, u *float64, known bool) {
	last := got[len(got)-1].Ended
	first := len(got)
	for first > 0 && got[first-1].Ended >= last-over {
		first--
	}
	if first == 0 && last-got[0].Ended < over*0.98 || len(got) < 5 {
		return 0, nil, false
	}
	stretch := got[min(first, len(got)-5):]
	var t, y []float64
	sum := 0.0
	for _, s := range stretch {
		t = append(t, s.Ended-last)
		y = append(y, s.Y)
		sum += s.Y
	}
	mean := sum / float64(len(y))
	if mean <= 0 {
		return 0, nil, true
	}
	fit, err := fitLine(t, y, nil)
	if err != nil {
		return 0, nil, false
	}
	share := 100 * over / mean
	if fit.USlope != nil {
		scatter := share * *fit.USlope
		u = &scatter
	}
	return share * fit.Slope, u, true
}

func settleDerive(c *script.Call, a settleArgs, w settleAnswer, samples []sample) (Settling, error) {
	if samples = w.counting(samples); len(samples) == 0 {
		return Settling{}, errNoSample
	}
	right, err := corrected(c, samples)
	if err != nil {
		return Settling{}, err
	}
	samples = drawsEach(c, samples, right, a.At)
	if _, err := take(c, samples, right, a.At); err != nil {
		return Settling{}, err
	}
	if c.Since(5) {
		c.Results().Stand(c.Number(), whyNotSettled(w.Settled, right), nil)
	}
	last := samples[len(samples)-1]
	drift, u, _ := driftOf(samples, a.Over)
	if c.Host().Devices[c.Device()].ByHand {
		drift, _ = driftByHand(samples)
		u = nil
	}
	took := draw.Number{Value: last.Ended - samples[0].Began, Keys: draw.NumberKeys{Own: ownKey(c, "settling", last.Y)}}
	return Settling{Settled: w.Settled, Seconds: number(c, took, &unknownSettling, 1), Drift: drift, UDrift: u, Y: last.Y}, nil
}

// whyNotSettled is what stands against the last luminance of a light that was watched.
func whyNotSettled(settled bool, samples []sample) string {
	flags := flagsOf(samples[len(samples)-1:])
	switch {
	case flags.Saturated:
		return whySaturated
	case flags.Underfilled:
		return whyUnderfilled
	case !settled:
		return whyDrifting
	}
	return ""
}

func settleRequest(a settleArgs) (any, error) {
	return bench.ReadRequest{Most: 1, Sync: a.Sync, At: a.At}, nil
}
