package player

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"candelua/engine/bench"
	"candelua/engine/paint"
)

// timed is a video of a whole procedure that plays by itself. What is on the screen follows from when it was started.
type timed struct {
	files // for patches that are not in the video
	plays *Schedule
	found bool          // where the video is
	zero  time.Duration // bench time at which it began
	sure  time.Duration // bench time at which that was found out last
	last  int           // the hold that is on the screen; -1 before the first
	on    string        // the picture that Follow found on the screen
	lit   time.Duration // and since when
	litBy time.Duration // its standard uncertainty
	asked *bench.Patch  // the patch that Show left pending
}

var (
	_ bench.Patches      = (*timed)(nil)
	_ bench.Acknowledger = (*timed)(nil)
	_ bench.Cued         = (*timed)(nil)
)

// How a video is followed (model of our own).
const (
	waitForStart = 15 * time.Minute        // for the person to start it
	tellOf       = 20 * time.Second        // a wait that the person is told of, where the run leaves out patches of the video
	drift        = 0.002                   // how much quicker or slower than the schedule a player is taken to be at most
	slack        = 700 * time.Millisecond  // by how much a change may come off its time besides
	lookAhead    = 1500 * time.Millisecond // how long before its time a change is looked for
	lookAfter    = 1500 * time.Millisecond // and how long after it was due the new light is read
	seenRatio    = 1.3                     // the light before and after a change that is looked for
	seenLight    = 0.01                    // share of white, or of 200 cd/m², that one of the two has at least
	stepFits     = 0.9                     // share of the variance of the readings that a change must explain
)

// until is how far from its time a change may come.
func (t *timed) until(now time.Duration) time.Duration {
	return slack + time.Duration(drift*float64(max(now-t.sure, 0)))
}

func (t *timed) at(second int) time.Duration { return t.zero + time.Duration(second)*time.Second }

// Follow is described at [bench.Cued].
func (t *timed) Follow(ctx context.Context, p *bench.Patch, read func(context.Context) (bench.Sample, error)) (sure bool, err error) {
	if p == nil {
		if p = t.asked; p == nil {
			return false, nil
		}
	}
	e, there := t.index.find(*p)
	if !there || !t.plays.has(e.Number, -1) {
		t.found = false // a person shows another file, or Show says that there is none
		return false, nil
	}
	started := !t.found
	if started {
		if err := t.start(ctx, e, *p, read); err != nil {
			return false, err
		}
	}
	next := t.plays.next(e.Number, t.last)
	if next < 0 {
		return false, t.slipped("the video has no more patch like this one: %s", e.Shows)
	}
	if err := t.inTime(next); err != nil {
		return false, err
	}
	if wait := t.at(t.plays.Holds[next].From) - t.driver.clock.Now(); !started && next > t.last+1 && wait > tellOf {
		t.driver.person.Show(ctx, *p, fmt.Sprintf("The next patch comes in %s.", minutes(wait.Seconds())))
	}
	if sure, err = t.await(ctx, next, read); err != nil {
		return false, err
	}
	t.last, t.on = next, e.Key
	return sure || started, nil
}

// has says whether a file's picture is in the schedule behind a hold.
func (s *Schedule) has(number, after int) bool { return s.next(number, after) >= 0 }

// next is the first hold of a file's picture behind another; -1 for none.
func (s *Schedule) next(number, after int) int {
	for i := after + 1; i < len(s.Holds); i++ {
		if s.Holds[i].Number == number {
			return i
		}
	}
	return -1
}

func (t *timed) slipped(format string, args ...any) error {
	t.found = false
	return bench.Errorf(bench.CodeSlipped, "resume the run, and start the video from its beginning when you are asked to; if the run was too slow for it, make the video again with a longer --hold",
		"the video and the run have lost each other: "+format, args...)
}

// start has the person start the video, and finds its start by the pattern.
func (t *timed) start(ctx context.Context, e Entry, p bench.Patch, read func(context.Context) (bench.Sample, error)) error {
	t.last, t.on = -1, ""
	first := t.plays.Holds[t.plays.next(e.Number, -1)]
	t.driver.person.Show(ctx, p, fmt.Sprintf("Please put the meter on the middle of the screen and start the video %s from its beginning. The meter recognises its start. The next patch comes after %s.",
		t.plays.File, minutes(float64(first.From))))
	var all []seen
	for began := t.driver.clock.Now(); ; {
		s, err := read(ctx)
		if err != nil {
			return err
		}
		all = append(all, seenOf(s))
		if f, found := findCue(t.plays.Unit, all); found {
			t.found, t.zero, t.sure, t.litBy = true, duration(f.start), t.driver.clock.Now(), duration(f.within)
			return nil
		}
		for len(all) > 0 && all[len(all)-1].to-all[0].from > 2*float64(cueUnits*t.plays.Unit) {
			all = all[1:]
		}
		if t.driver.clock.Now()-began > waitForStart {
			return bench.Errorf(bench.CodePaused, "put the meter on the middle of the screen, resume the run, and start the video from its beginning; a meter whose readings take longer than a second needs a longer --field",
				"the meter did not see the start of the video within %s", minutes(waitForStart.Seconds()))
		}
	}
}

// inTime fails where a patch, or the one before it, is over.
func (t *timed) inTime(next int) error {
	now, hold := t.driver.clock.Now(), t.plays.Holds[next]
	if t.last >= 0 {
		if left := t.at(t.plays.Holds[t.last].To) - t.until(now); now > left {
			return t.slipped("the patch before was about to leave the screen, or had left it, %.1f s before the run asked for the next one; its readings may be of another", (now - left).Seconds())
		}
	}
	if over := t.at(hold.To) - t.until(now); now > over {
		return t.slipped("the patch that was asked for is over")
	}
	return nil
}

// await waits for the light of a patch to come. Where it differs clearly from the light before, the change must come in its time;
// it then says anew, and for sure, where the video is, so that a player whose clock differs is followed.
func (t *timed) await(ctx context.Context, next int, read func(context.Context) (bench.Sample, error)) (sure bool, err error) {
	due := t.at(t.plays.Holds[next].From)
	now := t.driver.clock.Now()
	rises, visible := t.change(next)
	if !visible || now > due-lookAhead/2 {
		t.lit = max(due, now)
		t.litBy = duration(t.until(due).Seconds() / math.Sqrt(3)) // anywhere within, JCGM 100:2008, 4.3.7
		return false, t.driver.clock.WaitUntil(ctx, due+t.until(due))
	}
	if err := t.driver.clock.WaitUntil(ctx, due-lookAhead-t.until(due)); err != nil {
		return false, err
	}
	var all []seen
	for {
		s, err := read(ctx)
		if err != nil {
			return false, err
		}
		all = append(all, seenOf(s))
		if s.Ended > due+t.until(due)+lookAfter {
			break
		}
	}
	f := fit(steps{0}, all, (due-t.until(due)).Seconds()-longest(all), (due+t.until(due)).Seconds()+longest(all))
	off := duration(f.start) - due
	switch {
	case f.explained < stepFits || rises != (f.high > f.low) || math.Max(f.high, f.low) < (1+(seenRatio-1)/2)*math.Max(math.Min(f.high, f.low), 0):
		return false, t.slipped("the light did not change when the patch should have come (%.4g cd/m² before, %.4g cd/m² after)", f.low, f.high)
	case off.Abs() > t.until(due):
		return false, t.slipped("the patch came %.1f s %s", off.Abs().Seconds(), map[bool]string{true: "late", false: "early"}[off > 0])
	}
	t.zero, t.sure = t.zero+off, t.driver.clock.Now()
	t.lit, t.litBy = duration(f.start), duration(f.within)
	return true, nil
}

// change says whether the light of a hold is more than that of the hold before, and whether a meter that stays where it is sees a difference for sure.
func (t *timed) change(next int) (rises, visible bool) {
	e := t.index.Patches[t.plays.Holds[next].Number-1]
	after := t.lightAt(e.Patch, e.At)
	before := 0.0
	if next == 0 {
		before = t.lightAt(field(e.Patch, false), e.At)
	} else {
		was := t.index.Patches[t.plays.Holds[next-1].Number-1]
		if was.At != e.At {
			return false, false // the meter may be on its way
		}
		before = t.lightAt(was.Patch, e.At)
	}
	low, high := min(before, after), max(before, after)
	return after > before, high > seenRatio*low && high >= seenLight
}

// lightAt is about how much light a patch has at a place: a share of white, or of 200 cd/m². It is for telling patches apart.
func (t *timed) lightAt(p bench.Patch, at [2]float64) float64 {
	pic, err := t.index.Layout.picture(p)
	if err != nil {
		return 0
	}
	return lightOf(p.Signal, codeAt(pic, at))
}

// codeAt is the signal at a place of a picture.
func codeAt(pic paint.Picture, at [2]float64) (rgb [3]float64) {
	x, y := int(at[0]*float64(pic.Size.Width)), int(at[1]*float64(pic.Size.Height))
	for _, r := range slices.Backward(pic.Rects) {
		if x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H {
			for i, c := range r.Code {
				rgb[i] = float64(c) / float64(int(1)<<pic.Bits-1)
			}
			return rgb
		}
	}
	return rgb
}

// Show answers for a patch that Follow found on the screen. One that it did not, since the run goes on after a pause, stays pending. A
// patch that is not in the video is shown by the person.
func (t *timed) Show(ctx context.Context, p bench.Patch) (bench.Shown, error) {
	if ctx.Err() != nil {
		return bench.Shown{}, context.Cause(ctx)
	}
	e, there := t.index.find(p)
	if !there || !t.plays.has(e.Number, -1) {
		t.on = ""
		return t.files.Show(ctx, p)
	}
	t.files.asked = ""
	shown := e.shown()
	if t.on == e.Key {
		t.asked = nil
		shown.Lit, shown.LitWithin = t.lit, t.litBy
		return shown, nil
	}
	t.asked = &p
	shown.Lit, shown.LitWithin, shown.Pending = t.driver.clock.Now(), handWithin, true
	return shown, nil
}

// Acknowledge returns when the pending patch is on the screen.
func (t *timed) Acknowledge(ctx context.Context) (time.Duration, error) {
	if t.asked == nil {
		return t.files.Acknowledge(ctx)
	}
	t.asked = nil
	return t.lit, nil
}

// again forgets where the video is: the script is executed again from its start.
func (t *timed) again() { t.found, t.on, t.asked = false, "", nil }
