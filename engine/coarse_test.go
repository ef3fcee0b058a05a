package engine_test

import (
	"context"
	"math"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// coarse is a simulated source that has few codes, as a video of limited range and Y'CbCr has not all: it shows the nearest, and says
// which, or keeps that to itself.
type coarse struct {
	bench.Driver
	silent bool
}

func (d coarse) Clock() bench.Clock { return d.Driver.(bench.Clocked).Clock() }

func (d coarse) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.Driver.Open(ctx, k, s)
	if p, ok := device.(bench.Patches); ok && k == bench.KindPatches {
		return coarsePatches{p, d.silent}, err
	}
	return device, err
}

type coarsePatches struct {
	bench.Patches
	silent bool
}

func (p coarsePatches) Paints(bench.Patch) error { return nil }

func (p coarsePatches) Show(ctx context.Context, q bench.Patch) (bench.Shown, error) {
	const codes = 47
	for i, v := range q.RGB {
		q.RGB[i] = math.Round(v*codes) / codes
	}
	q.Bits = 16
	s, err := p.Patches.Show(ctx, q)
	if !p.silent {
		s.RGB = &q.RGB
	}
	return s, err
}

// What is concluded is of the signals that were truly shown: a source that has not every code and says so gives the same tone and the
// same small differences of colour as one that has; one that keeps it to itself does not.
func TestTrulyShownCounts(t *testing.T) {
	value := func(name, id string, wrap func(bench.Driver) bench.Driver, set []string) float64 {
		s := simSpec(t, shipped(t, name), set...)
		s.Openers = bench.Openers{"sim": func() (bench.Driver, error) {
			d, err := simOpeners()["sim"]()
			return wrap(d), err
		}}
		v, there := ran(t, s, journal.Done).Results.ValueByID(id)
		if !there || v.Value == nil {
			t.Fatalf("%s has no %s", name, id)
		}
		return *v.Value
	}
	for _, c := range []struct {
		name, id string
		set      []string
		within   float64 // of the same without coarse codes
	}{
		{"tone-response", "gamma", []string{"steps=7", "precision=1", "bits=10"}, 0.01},
		{"chart", "average-delta-e2000-of-greys", []string{"colours=8", "precision=1"}, 0.05},
		{"hdr-tracking", "average-tracking-error", []string{"steps=8", "extra_steps=1", "levels=100", "precision=2"}, 0.4},
	} {
		fine := value(c.name, c.id, func(d bench.Driver) bench.Driver { return d }, c.set)
		told := value(c.name, c.id, func(d bench.Driver) bench.Driver { return coarse{d, false} }, c.set)
		silent := value(c.name, c.id, func(d bench.Driver) bench.Driver { return coarse{d, true} }, c.set)
		if math.Abs(told-fine) > c.within || math.Abs(silent-fine) < 2*c.within {
			t.Errorf("%s: %s is %v, with coarse codes %v, and %v where nobody says so", c.name, c.id, fine, told, silent)
		}
	}
}
