package screen

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"strings"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/paint"
)

// Name is the driver's name in a bench file.
const Name = "screen"

// Open opens a driver of the source; it is what a bench opens "screen" with.
func (s *Source) Open() (bench.Driver, error) { return &driver{source: s}, nil }

type driver struct {
	source *Source
	clock  bench.Clock
	device *device
	unit   *bench.UnitFile // nil where nobody describes the unit
}

// UseClock implements [bench.Timed].
func (d *driver) UseClock(c bench.Clock) { d.clock = c }

// Open serves the page, shows its address, and waits until the page is open on the unit.
func (d *driver) Open(ctx context.Context, kind bench.Kind, section bench.Section) (bench.Device, error) {
	if kind != bench.KindPatches {
		return nil, bench.Errorf(bench.CodeWrongDevice, "use it below [patches]", "the driver %q is a source of patches", Name)
	}
	o, err := readOptions(section)
	if err != nil {
		return nil, err
	}
	s := d.source
	if err := s.serve(o); err != nil {
		if fault.HintOf(err) != "" {
			return nil, bench.Errorf(bench.CodeBadFile, fault.HintOf(err), "%s: %w", section.Where(), err)
		}
		return nil, err
	}
	s.mu.Lock()
	s.use = &use{lapsed: make(chan struct{})}
	held := s.held
	s.mu.Unlock()
	if held == nil {
		if err := s.announce(o); err != nil {
			return nil, err
		}
	}
	t, err := s.ready(ctx, func(why string) { s.o.Say("Waiting: " + strings.TrimSuffix(why, ".") + ".") })
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	facts, first := t.facts(), *s.use.first
	s.mu.Unlock()
	s.o.Say(facts)
	if text := scaled(d.unit, &first); text != "" {
		s.o.Say(text)
	}
	d.device = &device{driver: d}
	d.device.avoid, err = zones(d.unit, &first)
	return d.device, err
}

// Close tells the page that the run is over, or stands still. The page stays, for the next bench.
func (d *driver) Close() error {
	s := d.source
	s.mu.Lock()
	t := s.held
	s.use = nil
	s.mu.Unlock()
	if t != nil && d.device != nil {
		s.say(context.Background(), t, said{Kind: "over"})
	}
	return nil
}

// device is the unit's screen.
type device struct {
	*driver
	avoid  []bench.Zone // parts of the screen that windows keep clear of
	stands *bench.Patch // what the page shows, nil for none
	number int          // of its picture
}

var (
	_ bench.Patches   = (*device)(nil)
	_ bench.Sequencer = (*device)(nil)
	_ bench.Returning = (*device)(nil)
	_ bench.Verifier  = (*device)(nil)
	_ bench.Painter   = (*device)(nil)
	_ bench.Delayed   = (*device)(nil)

	_ bench.Timed      = (*driver)(nil)
	_ bench.Acquainted = (*driver)(nil)
)

// Delayed implements [bench.Delayed]: the page knows when it painted, and not when the display showed it.
func (d *device) Delayed() bool { return true }

// Paints implements [bench.Painter].
func (d *device) Paints(p bench.Patch) error {
	_, _, err := d.lay(p)
	return err
}

// About implements [bench.Device]. The name has the size, so that a run is not resumed on another screen by mistake.
func (d *device) About() bench.Identity {
	s := d.source
	s.mu.Lock()
	defer s.mu.Unlock()
	first, about := s.use.first, s.use.about
	facts := bench.ScreenFacts{Width: first.Box[0], Height: first.Box[1], Ratio: first.Ratio, Gamut: about.Gamut, HighRange: about.High, Bits: about.Bits,
		Browser: about.Browser, Awake: first.Awake, FullScreen: first.Full, Secure: about.Secure, Painted: "frames"}
	if about.Timing {
		facts.Painted = "timing"
	}
	return bench.Identity{Name: fmt.Sprintf("the unit's screen of %d x %d pixels", first.Box[0], first.Box[1]), Driver: Name, Screen: &facts}
}

// lay lays a patch out, and says over which path it goes; it refuses what the page cannot show as it is meant.
func (d *device) lay(p bench.Patch) (paint.Picture, bench.Path, error) {
	d.source.mu.Lock()
	box, about := d.source.use.first.Box, d.source.use.about
	d.source.mu.Unlock()
	path, err := about.path(p)
	if err != nil {
		return paint.Picture{}, "", err
	}
	on := paint.Screen{Size: paint.Size{Width: box[0], Height: box[1]}, Bits: 8, Avoid: d.avoid}
	if path == bench.PathPageHDR {
		on.Bits = cmp.Or(p.Bits, hdrBits)
	}
	pic, err := paint.Of(p, on)
	return pic, path, err
}

// Show implements [bench.Patches].
func (d *device) Show(ctx context.Context, p bench.Patch) (bench.Shown, error) {
	if err := d.Paints(p); err != nil {
		return bench.Shown{}, err
	}
	s := d.source
	t, n, err := d.ask(1)
	if err != nil {
		return bench.Shown{}, err
	}
	d.stands = nil
	pic, m, err := d.picture(p, n)
	if err != nil {
		return bench.Shown{}, err
	}
	s.say(ctx, t, m)
	done, err := s.painted(ctx, t, n, s.within)
	if err != nil {
		return bench.Shown{}, err
	}
	if err := d.clock.WaitUntil(ctx, d.bench(done.at)+s.settle); err != nil {
		return bench.Shown{}, err
	}
	if err := d.Stood(ctx); err != nil {
		return bench.Shown{}, err
	}
	d.stands, d.number = &p, n
	return d.shown(p, pic, done, d.bench(done.at)), nil
}

// shown is the answer for a picture that was painted at a time of the bench.
func (d *device) shown(p bench.Patch, pic paint.Picture, done painted, at time.Duration) bench.Shown {
	settle := d.source.settle
	out := bench.Shown{Lit: at + settle, Area: pic.Area, Painted: true}
	d.source.mu.Lock()
	out.Path, _ = d.source.use.about.path(p) // it was shown, so there is one
	d.source.mu.Unlock()
	// The light changes at some time from painting to the end of settling: its distance from that end is a rectangle's.
	out.LitWithin = time.Duration(math.Hypot(float64(settle)/math.Sqrt(3), float64(done.u)))
	window := pic.Rects[len(pic.Rects)-1]
	if p.Pattern.Kind == bench.Window {
		out.Codes = window.Code[:]
	}
	if pic.RGB != p.RGB {
		out.RGB = &pic.RGB
	}
	if pic.Moved {
		out.At = &pic.At
	}
	return out
}

// bench is the bench's time of a time here.
func (d *device) bench(at time.Time) time.Duration { return d.clock.Now() - time.Since(at) }

// ask gives the page that is asked, and numbers for pictures.
func (d *device) ask(pictures int) (*talk, int, error) {
	s := d.source
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.use.up || s.held == nil {
		return nil, 0, gone(s.use.why)
	}
	n := s.number + 1
	s.number += pictures
	clear(s.held.painted)
	clear(s.stills)
	return s.held, n, nil
}

// painted waits for the page's answer to a picture.
func (s *Source) painted(ctx context.Context, t *talk, n int, within time.Duration) (painted, error) {
	late := time.NewTimer(within)
	defer late.Stop()
	for {
		s.mu.Lock()
		done, ok := t.painted[n]
		up, why, changed := s.use.up && s.held == t, s.use.why, s.changed
		s.mu.Unlock()
		switch {
		case !up:
			return done, gone(why)
		case ok:
			return done, nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return done, context.Cause(ctx)
		case <-late.C:
			s.mu.Lock()
			s.down("the page did not paint a picture in time")
			s.mu.Unlock()
			return done, gone("the page did not paint a picture in time")
		}
	}
}

// Sequence implements [bench.Sequencer]. The page times it, so that each patch stands for its hold to within a frame.
func (d *device) Sequence(ctx context.Context, list []bench.TimedPatch) ([]bench.Shown, error) {
	for i, q := range list {
		if err := d.Paints(q.Patch); err != nil {
			return nil, fmt.Errorf("patch %d: %w", i+1, err)
		}
	}
	s := d.source
	t, n, err := d.ask(len(list))
	if err != nil {
		return nil, err
	}
	d.stands = nil
	pics, all := make([]paint.Picture, len(list)), make([]picture, len(list))
	for i, q := range list {
		pic, m, err := d.picture(q.Patch, n+i)
		if err != nil {
			return nil, fmt.Errorf("patch %d: %w", i+1, err)
		}
		pics[i], all[i] = pic, picture{m.Rects, m.Still, q.Hold * 1000}
	}
	s.say(ctx, t, said{Kind: "sequence", Number: n, Pictures: all})
	var out []bench.Shown
	var first painted
	var began time.Duration
	for i, q := range list {
		more := s.within
		if i > 0 {
			more += time.Duration(list[i-1].Hold * float64(time.Second))
		}
		done, err := s.painted(ctx, t, n+i, more)
		if err != nil {
			return nil, err
		}
		if i == 0 {
			first, began = done, d.bench(done.at)
		}
		// The differences are those of the page's own clock.
		out = append(out, d.shown(q.Patch, pics[i], done, began+ms(done.page-first.page)))
	}
	last := list[len(list)-1]
	if err := d.clock.WaitUntil(ctx, out[len(out)-1].Lit+time.Duration(last.Hold*float64(time.Second))); err != nil {
		return nil, err
	}
	if err := d.Stood(ctx); err != nil {
		return nil, err
	}
	d.stands, d.number = &last.Patch, n+len(list)-1
	return out, nil
}

// Lapse implements [bench.Returning].
func (d *device) Lapse() <-chan struct{} {
	d.source.mu.Lock()
	defer d.source.mu.Unlock()
	return d.source.use.lapsed
}

// Stood implements [bench.Returning]: the page answers an echo that was sent now.
func (d *device) Stood(ctx context.Context) error {
	s := d.source
	s.mu.Lock()
	t, up, why := s.held, s.use.up, s.use.why
	s.mu.Unlock()
	if !up || t == nil {
		return gone(why)
	}
	id := s.ping(ctx, t)
	late := time.NewTimer(s.silence)
	defer late.Stop()
	for {
		s.mu.Lock()
		_, open := t.echoes[id]
		up, why, changed := s.use.up && s.held == t, s.use.why, s.changed
		s.mu.Unlock()
		switch {
		case !up:
			return gone(why)
		case !open:
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return context.Cause(ctx)
		case <-late.C:
			s.mu.Lock()
			s.down("the page does not answer; it may be frozen, or the network is cut")
			s.mu.Unlock()
		}
	}
}

// Return implements [bench.Returning].
func (d *device) Return(ctx context.Context) error {
	d.stands = nil
	_, err := d.source.ready(ctx, func(why string) { d.source.o.Say("Waiting: " + strings.TrimSuffix(why, ".") + ".") })
	if err == nil {
		d.source.o.Say("The page is back.")
	}
	return err
}

// Stands implements [bench.Verifier].
func (d *device) Stands(request any) bool {
	p, ok := request.(bench.Patch)
	if !ok || d.stands == nil || *d.stands != p {
		return false
	}
	d.source.mu.Lock()
	defer d.source.mu.Unlock()
	return d.source.use.up
}
