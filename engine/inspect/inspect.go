// Package inspect says of an opened bench who is there and what can be done with it.
//
// It lights nothing and sets nothing: meters read the patch that is up, and a light
// sensor reads the light that there is.
//
// # Where it ends
//
// It writes no journal, so what it reads is no measurement. What a procedure needs is
// said by its contract (package script).
package inspect

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"candelua/engine/bench"
)

// Device is one device of the bench.
type Device struct {
	Place     string         `json:"place"`
	Identity  bench.Identity `json:"identity"`
	Abilities []string       `json:"abilities"`          // in words
	Readings  *Readings      `json:"readings,omitempty"` // of a meter that is no person
	Lux       *float64       `json:"lux,omitempty"`      // lx, of a rig that reads it
	Failed    error          `json:"-"`                  // why it could not be read
}

// Readings are the readings of a meter of one and the same light.
type Readings struct {
	Count   int          `json:"count"`
	Mean    float64      `json:"mean"`            // cd/m²
	Noise   float64      `json:"noise"`           // standard deviation of a single reading, cd/m²
	Percent float64      `json:"percent"`         // the same, % of the mean; 0 where that is not above 0
	X       float64      `json:"x,omitempty"`     // chromaticity; 0 where the meter has none
	Y       float64      `json:"y,omitempty"`     //
	Seconds float64      `json:"seconds"`         // for one reading, the median
	Again   int          `json:"again,omitempty"` // how many tries were made again
	Flags   []bench.Flag `json:"flags,omitempty"`
}

// Devices looks at all devices of a bench. Meters that are no persons are read times times, and told is called
// after each reading. A reading that fails is said in the device; only ctx ends the whole.
func Devices(ctx context.Context, b *bench.Bench, times int, told func(place string, n int)) ([]Device, error) {
	var all []Device
	for _, named := range b.Devices() {
		d := Device{Place: named.Name, Identity: named.Identity, Abilities: b.Able(named.Name)}
		if !named.Identity.ByHand {
			d.read(ctx, b, times, told)
		}
		if ctx.Err() != nil {
			return all, context.Cause(ctx)
		}
		all = append(all, d)
	}
	return all, nil
}

func (d *Device) read(ctx context.Context, b *bench.Bench, times int, told func(string, int)) {
	if m := b.Meters[d.Place]; m != nil {
		d.Readings, d.Failed = readings(ctx, m, d.Identity, times, func(n int) { told(d.Place, n) })
		return
	}
	if d.Place != string(bench.KindRig) {
		return
	}
	if sensor, can := bench.As[bench.LightSensor](b.Rig); can {
		read, err := sensor.Lux(ctx, bench.AtScreen)
		if d.Failed = err; err == nil {
			d.Lux = &read.Lux
		}
	}
}

func readings(ctx context.Context, m bench.Meter, known bench.Identity, times int, told func(int)) (*Readings, error) {
	var r Readings
	var ys, seconds []float64
	var sum [3]float64
	colour := true
	err := m.Read(ctx, bench.ReadRequest{Most: times}, func(s bench.Sample) error {
		s, err := bench.CheckSample(s, known)
		if err != nil {
			return err
		}
		ys, seconds = append(ys, s.Y), append(seconds, (s.Ended-s.Began).Seconds())
		r.Again += max(0, s.Tries-1)
		colour = colour && s.Colour
		sum[0], sum[1], sum[2] = sum[0]+s.X, sum[1]+s.Y, sum[2]+s.Z
		for _, f := range s.Flags {
			if !slices.Contains(r.Flags, f) {
				r.Flags = append(r.Flags, f)
			}
		}
		told(len(ys))
		return nil
	})
	if len(ys) == 0 {
		if err == nil {
			err = errors.New("the meter gave no reading")
		}
		return nil, err
	}
	slices.Sort(seconds)
	r.Count, r.Seconds = len(ys), seconds[len(seconds)/2]
	r.Mean = stat.Mean(ys, nil)
	if len(ys) > 1 {
		r.Noise = stat.StdDev(ys, nil)
	}
	if r.Mean > 0 {
		r.Percent = 100 * r.Noise / r.Mean
	}
	if all := sum[0] + sum[1] + sum[2]; colour && all > 0 && r.Mean > known.Floor {
		r.X, r.Y = sum[0]/all, sum[1]/all
	}
	return &r, err
}

// Wanted is a procedure and what it needs.
type Wanted struct {
	Name  string
	Needs bench.Needs
}

// Met says whether the bench meets what a procedure needs.
type Met struct {
	Procedure string   `json:"procedure"`
	Lacks     []string `json:"lacks"` // in words; empty for nothing
}

// Meets says of each procedure what the bench lacks for it.
func Meets(b *bench.Bench, all []Wanted) []Met {
	met := []Met{}
	for _, w := range all {
		lacks := b.Lacks(w.Needs)
		if lacks == nil {
			lacks = []string{}
		}
		met = append(met, Met{w.Name, lacks})
	}
	return met
}

// Line says a meter's readings in one line.
func (r *Readings) Line() string {
	places := 3
	if r.Noise > 0 {
		places = min(max(1-int(math.Floor(math.Log10(r.Noise))), 0), 6)
	}
	parts := []string{"mean " + decimals(r.Mean, places) + " cd/m2", "noise of a single reading " + decimals(r.Noise, places) + " cd/m2"}
	if r.Percent > 0 {
		parts[1] += " (" + significant(r.Percent, 2) + " %)"
	}
	if r.X > 0 {
		parts = append(parts, "x "+decimals(r.X, 4)+", y "+decimals(r.Y, 4))
	}
	parts = append(parts, significant(r.Seconds, 2)+" s a reading")
	return strings.Join(parts, ", ")
}
