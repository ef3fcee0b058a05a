package builtins

import (
	"fmt"
	"math"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/script"
)

// measureArgs say how a patch is measured. Their defaults are those that shipped
// procedures were tried with.
type measureArgs struct {
	After    float64     `lua:"after" default:"2" min:"0" max:"86400" unit:"s" help:"delay before the first reading, counted from when the patch is lit, in which the panel responds"`
	Relative float64     `lua:"relative" default:"0.2" above:"0" max:"100" unit:"%" help:"reads until the standard error of the mean is at most this percentage of the luminance, but not more than most times"`
	Least    int         `lua:"least" default:"5" min:"5" max:"1000" help:"fewest single readings"`
	Most     int         `lua:"most" default:"50" min:"5" max:"1000" help:"most single readings; if they do not suffice, u_Y shows what was reached"`
	Settle   float64     `lua:"settle" default:"40" min:"0" max:"86400" unit:"s" help:"longest time to watch a light that changes, or that may change slowly, until it is stable; 0: do not watch"`
	Watch    *bool       `lua:"watch" help:"true: watches the light even if the first reading shows no change; false: only if it does; when left out, also if the patch lights a tenth of the screen or more"`
	Expect   float64     `lua:"expect" default:"0" min:"0" unit:"cd/m2" help:"expected luminance, from which the meter can choose its range; 0: not known"`
	Spectrum bool        `lua:"spectrum" default:"false" help:"true: reads the spectral radiance too"`
	At       *[2]float64 `lua:"at" min:"0" max:"1" help:"where on the screen the meter looks, from the left and from the top; when left out, at the middle of the window"`
}

// Light counts as settled where it drifts by no more than this over that time
// (model of our own). A panel that approaches its light with a time constant of 20 s
// is then within 0.2 % of it, one with 200 s within 2 %. Half the time would do for the
// light, but not for the meter: thirty readings that scatter by 0.2 % each find the
// drift to 0.13 %, fifteen over half the time to 0.18 % of half as much.
const (
	settledWithin = 0.3  // %
	settledOver   = 30.0 // s
)

// A patch that lights this share of the screen is watched in any case: one reading does
// not show a power limit that takes minutes (model of our own).
const largeShare = 0.1

// measure reads what is shown as a careful person would. It takes the same steps as a
// script that calls the builtins one by one, so that the journal, draws and replays know
// nothing new.
func measure(c *script.Call, a measureArgs) (Reading, error) {
	if a.Most < a.Least {
		return Reading{}, &fault.ArgError{Arg: "most", Got: declare.Show(float64(a.Most)), Want: fmt.Sprintf("%[1]d or more, because least is %[1]d", a.Least), Tip: "give both least and most"}
	}
	ask := readArgs{Repeats: 1, Relative: a.Relative, Least: a.Least, Most: a.Most, After: a.After, Sync: true, Expect: a.Expect, Spectrum: a.Spectrum, At: a.At}
	scene := sceneOf(c)
	scene.steady = a.looksSteady(c)
	r, err := script.Perform[Reading](c, readStep, ask)
	scene.steady = false
	if err != nil {
		return r, err
	}
	watch, err := script.Perform[any](c, decideStep, decideArgs{Name: "watch the light settle", Value: a.watches(c, &r)})
	if err != nil {
		return r, err
	}
	if watch == true {
		known := c.Host().Devices[c.Device()]
		settling, err := script.Perform[Settling](c, settleStep, settleArgs{Within: math.Max(settledWithin, 1.5*known.Accuracy.Repeatability),
			Over: math.Min(settledOver, 0.75*a.Settle), Timeout: a.Settle, Sync: true, At: a.At})
		if err != nil {
			return r, err
		}
		first := r.step
		if r, err = script.Perform[Reading](c, readStep, ask); err != nil {
			return r, err
		}
		for step := first; step < r.step; step++ {
			c.Results().Stand(step, "", nil) // nothing is computed from what was read while the light settled
		}
		if err := r.hold(c, settling, a.Settle); err != nil {
			return r, err
		}
	}
	err = r.bound(c)
	r.stand(c)
	return r, err
}

// sureOfChange is how many standard uncertainties a drift must be, to be one: in the dark,
// readings scatter by more than a light may drift that counts as stable.
const sureOfChange = 3.0

// hold holds the light's last drift against the reading that followed.
func (r *Reading) hold(c *script.Call, s Settling, seconds float64) error {
	if s.Settled {
		return nil
	}
	changes := s.UDrift == nil || math.Abs(s.Drift) > sureOfChange**s.UDrift
	found, err := script.Perform[any](c, decideStep, decideArgs{Name: "the light still changes", Value: changes})
	if err == nil && found == true {
		r.suspect(c, fmt.Sprintf("the light still changed after %g s", seconds))
	}
	return err
}

// looksSteady says whether a person who reads the meter is asked to read once the light no longer changes. That takes the place of
// watching: the meter's own display shows it, and one reading is typed.
func (a *measureArgs) looksSteady(c *script.Call) bool {
	return a.Settle > 0 && (a.Watch == nil || *a.Watch) && c.Host().Devices[c.Device()].ByHand
}

// watches says whether the light is watched until it is stable. A person who reads the
// meter does that ([measureArgs.looksSteady]).
func (a *measureArgs) watches(c *script.Call, r *Reading) bool {
	switch {
	case a.Settle == 0 || c.Host().Devices[c.Device()].ByHand:
		return false
	case r.Flags.Drifting:
		return true
	case a.Watch != nil:
		return *a.Watch
	}
	return litShare(sceneOf(c).seen(c)) >= largeShare
}

// litShare is about which share of the light of a white screen a patch asks for. The
// exponent is that of a usual display; only the size of the result matters.
func litShare(p *bench.Patch) float64 {
	if p == nil {
		return 0
	}
	light := func(rgb [3]float64) float64 { return math.Pow(max(rgb[0], rgb[1], rgb[2]), 2.2) }
	share := p.Area() / 100
	return share*light(p.RGB) + (1-share)*light(p.Background)
}

// suspect notes against a reading that its light had not settled.
func (r *Reading) suspect(c *script.Call, why string) {
	r.doubt = doubt{why: why}
	r.Doubt = &r.doubt.why
	bitsOf(c).doubtNumbers(r)
}

// bound says what a measured reading is a limit of. Darkness below the meter's floor is
// at most the floor, or what was read and four standard uncertainties where that is more.
// Where nobody states a floor, and nothing above zero was read, the limit is not known.
func (r *Reading) bound(c *script.Call) error {
	floor := c.Host().Devices[c.Device()].Floor
	switch {
	case r.doubt.bound != "":
		r.setBound(r.doubt.bound, &r.Y)
	case r.doubt.why != "":
	case floor > 0 && r.Flags.BelowFloor:
		limit := r.Y
		if r.UY != nil {
			limit += 4 * *r.UY
		}
		limit = math.Max(floor, limit)
		r.setBound(result.Upper, &limit)
	case floor == 0:
		above, err := script.Perform[any](c, decideStep, decideArgs{Name: "the reading is above zero", Value: r.Y > 0})
		if err != nil {
			return err
		}
		if above != true {
			r.setBound(result.Upper, nil)
		}
	}
	return nil
}

func (r *Reading) setBound(is result.Bound, limit *float64) {
	name := string(is)
	r.Bound, r.Limit = &name, limit
}

// whyNoFloor is why a reading of darkness says nothing.
const whyNoFloor = "it does not read above zero, and the meter's floor is not stated"

// whyBelowFloor is why nothing is computed from a reading that is only a bound.
const whyBelowFloor = "a reading was below the meter's floor"
