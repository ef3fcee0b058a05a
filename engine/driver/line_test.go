package driver

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// flaky is an instrument whose nth answer goes wrong as stated. Each answer is the number of its
// question, so that an answer that is taken for another one's shows.
type flaky struct {
	faults     []string // by question; those beyond have none
	asked      int      // questions of all sessions
	opened     int
	closed     int
	resyncs    int
	deaf       bool // cannot be brought back in step
	refuse     bool // cannot be opened again
	slowResync time.Duration
	serials    []string
	other      func(v Verb, ask, answer any) error
}

func (f *flaky) connect(context.Context) (Session, Card, error) {
	if f.opened > 0 && f.refuse {
		return nil, Card{}, errors.New("no such file")
	}
	card := Card{Name: "Dunlin", Serial: "7", Verbs: []Verb{Read, Dark}}
	if f.opened < len(f.serials) {
		card.Serial = f.serials[f.opened]
	}
	f.opened++
	return &flakySession{f: f}, card, nil
}

type flakySession struct {
	f    *flaky
	late []float64 // answers that are under way
}

func (s *flakySession) Do(ctx context.Context, v Verb, ask, answer any) error {
	f := s.f
	f.asked++
	if f.other != nil {
		return f.other(v, ask, answer)
	}
	mine, kind := float64(f.asked), ""
	if f.asked <= len(f.faults) {
		kind = f.faults[f.asked-1]
	}
	s.late = append(s.late, mine)
	switch kind {
	case "silent":
		<-ctx.Done()
		s.late = s.late[:len(s.late)-1]
		return context.Cause(ctx)
	case "late": // the answer comes, but after this question has been given up
		<-ctx.Done()
		return context.Cause(ctx)
	case "lost":
		return Lost("broken pipe")
	case "garbled":
		s.late = s.late[:len(s.late)-1]
		return Garbled("", "what it answered is %q", "%%")
	case "refused":
		s.late = s.late[:len(s.late)-1]
		return Refused("no light")
	case "absurd":
		s.late = s.late[:len(s.late)-1]
		answer.(*One).Y = new(-500.0)
		return nil
	}
	time.Sleep(50 * time.Millisecond)
	y := s.late[0]
	s.late = s.late[1:]
	answer.(*One).Y = &y
	return nil
}

func (s *flakySession) Resync(context.Context) error {
	s.f.resyncs++
	time.Sleep(s.f.slowResync)
	if s.f.deaf {
		return ErrNoResync
	}
	s.late = nil
	return nil
}

func (s *flakySession) Close() error { s.f.closed++; return nil }

// openMeter opens the flaky instrument as a meter; section is the rest of what a bench file states.
func openMeter(t *testing.T, f *flaky, section bench.Section) bench.Meter {
	t.Helper()
	d, err := Opener("flaky", func(bench.Kind, bench.Section) (Connect, error) { return f.connect, nil }, nil)()
	if err != nil {
		t.Fatal(err)
	}
	device, err := d.Open(t.Context(), bench.KindMeter, section)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
		if f.opened != f.closed {
			t.Errorf("%d sessions were opened and %d closed", f.opened, f.closed)
		}
	})
	return device.(bench.Meter)
}

func read(ctx context.Context, m bench.Meter, most int) (all []bench.Sample, err error) {
	err = m.Read(ctx, bench.ReadRequest{Most: most}, func(s bench.Sample) error {
		all = append(all, s)
		return nil
	})
	return all, err
}

// TestNoStaleReading: whatever goes wrong in whatever order, a reading is the answer to the question that it is
// taken for, and none is lost that could be taken within the tries.
func TestNoStaleReading(t *testing.T) {
	kinds := []string{"", "", "silent", "late", "lost", "garbled", "refused", "absurd"}
	random := rand.New(rand.NewPCG(1, 2))
	for n := range 500 {
		faults := make([]string, 1+random.IntN(12))
		for i := range faults {
			faults[i] = kinds[random.IntN(len(kinds))]
		}
		deaf := n%2 == 0
		t.Run(fmt.Sprint(n, faults, deaf), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				f := &flaky{faults: faults, deaf: deaf}
				m := openMeter(t, f, bench.Section{Timeout: time.Second, Retries: new(12)})
				for range 6 {
					all, err := read(t.Context(), m, 1)
					if err != nil {
						t.Fatal(err)
					}
					if s := all[0]; s.Y != float64(f.asked) {
						t.Fatalf("question %d got the answer %g", f.asked, s.Y)
					}
				}
			})
		})
	}
}

// TestTries is what becomes of each failure that does not pass.
func TestTries(t *testing.T) {
	for _, c := range []struct {
		kind, code, says string
		took             time.Duration // at the most: three tries, and what lies between
	}{
		{"silent", bench.CodeTimeout, "the answer to read did not come within 1 s (tried 3 times)", 4 * time.Second},
		{"garbled", bench.CodeGarbled, `what it answered is "%%" (tried 3 times)`, time.Second},
		{"refused", bench.CodeInstrument, "the instrument reports: no light (tried 3 times)", time.Second},
		{"absurd", bench.CodeBadReading, "luminance is -500 cd/m²; it must be at least -1 cd/m² (tried 3 times)", time.Second},
		{"lost", bench.CodeGone, "the meter is no longer there: broken pipe", time.Second},
	} {
		t.Run(c.kind, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				f := &flaky{faults: slices.Repeat([]string{c.kind}, 3)}
				m := openMeter(t, f, bench.Section{Timeout: time.Second, Retries: new(2)})
				began := time.Now()
				_, err := read(t.Context(), m, 1)
				if err == nil || fault.CodeOf(err) != c.code || err.Error() != c.says {
					t.Errorf("the error is %q of code %q, want %q of code %q", err, fault.CodeOf(err), c.says, c.code)
				}
				if pauses := errors.Is(err, bench.ErrPaused); pauses != (c.code == bench.CodeGone) {
					t.Errorf("pauses the run: %v", pauses)
				}
				if took := time.Since(began); took > c.took {
					t.Errorf("it took %v", took)
				}
				if all, err := read(t.Context(), m, 1); err != nil || all[0].Y != 4 {
					t.Errorf("afterwards it reads %v, %v", all, err)
				}
			})
		})
	}
}

// TestAnother is an instrument that comes back as another one, and one that does not come back.
func TestAnother(t *testing.T) {
	for _, c := range []struct {
		f    flaky
		says string
	}{
		{flaky{serials: []string{"7", "8"}}, "the meter is no longer there: Dunlin 8 answers in the place of Dunlin 7"},
		{flaky{refuse: true}, "the meter is no longer there: it cannot be opened again: no such file"},
	} {
		synctest.Test(t, func(t *testing.T) {
			c.f.faults = []string{"lost"}
			m := openMeter(t, &c.f, bench.Section{})
			if _, err := read(t.Context(), m, 1); err == nil || err.Error() != c.says || !errors.Is(err, bench.ErrPaused) {
				t.Errorf("the error is %v, want %s", err, c.says)
			}
		})
	}
}

// TestStop: a stop takes the reading that is under way, and no other.
func TestStop(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &flaky{}
		m := openMeter(t, f, bench.Section{})
		ctx, cancel := context.WithCancelCause(t.Context())
		stop := errors.New("stopped")
		time.AfterFunc(70*time.Millisecond, func() { cancel(stop) })
		if all, err := read(ctx, m, 10); len(all) != 2 || err != stop {
			t.Errorf("it took %d readings and gave %v", len(all), err)
		}
	})
}

// TestTimes are the times of a reading, with and without the instrument's own integration time.
func TestTimes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &flaky{other: func(_ Verb, _, answer any) error {
			time.Sleep(2 * time.Second)
			*answer.(*One) = One{Y: new(100.0), Seconds: new(0.5)}
			return nil
		}}
		m := openMeter(t, f, bench.Section{})
		all, err := read(t.Context(), m, 1)
		if err != nil {
			t.Fatal(err)
		}
		if s := all[0]; s.Ended-s.Began != 500*time.Millisecond || s.Tries != 0 {
			t.Errorf("it read from %v to %v, in %d tries", s.Began, s.Ended, s.Tries)
		}
	})
}

// TestReadings are the readings that an instrument may give, and what becomes of them.
func TestReadings(t *testing.T) {
	for _, c := range []struct {
		name string
		gave One
		q    bench.ReadRequest
		says string // of an error
		want bench.Sample
	}{
		{"Y", One{Y: new(100.0)}, bench.ReadRequest{}, "", bench.Sample{Y: 100}},
		{"xy", One{Y: new(100.0), Cx: new(0.25), Cy: new(0.5)}, bench.ReadRequest{}, "", bench.Sample{X: 50, Y: 100, Z: 50, Colour: true}},
		{"u'v'", One{Y: new(100.0), U: new(4. / 19), V: new(9. / 19)}, bench.ReadRequest{}, "", bench.Sample{X: 100, Y: 100, Z: 100, Colour: true}}, // equal energy
		{"u alone", One{Y: new(1.0), U: new(0.2)}, bench.ReadRequest{}, "only one of u and v", bench.Sample{}},
		{"XYZ", One{X: new(90.0), Y: new(100.0), Z: new(110.0)}, bench.ReadRequest{}, "", bench.Sample{X: 90, Y: 100, Z: 110, Colour: true}},
		{"below zero", One{Y: new(-0.5)}, bench.ReadRequest{}, "", bench.Sample{Y: -0.5, Flags: []bench.Flag{bench.BelowFloor}}},
		{"none", One{}, bench.ReadRequest{}, "no luminance Y", bench.Sample{}},
		{"X alone", One{X: new(1.0), Y: new(1.0)}, bench.ReadRequest{}, "only one of X and Z", bench.Sample{}},
		{"x alone", One{Cx: new(1.0), Y: new(1.0)}, bench.ReadRequest{}, "only one of x and y", bench.Sample{}},
		{"impossible", One{Y: new(100.0), Cx: new(0.8), Cy: new(0.5)}, bench.ReadRequest{}, "chromaticity is x 0.8000, y 0.5000", bench.Sample{}},
		{"no chromaticity", One{Y: new(100.0), Cx: new(0.3), Cy: new(0.0)}, bench.ReadRequest{}, "chromaticity y is 0 at 100 cd/m²; it must be above 0", bench.Sample{}},
		{"smallest y", One{Y: new(100.0), Cx: new(0.3), Cy: new(5e-324)}, bench.ReadRequest{}, "X is +Inf; it must be a finite number", bench.Sample{}},
		{"dark", One{Y: new(0.0), Cx: new(0.0), Cy: new(0.0)}, bench.ReadRequest{}, "", bench.Sample{}},
		{"unknown flag", One{Y: new(100.0), Flags: []string{"blue"}}, bench.ReadRequest{}, `the reading has the flag "blue"; it must be one of [below_floor saturated underfilled unsynchronised]`, bench.Sample{}},
		{"no spectrum", One{Y: new(100.0)}, bench.ReadRequest{Spectrum: true}, "the meter reads no spectra", bench.Sample{}},
		{"sync", One{Y: new(100.0)}, bench.ReadRequest{Sync: true}, "", bench.Sample{Y: 100, Flags: []bench.Flag{bench.Unsynchronised}}},
		{"flag", One{Y: new(100.0), Flags: []string{"saturated"}}, bench.ReadRequest{}, "", bench.Sample{Y: 100, Flags: []bench.Flag{bench.Saturated}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				m := openMeter(t, &flaky{other: func(_ Verb, _, answer any) error { *answer.(*One) = c.gave; return nil }}, bench.Section{Retries: new(0)})
				c.q.Most = 1
				var got bench.Sample
				err := m.Read(t.Context(), c.q, func(s bench.Sample) error { got = s; return nil })
				if c.says != "" {
					if err == nil || !strings.Contains(err.Error(), c.says) {
						t.Errorf("the error is %v, want %s", err, c.says)
					}
					return
				}
				if err != nil || math.Abs(got.X-c.want.X) > 1e-9 || got.Y != c.want.Y || math.Abs(got.Z-c.want.Z) > 1e-9 || got.Colour != c.want.Colour || !slices.Equal(got.Flags, c.want.Flags) {
					t.Errorf("it reads %+v, %v", got, err)
				}
			})
		})
	}
}

// TestUnvarying: the fifth equal reading in a row is flagged and kept; dark ones are not.
func TestUnvarying(t *testing.T) {
	for _, c := range []struct {
		y    float64
		want int
	}{{100, 3}, {0, 0}} {
		synctest.Test(t, func(t *testing.T) {
			m := openMeter(t, &flaky{other: func(_ Verb, _, answer any) error { answer.(*One).Y = &c.y; return nil }}, bench.Section{})
			all, err := read(t.Context(), m, 7)
			flagged := 0
			for _, s := range all {
				if slices.Contains(s.Flags, bench.Unvarying) {
					flagged++
				}
			}
			if err != nil || len(all) != 7 || flagged != c.want {
				t.Errorf("of %d readings of %g, %d are flagged, want %d (%v)", len(all), c.y, flagged, c.want, err)
			}
		})
	}
}

// TestCount: a reading that has the number of the one before is an old one.
func TestCount(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		counts := []float64{1, 1, 1, 2, 3}
		n := 0
		m := openMeter(t, &flaky{other: func(_ Verb, _, answer any) error {
			*answer.(*One) = One{Y: new(100 * counts[n]), Count: new(counts[n])}
			n++
			return nil
		}}, bench.Section{})
		all, err := read(t.Context(), m, 3)
		if err != nil || len(all) != 3 || all[1].Y != 200 || all[1].Tries != 3 || all[2].Tries != 0 {
			t.Errorf("it reads %+v, %v", all, err)
		}
	})
}

// TestMisfits are instruments in places that they cannot fill.
func TestMisfits(t *testing.T) {
	open := func(k bench.Kind, card Card) error {
		d, _ := Opener("flaky", func(bench.Kind, bench.Section) (Connect, error) {
			return func(context.Context) (Session, Card, error) { return &flakySession{f: &flaky{}}, card, nil }, nil
		}, nil)()
		defer d.Close()
		_, err := d.Open(t.Context(), k, bench.Section{})
		return err
	}
	for _, c := range []struct {
		kind bench.Kind
		can  []Verb
		says string
	}{
		{bench.KindMeter, []Verb{Show}, `"Dunlin" cannot be the meter, because it can do none of: read`},
		{bench.KindRig, []Verb{Read}, `"Dunlin" cannot be the rig, because it can do none of: lamp, turn, place, lux`},
		{bench.KindOperator, nil, `the driver "flaky" cannot be the operator`},
		{bench.KindRig, []Verb{Lux}, ""},
	} {
		if err := open(c.kind, Card{Name: "Dunlin", Verbs: c.can}); fmt.Sprint(err) != c.says && !(err == nil && c.says == "") {
			t.Errorf("%s: the error is %v, want %s", c.kind, err, c.says)
		}
	}
}

// TestAbilities: a device has the abilities of its instrument, and no others.
func TestAbilities(t *testing.T) {
	d, _ := Opener("flaky", func(bench.Kind, bench.Section) (Connect, error) {
		return func(context.Context) (Session, Card, error) {
			return &flakySession{f: &flaky{}}, Card{Name: "Dunlin", Verbs: []Verb{Turn}}, nil
		}, nil
	}, nil)()
	defer d.Close()
	device, err := d.Open(t.Context(), bench.KindRig, bench.Section{})
	if err != nil {
		t.Fatal(err)
	}
	_, turns := bench.As[bench.Turner](device)
	_, places := bench.As[bench.Placer](device)
	_, reads := bench.As[bench.LightSensor](device)
	if !turns || places || reads {
		t.Errorf("turns %v, moves the meter %v, reads lux %v", turns, places, reads)
	}
}

// lamps is a rig of which one lamp never answers.
type lamps struct{ off []string }

func (l *lamps) Do(ctx context.Context, v Verb, ask, answer any) error {
	q := ask.(*SetLamp)
	if q.Lamp == "left" {
		<-ctx.Done()
		return context.Cause(ctx)
	}
	l.off = append(l.off, q.Lamp)
	return nil
}

func (l *lamps) Resync(context.Context) error { return nil }
func (l *lamps) Close() error                 { return nil }

// TestSafeShares: a lamp that does not answer does not keep the others up at a safe end.
func TestSafeShares(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &lamps{}
		connect := func(context.Context) (Session, Card, error) { return l, Card{Name: "Knot", Verbs: []Verb{Lamp}}, nil }
		d, err := Opener("flaky", func(bench.Kind, bench.Section) (Connect, error) { return connect, nil }, nil)()
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		device, err := d.Open(t.Context(), bench.KindRig, bench.Section{})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		defer cancel()
		began := time.Now()
		err = device.(bench.Safe).MakeSafe(ctx, []bench.LampRequest{{Lamp: "left", Level: 50}, {Lamp: "top", Level: 50}, {Lamp: "right", Level: 50}})
		if err == nil || !strings.Contains(err.Error(), `lamp "left": `) {
			t.Errorf("the error is %v", err)
		}
		if !slices.Equal(l.off, []string{"top", "right"}) || time.Since(began) > 5*time.Second {
			t.Errorf("turned off are %v, after %v", l.off, time.Since(began))
		}
	})
}

// TestTimesOfReopened: what it takes to get in step again is no part of a reading's time.
func TestTimesOfReopened(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &flaky{faults: []string{"lost"}}
		slow := func(ctx context.Context) (Session, Card, error) {
			time.Sleep(3 * time.Second)
			return f.connect(ctx)
		}
		d, err := Opener("flaky", func(bench.Kind, bench.Section) (Connect, error) { return slow, nil }, nil)()
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		device, err := d.Open(t.Context(), bench.KindMeter, bench.Section{})
		if err != nil {
			t.Fatal(err)
		}
		err = device.(bench.Meter).Read(t.Context(), bench.ReadRequest{Most: 1}, func(s bench.Sample) error {
			if took := s.Ended - s.Began; took != 50*time.Millisecond || s.Tries != 2 {
				t.Errorf("a reading takes %v, in %d tries", took, s.Tries)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	})
}

// TestTimesOfTheLastTry: a reading that was tried again began with the try that gave it, after the session was brought
// back in step.
func TestTimesOfTheLastTry(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &flaky{faults: []string{"silent"}, slowResync: 3 * time.Second}
		m := openMeter(t, f, bench.Section{Timeout: time.Second})
		all, err := read(t.Context(), m, 1)
		if err != nil {
			t.Fatal(err)
		}
		if s := all[0]; s.Ended-s.Began != 50*time.Millisecond || s.Began < 4*time.Second {
			t.Errorf("it read from %v to %v", s.Began, s.Ended)
		}
	})
}
