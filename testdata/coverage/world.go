package main

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"

	"candelua/engine/sim"
)

// anyMeter is the world in which each seed has another meter. What is no instrument's error is alike in
// all seeds: patches come without jitter, and lamps do not drift.
func anyMeter(w sim.Params) sim.Params {
	w.Meter.ErrorsSeed, w.Reference.ErrorsSeed, w.Rig.LuxErrorsSeed = 0, 0, 0
	w.Source.LatencyWithin = 0
	w.Lamps = slices.Clone(w.Lamps)
	for i := range w.Lamps {
		w.Lamps[i].Drift = 0
	}
	return w
}

// exact is the same world with instruments that err in nothing and read in any darkness.
func exact(w sim.Params) sim.Params {
	w = anyMeter(w)
	w.ExactMeters()
	for _, m := range []*sim.MeterParams{&w.Meter, &w.Reference} {
		m.Repeatability, m.DarkNoise, m.DarkDrift, m.ShotNoise, m.Floor = 0, 0, 0, 0, 0
	}
	w.Rig.LuxNoise = 0
	return w
}

// A script may state a truth that exact instruments do not show, such as how a meter scatters; or that any
// answer is true, where it must choose among equal ones:
//
//	-- truth: scatter = 0.00125: the standard deviation of one reading
//	-- truth: darkest-place = any: all places are equally dark
var statedTruth = regexp.MustCompile(`(?m)^-- truth: ([a-z0-9-]+) = ([^:\s]+):`)

// takeTruths puts the truths that a script states in place of those of the exact run.
func (r *once) takeTruths(source string) error {
	for _, m := range statedTruth.FindAllStringSubmatch(source, -1) {
		i := slices.IndexFunc(r.Values, func(v stated) bool { return v.ID == m[1] })
		if i < 0 {
			return fmt.Errorf("it states the truth of %s, and records no such value", m[1])
		}
		v := stated{ID: m[1], Unit: r.Values[i].Unit, Why: "any answer is true"}
		if m[2] != "any" {
			x, err := strconv.ParseFloat(m[2], 64)
			if err != nil {
				return fmt.Errorf("the truth of %s is %q; it must be a number or any", m[1], m[2])
			}
			v.Value, v.Why = &x, ""
		}
		r.Values[i] = v
	}
	return nil
}
