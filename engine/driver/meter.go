package driver

import (
	"context"
	"errors"
	"slices"
	"time"

	"candelua/engine/bench"
)

// meter is a meter over a line.
type meter struct {
	*line
	id    bench.Identity
	judge bench.Identity // what readings are judged by: with what the bench file states
	last  bench.Sample   // the one before
	alike int            // how many in a row have the same numbers
	count *float64       // the instrument's own number of the last reading
}

var (
	_ bench.Meter        = (*meter)(nil)
	_ bench.Zeroer       = (*meter)(nil)
	_ bench.Spectrometer = (*meter)(nil)
	_ bench.Partial      = (*meter)(nil)
)

// About implements [bench.Device].
func (m *meter) About() bench.Identity { return m.id }

// Lacks implements [bench.Partial].
func (m *meter) Lacks(ability string) bool { return ability == "Zeroer" && !m.card.Can(Dark) }

// ReadsSpectra implements [bench.Spectrometer].
func (m *meter) ReadsSpectra() bool { return m.card.Spectrum }

// Zero implements [bench.Zeroer].
func (m *meter) Zero(ctx context.Context) error {
	_, err := m.do(ctx, Dark, &Nothing{}, func() any { return &Nothing{} }, nil)
	return err
}

// Read implements [bench.Meter].
func (m *meter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	if q.Spectrum && !m.card.Spectrum {
		return bench.Errorf(bench.CodeUnsupported, "put a meter on the bench that reads spectra, or leave the spectrum out", "the %s reads no spectra", m.place)
	}
	for range q.Most {
		s, err := m.one(ctx, q)
		if err != nil {
			return err
		}
		if err := take(s); err != nil {
			if errors.Is(err, bench.Enough) {
				return nil
			}
			return err
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
	}
	return nil
}

// one takes one single reading, and judges it before it decides on another try.
func (m *meter) one(ctx context.Context, q bench.ReadRequest) (s bench.Sample, err error) {
	ask := &ReadOne{Spectrum: q.Spectrum, Sync: q.Sync && m.card.Sync, Expect: q.Expect}
	var got *One
	var began time.Duration
	tries, err := m.do(ctx, Read, ask, func() any {
		got, began = &One{}, m.clock().Now()
		return got
	}, func() (err error) {
		if s, err = m.sample(got, q, began, m.clock().Now()); err == nil {
			s, err = bench.CheckSample(s, m.judge)
		}
		return err
	})
	if err != nil {
		return bench.Sample{}, err
	}
	if tries > 1 {
		s.Tries = tries
	}
	m.count = got.Count
	return m.compare(s), nil
}

// darkest is the luminance, in cd/m², up to which an instrument may give x and y as 0, since it sees no
// light (common practice, no source).
const darkest = 1

// Flags are those that an instrument may give.
var Flags = []bench.Flag{bench.BelowFloor, bench.Saturated, bench.Underfilled, bench.Unsynchronised}

// sample makes a sample of what the instrument gave. The integration lies between request and
// answer or, where the instrument says how long it took, at the end of that.
func (m *meter) sample(got *One, q bench.ReadRequest, began, ended time.Duration) (bench.Sample, error) {
	s := bench.Sample{Began: began, Ended: ended}
	if got.Y == nil {
		return s, Garbled("", "the reading has no luminance Y")
	}
	s.Y = *got.Y
	got.fromUV()
	switch {
	case (got.U == nil) != (got.V == nil):
		return s, Garbled("", "the reading has only one of u and v")
	case got.X != nil && got.Z != nil:
		s.X, s.Z, s.Colour = *got.X, *got.Z, true
	case got.Cx != nil && got.Cy != nil && *got.Cy != 0:
		s.X, s.Z, s.Colour = s.Y**got.Cx / *got.Cy, s.Y*(1-*got.Cx-*got.Cy) / *got.Cy, true
	case got.X != nil || got.Z != nil:
		return s, Garbled("", "the reading has only one of X and Z")
	case (got.Cx == nil) != (got.Cy == nil):
		return s, Garbled("", "the reading has only one of x and y")
	case got.Cy != nil && s.Y > darkest: // y is 0
		return s, bench.Errorf(bench.CodeBadReading, "leave x and y out of what is read, if the instrument does not measure them", "chromaticity y is 0 at %g cd/m²; it must be above 0", s.Y)
	}
	if got.Count != nil && m.count != nil && *got.Count == *m.count {
		return s, bench.Errorf(bench.CodeBadReading, "", "the meter gave its reading number %g again", *got.Count)
	}
	if got.Seconds != nil && *got.Seconds >= 0 {
		s.Began = max(began, ended-time.Duration(*got.Seconds*float64(time.Second)))
	}
	for _, f := range got.Flags {
		if !slices.Contains(Flags, bench.Flag(f)) {
			return s, Garbled("", "the reading has the flag %q; it must be one of %v", f, Flags)
		}
		s.Flags = append(s.Flags, bench.Flag(f))
	}
	if q.Sync && !m.card.Sync {
		s.Flags = append(s.Flags, bench.Unsynchronised)
	}
	if got.Spectrum != nil {
		s.Spectrum = &bench.Spectrum{From: got.Spectrum.From, Step: got.Spectrum.Step, Values: got.Spectrum.Values}
	}
	if q.Spectrum && (s.Spectrum == nil || len(s.Spectrum.Values) == 0 || !(s.Spectrum.Step > 0)) {
		return s, Garbled("", "a spectrum was asked for, and the reading has none")
	}
	return s, nil
}

// fromUV gives x and y of u' and v', where these are given and those are not.
//
// Source: CIE 15:2018, 8.2.1, solved for x and y; from memory.
func (o *One) fromUV() {
	if o.U == nil || o.V == nil || o.Cx != nil || o.Cy != nil {
		return
	}
	d := 6**o.U - 16**o.V + 12
	o.Cx, o.Cy = new(9**o.U/d), new(4**o.V/d)
}

// manyAlike is from how many equal readings in a row on they are flagged. Chance does not give
// that, but a display of few digits does.
const manyAlike = 5

// compare flags a reading that has the same numbers as those before it. Dark ones may well be 0.
func (m *meter) compare(s bench.Sample) bench.Sample {
	if s.X == m.last.X && s.Y == m.last.Y && s.Z == m.last.Z && s.Y > m.judge.Floor {
		m.alike++
	} else {
		m.alike = 1
	}
	m.last = bench.Sample{X: s.X, Y: s.Y, Z: s.Z}
	if m.alike >= manyAlike {
		s.Flags = append(s.Flags, bench.Unvarying)
	}
	return s
}
