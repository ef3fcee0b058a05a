package colour

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// ErrMesh is the error for measured colours that do not make a closed surface.
var ErrMesh = errors.New("measured colours are no closed surface of the RGB cube")

// MeshPoint is a measured colour: the signal that was shown, and its place in a colour space.
type MeshPoint struct{ Signal, At [3]float64 }

// mostLevels bounds the levels of a measured mesh: 101 are 60 002 points.
const mostLevels = 101

// MeasuredVolume returns the volume within the measured colours of the surface of the RGB cube,
// in the space of their places, as [GamutVolume] does for a computed one.
//
// The levels are those that occur in the signals, from the lowest to the highest; they need not
// be even and count as one within 1e-6. Every combination of levels in which at least one channel is at the lowest or highest
// must be there once: 8 points for two levels, 26 for three, 6 n² - 12 n + 8 for n. Points
// within the cube are left out. The order does not matter.
//
// The error wraps [ErrMesh] and names the first signal that is missing, or that is there twice,
// or a place that is not finite.
//
// Source: the divergence theorem; [IDMS], 5.32 (number from memory), for the use.
func MeasuredVolume(points []MeshPoint) (float64, error) {
	levels, err := meshLevels(points)
	if err != nil {
		return 0, err
	}
	places := make(map[[3]int][3]float64, len(points))
	for _, p := range points {
		key := levelsOf(levels, p.Signal)
		if !onSurface(key, len(levels)) {
			continue
		}
		if _, twice := places[key]; twice {
			return 0, fmt.Errorf("%w: signal %v, %v, %v is there twice", ErrMesh, p.Signal[0], p.Signal[1], p.Signal[2])
		}
		places[key] = p.At
	}
	var missing error
	volume, err := surfaceVolume(levels, func(rgb [3]float64) [3]float64 {
		at, there := places[levelsOf(levels, rgb)]
		if !there && missing == nil {
			missing = fmt.Errorf("%w: signal %v, %v, %v is missing", ErrMesh, rgb[0], rgb[1], rgb[2])
		}
		return at
	})
	if missing != nil {
		return 0, missing
	}
	if err != nil {
		return 0, fmt.Errorf("%w: %w", ErrMesh, err)
	}
	return volume, nil
}

// sameLevel is within what two signals count as one level.
const sameLevel = 1e-6

// meshLevels lists the levels that occur in the signals, rising.
func meshLevels(points []MeshPoint) ([]float64, error) {
	var all []float64
	for i, p := range points {
		for _, v := range p.Signal {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("%w: the signal of point %d is not finite", ErrMesh, i+1)
			}
			all = append(all, v)
		}
	}
	slices.Sort(all)
	levels := slices.CompactFunc(all, func(a, b float64) bool { return math.Abs(b-a) <= sameLevel })
	if len(levels) < 2 || len(levels) > mostLevels {
		return nil, fmt.Errorf("%w: its signals have %d levels; it must have 2 to %d", ErrMesh, len(levels), mostLevels)
	}
	return levels, nil
}

// levelsOf returns the number of each channel's level, which is among them.
func levelsOf(levels []float64, signal [3]float64) (key [3]int) {
	for c, v := range signal {
		key[c], _ = slices.BinarySearch(levels, v-sameLevel)
	}
	return key
}

func onSurface(key [3]int, levels int) bool {
	for _, k := range key {
		if k == 0 || k == levels-1 {
			return true
		}
	}
	return false
}
