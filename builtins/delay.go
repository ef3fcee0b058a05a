package builtins

import (
	"context"
	"errors"
	"math"
	"time"

	"candelua/engine/bench"
	"candelua/engine/result"
	"candelua/engine/script"
)

// A source that only paints does not know when the display shows what it painted: a display may process its
// picture for half a second. The first step of a run that shows a patch of a signal measures the delay with the
// meter. The answer of that step keeps the readings, so that later steps, a resumed run and a replay know the delay from the journal.

// delayMeasured is what was seen, raw, in script time.
type delayMeasured struct {
	Changes []delayChange `json:"changes,omitempty"`
	// Assumed says that no meter could measure it: there is none, or a person reads it.
	Assumed bool `json:"assumed,omitempty"`
}

// delayChange is a change of the whole screen from one grey to another.
type delayChange struct {
	Painted  float64      `json:"painted"`
	Within   float64      `json:"within,omitempty"` // standard uncertainty of when
	Readings [][3]float64 `json:"readings"`         // each from, to, and luminance
}

// The greys of the changes. The lower one is not black: a meter may read that for many seconds.
const (
	delayDark   = 0.2
	delayBright = 0.7
)

// How the delay is measured (model of our own; that a display processes for up to half a second and more is common practice, no source).
const (
	delayChanges   = 4               // after the first grey
	delayLeast     = 2 * time.Second // how long each grey stands at least: far below any rate of flashes
	delayFirst     = 4 * time.Second // the first grey, so that what was shown before is gone: the longest delay that is found
	delayMost      = 8 * time.Second // and at most, until its light is steady
	delaySteady    = 0.05            // two readings in a row are steady within this share of the change
	delaySeen      = 0.3             // the greys' luminances differ by this share at least
	longestAssumed = 0.5             // s: where nothing can measure it, any delay up to this is equally likely
)

// delay is the time from painted to light, and its standard uncertainty, in s.
type delay struct{ seconds, within float64 }

// delayOf measures the delay for a patch of a source that does not know it, before the first patch of its signal
// is shown; nil where there is nothing to measure.
func delayOf(ctx context.Context, c *script.Call, p bench.Patch) (*delayMeasured, error) {
	s := sceneOf(c)
	if _, known := s.delays[p.Signal]; known || !bench.IsDelayed(c.Bench().Patches) || c.Host().Devices["patches"].Delay > 0 {
		return nil, nil
	}
	m, about := c.Bench().Meters["meter"], c.Host().Devices["meter"]
	if m == nil || about.ByHand {
		return &delayMeasured{Assumed: true}, nil
	}
	out := &delayMeasured{}
	before := math.NaN()
	for n := range 1 + delayChanges {
		change, level, err := changeTo(ctx, c, m, p, n, before)
		if err != nil {
			return nil, err
		}
		if n > 0 {
			out.Changes = append(out.Changes, change)
		}
		before = level
	}
	return out, nil
}

// changeTo shows grey number n over the whole screen, and reads until its light is steady.
func changeTo(ctx context.Context, c *script.Call, m bench.Meter, like bench.Patch, n int, before float64) (change delayChange, level float64, err error) {
	grey := delayDark
	if n%2 == 1 {
		grey = delayBright
	}
	p := bench.Patch{RGB: [3]float64{grey, grey, grey}, Window: 100, At: [2]float64{0.5, 0.5}, Signal: like.Signal, Bits: like.Bits, Metadata: like.Metadata}
	shown, err := c.Bench().Patches.Show(ctx, p)
	if err != nil {
		return change, 0, err
	}
	change = delayChange{Painted: c.Door().Time(shown.Lit), Within: shown.LitWithin.Seconds()}
	var last, ended float64
	err = m.Read(ctx, bench.ReadRequest{Most: mostDelayReadings}, func(raw bench.Sample) error {
		r, err := bench.CheckSample(raw, c.Host().Devices["meter"])
		if err != nil {
			return err
		}
		level, last, ended = r.Y, level, c.Door().Time(r.Ended)
		change.Readings = append(change.Readings, [3]float64{c.Door().Time(r.Began), ended, r.Y})
		stood := ended - change.Painted
		step, moved := level, true
		if !math.IsNaN(before) {
			step, moved = math.Abs(level-before), changed(before, level)
		}
		steady := len(change.Readings) > 2 && math.Abs(level-last) <= delaySteady*step
		least := delayLeast
		if math.IsNaN(before) {
			least = delayFirst
		}
		if stood >= least.Seconds() && steady && moved || stood >= delayMost.Seconds() && len(change.Readings) > 2 {
			return bench.Enough
		}
		return nil
	})
	if err == nil && !math.IsNaN(before) && !changed(before, level) {
		err = bench.Errorf(bench.CodePaused, "put the meter on the screen and look whether the unit shows what is painted, then resume; or state delay in the section [patches] of the bench file",
			"the meter sees no change of light (%.4g cd/m², then %.4g cd/m²) while the whole screen changes from grey %g to grey %g, so the delay from painted to light cannot be measured", before, level, delayDark+delayBright-grey, grey)
	}
	return change, level, err
}

// mostDelayReadings bounds the readings of one grey.
const mostDelayReadings = 400

// changed says whether two luminances are of two greys.
func changed(a, b float64) bool { return math.Abs(a-b) > delaySeen*max(math.Abs(a), math.Abs(b)) }

var errNoDelay = errors.New("the journal does not hold the readings from which the delay from painted to light was measured")

// delay is what the readings say. For each change from a level d to a level w, light is missing until
//
//	t = Σ (1 − (y_i − d)/(w − d))·(length of reading i)
//
// after painted, where a reading reaches half way to its neighbours. That needs no model of how quickly the light rises, and a
// slow rise counts with its middle. When in its time the meter really integrates is not known, so the uncertainty is at least that of
// a place anywhere in a reading.
//
// Source of the uncertainty: JCGM 100:2008, 4.2.3 (mean of repeated observations) and 4.3.7 (rectangular distribution).
func (m *delayMeasured) delay() (delay, error) {
	if m.Assumed {
		return delay{longestAssumed / 2, longestAssumed / math.Sqrt(12)}, nil
	}
	if len(m.Changes) < 2 {
		return delay{}, errNoDelay
	}
	var each []float64
	length, painted := 0.0, 0.0
	for i := range m.Changes {
		if len(m.Changes[i].Readings) < 2 {
			return delay{}, errNoDelay
		}
	}
	for i, change := range m.Changes {
		readings := change.Readings
		w := settledLevel(readings)
		d := readings[0][2] // of the first change nothing was read before
		if i > 0 {
			d = settledLevel(m.Changes[i-1].Readings)
		} else if len(m.Changes) > 1 {
			d = settledLevel(m.Changes[1].Readings)
		}
		each = append(each, darkFor(change.Painted, readings, d, w))
		length += (readings[0][1] - readings[0][0]) / float64(len(m.Changes))
		painted = max(painted, change.Within)
	}
	mean := meanFloat(each)
	scatter := sdFloat(each) / math.Sqrt(float64(len(each)))
	return delay{max(mean, 0), math.Sqrt(scatter*scatter + length*length/12 + painted*painted)}, nil
}

// settledLevel is the luminance at the end of a change.
func settledLevel(readings [][3]float64) float64 {
	n := len(readings)
	return (readings[n-1][2] + readings[n-2][2]) / 2
}

// darkFor is for how long after painted the light of a change was missing, in s.
func darkFor(painted float64, readings [][3]float64, d, w float64) (seconds float64) {
	from := painted
	for i, r := range readings {
		to := r[1]
		if i+1 < len(readings) {
			to = (r[1] + readings[i+1][0]) / 2
		}
		lit := min(max((r[2]-d)/(w-d), 0), 1)
		seconds += (1 - lit) * (to - from)
		from = to
	}
	return seconds
}

// learn takes the delay of a signal from a step's answer.
func (s *scene) learn(c *script.Call, p bench.Patch, m *delayMeasured) error {
	if m == nil {
		return nil
	}
	d, err := m.delay()
	if err != nil {
		return err
	}
	if s.delays == nil {
		s.delays = map[bench.Signal]delay{}
	}
	s.delays[p.Signal] = d
	if !m.Assumed || s.told[whyDelayAssumed] {
		return nil
	}
	s.told[whyDelayAssumed] = true
	return c.Results().Note(result.Note{Text: whyDelayAssumed, Where: c.Where()})
}

const whyDelayAssumed = "The delay from when a patch is painted to when the display shows it was not measured, because no meter reads by itself here. It is taken to be 0.25 s, " +
	"with a standard uncertainty of 0.14 s. State delay in the section [patches] of the bench file if you know it."

// lateBy adds to when a patch was painted by how much its light is later, where the source knows only the former. late is what
// was added, in s.
func (s *scene) lateBy(c *script.Call, p bench.Patch, w shownAnswer) (_ shownAnswer, late float64) {
	if !w.Painted {
		return w, 0
	}
	d := s.delays[p.Signal]
	if stated := c.Host().Devices["patches"].Delay; stated > 0 {
		d = delay{seconds: stated}
	}
	w.Lit, w.Within = w.Lit+d.seconds, math.Hypot(w.Within, d.within)
	return w, d.seconds
}
