package player

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/testdata/campaign"
)

// Nothing here is a video: a player is simulated that plays the schedule, on a clock of its own, into a screen that a meter reads. The
// bench's time is simulated, too.

// timedScript shows patches one after the other, and reads each.
const timedScript = `return procedure {
  title = "Greys", purpose = "Reads greys.", needs = { meter = {}, patches = {} },
  on_resume = function(_, pause) if pause.seconds > 60 then patches.show { grey = 1 } clock.wait(30) end end,
  run = function()
    local t = record.table("Light", { { "patch" }, { "luminance", "cd/m2" } })
    for i, grey in ipairs { GREYS } do
      patches.show { grey = grey, window = 40 }
      t:add { patch = i, luminance = meter.read { after = WAIT, repeats = 3 }.Y }
    end
  end,
}`

// greys has neighbours that are alike, nearly alike, dark, and very different.
var greys = []float64{1, 0.5, 0.5, 0.52, 0, 0.02, 0.9, 0.1, 0.95, 0.3, 0.31, 0.8, 0, 1}

// playing is a player with its screen.
type playing struct {
	schedule *Schedule
	patches  []Entry
	now      time.Duration // bench time
	started  time.Duration // of the video; 0: not yet
	delay    time.Duration
	rate     float64       // seconds of the video in a second
	stalls   time.Duration // at this second of the video …
	stallsBy time.Duration // … it stands still for so long, or leaps ahead, where that is negative
	slow     time.Duration // of a reading
	stop     func()        // at the reading of this number
	stopAt   int
	taken    int
	said     []string
	random   *rand.Rand
}

func (p *playing) Show(_ context.Context, _ bench.Patch, what string) {
	p.said = append(p.said, what)
	if strings.Contains(what, "start the video") {
		p.started = p.now + p.delay
	}
}

func (p *playing) Done(_ context.Context, ask, _ string) error {
	p.said = append(p.said, ask)
	return nil
}

// second is where the video is.
func (p *playing) second(at time.Duration) float64 {
	if p.started == 0 || at < p.started {
		return -1
	}
	s := (at - p.started).Seconds() * p.rate
	if stall := p.stalls.Seconds(); p.stallsBy != 0 && s > stall {
		s = math.Max(s-p.stallsBy.Seconds(), stall)
	}
	return s
}

// light is that of the screen's middle, in cd/m².
func (p *playing) light(at time.Duration) float64 {
	s := p.second(at)
	if s < 0 {
		return 7 // a menu
	}
	edge := 0
	for i, units := range cueFields {
		edge += units * p.schedule.Unit
		if s < float64(edge) {
			return lightOfGrey(fieldGreys(bench.SDR)[i%2])
		}
	}
	for _, h := range p.schedule.Holds {
		if s < float64(h.To) {
			return lightOfGrey(p.patches[h.Number-1].Patch.RGB[0])
		}
	}
	return 0.02
}

// lightOfGrey is the simulated unit.
func lightOfGrey(v float64) float64 { return 0.02 + 300*math.Pow(v, 2.2) }

// reads is the meter.
type reads struct{ *playing }

func (reads) About() bench.Identity { return bench.Identity{Name: "Wren", Driver: "wren"} }

func (m reads) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	for range q.Most {
		if m.taken++; m.taken == m.stopAt {
			m.stop()
		}
		from := m.now
		m.now += m.slow
		sum := 0.0
		const parts = 40
		for i := range parts {
			sum += m.light(from+m.slow*time.Duration(2*i+1)/(2*parts)) / parts
		}
		y := sum*(1+0.002*m.random.NormFloat64()) + 0.002*m.random.NormFloat64()
		err := take(bench.Sample{Y: y, Began: from, Ended: m.now})
		if errors.Is(err, bench.Enough) {
			return nil
		}
		if err != nil || ctx.Err() != nil {
			return errors.Join(err, context.Cause(ctx))
		}
	}
	return nil
}

// wren is the driver of the meter.
type wren struct{ *playing }

func (w wren) Open(context.Context, bench.Kind, bench.Section) (bench.Device, error) {
	return reads(w), nil
}
func (wren) Close() error         { return nil }
func (w wren) Clock() bench.Clock { return clock(w) }

// clock is the bench's.
type clock struct{ *playing }

func (c clock) Now() time.Duration { return c.now }
func (c clock) Wall() time.Time    { return time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC).Add(c.now) }

func (c clock) WaitUntil(ctx context.Context, at time.Duration) error {
	c.now = max(c.now, at)
	return context.Cause(ctx)
}

// timedFolder writes a folder as candelua patches --timed does, but for the videos.
func timedFolder(t testing.TB, dir string, stays float64, o TimedOptions) *Index {
	t.Helper()
	var asked []Asked
	for _, g := range greys {
		p := white(40)
		p.RGB = [3]float64{g, g, g}
		asked = append(asked, Asked{Patch: p, Stays: stays})
	}
	asked = append(asked, Asked{Patch: white(100), Resumed: true})
	plan := planned(t, Layout{Form: Video, Width: 64, Height: 36}, asked)
	s, err := plan.schedule(o)
	if err != nil {
		t.Fatal(err)
	}
	s.Bytes = 1
	in := &Index{Kind: indexKind, Format: indexFormat, About: About{Procedure: "greys"}, Layout: plan.Layout, Patches: plan.Entries, Timed: s}
	for i := range in.Patches {
		in.Patches[i].Bytes = 1
	}
	for _, f := range in.files() {
		if err := os.WriteFile(filepath.Join(dir, f.name), []byte("x"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	text, err := json.Marshal(in)
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, indexFile), text, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// playedSpec is a run of the script with the player.
func playedSpec(t testing.TB, p *playing, folder, wait, out string) engine.Spec {
	t.Helper()
	text := fmt.Sprintf("name = \"Tern Street\"\n[meter]\ndriver = \"wren\"\n[patches]\ndriver = \"files\"\n[patches.options]\nfolder = %q\ntimed = true\n", folder)
	file, err := bench.ParseFile("bench.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	list := strings.Trim(strings.ReplaceAll(fmt.Sprint(greys), " ", ", "), "[]")
	script := strings.NewReplacer("GREYS", list, "WAIT", wait).Replace(timedScript)
	return engine.Spec{Setup: engine.Setup{Modules: builtins.Modules()}, Bench: file, Unit: bench.DefaultUnit(), Seed: 1, Out: out,
		Procedure: &procedure.Procedure{Name: "greys", File: "greys.lua", Source: []byte(script)},
		Openers:   bench.Openers{"wren": func() (bench.Driver, error) { return wren{p}, nil }, Name: Opener(p)}}
}

// played runs the script with a player.
func played(t *testing.T, p playing, wait string, o TimedOptions, then func(t *testing.T, p *playing, rep *engine.Report, err error, s engine.Spec)) {
	folder, out := t.TempDir(), t.TempDir()
	in := timedFolder(t, folder, 4, o)
	p.schedule, p.patches, p.now, p.random = in.Timed, in.Patches, time.Second, rand.New(rand.NewPCG(9, 10))
	s := playedSpec(t, &p, folder, wait, out)
	ctx, stop := context.WithCancelCause(t.Context())
	defer stop(nil)
	p.stop = func() { stop(play.ErrInterrupted) }
	rep, err := engine.Run(ctx, s)
	then(t, &p, rep, err, s)
}

// resumed goes on with a run.
func resumed(t *testing.T, rep *engine.Report, s engine.Spec) *engine.Report {
	t.Helper()
	rep, err := engine.Resume(t.Context(), rep.Path, engine.Resumption{Setup: s.Setup,
		Reopen: func(history.Head) (*bench.File, bench.Openers, error) { return s.Bench, s.Openers, nil }})
	if err != nil || rep.Err != nil || rep.Status != journal.Done {
		t.Fatal(err, rep.Err)
	}
	return rep
}

// A run that is interrupted at any of its readings goes on with the video from its beginning. After a long pause it warms up first, with a
// file that a person shows.
func TestInterruptedRunsGoOn(t *testing.T) {
	for _, long := range []bool{false, true} {
		for _, at := range campaign.Some(t, []int{2, 40, 75, 90, 100, 110, 123, 131, 150, 170, 200}, 3) {
			played(t, playing{rate: 1, slow: 300 * time.Millisecond, stopAt: at}, "1", TimedOptions{Field: 2}, func(t *testing.T, p *playing, rep *engine.Report, err error, s engine.Spec) {
				if err != nil || rep.Status != journal.Paused || !errors.Is(rep.Err, play.ErrInterrupted) {
					t.Fatal(err, rep.Status, rep.Err)
				}
				p.said, p.started = nil, 0
				kept := rep.Steps
				if long {
					p.now += time.Hour
				}
				rep = resumed(t, rep, s)
				ownLight(t, rep, len(greys))
				want := "start the video procedure.mp4"
				if long && kept > 0 {
					want = "Please show file 12 of 12, 012-sdr-full-1023-1023-1023.mp4"
				}
				if len(p.said) == 0 || !strings.Contains(p.said[0], want) || !strings.Contains(p.said[len(p.said)-1], "start the video") {
					t.Errorf("stopped at reading %d, after step %d: the person heard %q", at, kept, p.said)
				}
			})
		}
	}
}

// ownLight holds each reading against the light of its own patch.
func ownLight(t *testing.T, rep *engine.Report, n int) {
	t.Helper()
	if len(rep.Readings) != 3*n {
		t.Fatalf("%d single readings, want %d", len(rep.Readings), 3*n)
	}
	for i, r := range rep.Readings {
		want := lightOfGrey(math.Round(greys[i/3]*1023) / 1023)
		if math.Abs(r.Y-want) > 0.012*want+0.01 {
			t.Errorf("reading %d is %.4f cd/m², want %.4f of patch %d, grey %v", i+1, r.Y, want, i/3+1, greys[i/3])
		}
	}
}

// However late a player is started, however its clock differs, and however slow the meter is: each reading is of its own patch.
func TestReadingsFindTheirPatches(t *testing.T) {
	for name, p := range map[string]playing{
		"at once":              {rate: 1, slow: 300 * time.Millisecond},
		"a minute late":        {rate: 1, slow: 300 * time.Millisecond, delay: time.Minute},
		"0.1 % quick":          {rate: 1.001, slow: 400 * time.Millisecond, delay: 7 * time.Second},
		"0.1 % slow":           {rate: 0.999, slow: 400 * time.Millisecond, delay: 3300 * time.Millisecond},
		"readings of a second": {rate: 1.001, slow: time.Second, delay: 5 * time.Second},
		"readings of 20 ms":    {rate: 1, slow: 20 * time.Millisecond, delay: 5 * time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			played(t, p, "1", TimedOptions{Field: 2}, func(t *testing.T, p *playing, rep *engine.Report, err error, _ engine.Spec) {
				if err != nil || rep.Err != nil || rep.Status != journal.Done {
					t.Fatal(err, rep.Err)
				}
				ownLight(t, rep, len(greys))
				if len(p.said) != 1 || !strings.Contains(p.said[0], "start the video procedure.mp4 from its beginning") || !strings.Contains(p.said[0], "The next patch comes after 0:18 min") {
					t.Errorf("the person heard %q", p.said)
				}
			})
		})
	}
}

// A player that stalls or leaps, and a run that is slower than the video, pause the run; what may be wrong is set aside, and a run
// that is resumed comes to readings of their own patches.
func TestSlipsAreNoticed(t *testing.T) {
	for name, c := range map[string]struct {
		p     playing
		wait  string
		o     TimedOptions
		wants string
		heals bool
	}{
		"stalled for 3 s":       {playing{rate: 1, slow: 300 * time.Millisecond, stalls: 43 * time.Second, stallsBy: 3 * time.Second}, "1", TimedOptions{Field: 2}, "lost each other", true},
		"stalled for a minute":  {playing{rate: 1, slow: 300 * time.Millisecond, stalls: 43 * time.Second, stallsBy: time.Minute}, "1", TimedOptions{Field: 2}, "the light did not change when the patch should have come", true},
		"leapt 4 s ahead":       {playing{rate: 1, slow: 300 * time.Millisecond, stalls: 25 * time.Second, stallsBy: -4 * time.Second}, "1", TimedOptions{Field: 2}, "lost each other", true},
		"the run is slower":     {playing{rate: 1, slow: 300 * time.Millisecond}, "9.5", TimedOptions{Field: 2}, "the patch before was about to leave the screen, or had left it", false},
		"a player 2 % too slow": {playing{rate: 0.98, slow: 300 * time.Millisecond}, "1", TimedOptions{Field: 2, Hold: 60}, "the patch came 1.1 s late", false},
	} {
		t.Run(name, func(t *testing.T) {
			played(t, c.p, c.wait, c.o, func(t *testing.T, p *playing, rep *engine.Report, err error, s engine.Spec) {
				if err != nil || rep.Status != journal.Paused || rep.Err == nil || !strings.Contains(rep.Err.Error(), c.wants) {
					t.Fatalf("%v, %v, %v; want %q", err, rep.Status, rep.Err, c.wants)
				}
				if n := len(rep.Readings); n%3 != 0 {
					t.Fatalf("%d readings are kept", n)
				}
				ownLight(t, rep, len(rep.Readings)/3)
				if !c.heals {
					return
				}
				kept := len(rep.Readings)
				p.stallsBy = 0
				rep = resumed(t, rep, s)
				ownLight(t, rep, len(greys))
				if len(p.said) < 2 || kept == len(rep.Readings) {
					t.Errorf("the person heard %q", p.said)
				}
			})
		})
	}
}

// A meter that never sees the pattern is no reason to wait for ever.
func TestStartThatDoesNotCome(t *testing.T) {
	played(t, playing{rate: 1, slow: 500 * time.Millisecond, delay: 24 * time.Hour}, "1", TimedOptions{Field: 2}, func(t *testing.T, _ *playing, rep *engine.Report, err error, _ engine.Spec) {
		if err != nil || rep.Status != journal.Paused || !strings.Contains(rep.Err.Error(), "did not see the start of the video within 15:00 min") {
			t.Fatal(err, rep.Err)
		}
	})
}

// Over players, meters and mishaps that nobody chose: whatever reading is kept is of its own patch. Without a mishap the run comes to its end.
func TestKeptReadingsAreOfTheirPatches(t *testing.T) {
	r := rand.New(rand.NewPCG(11, uint64(time.Now().YearDay())))
	for range campaign.Of(t, 6, 150) {
		p := playing{rate: 1 + 0.001*(2*r.Float64()-1), slow: time.Duration(20+r.IntN(1000)) * time.Millisecond, delay: time.Duration(r.IntN(30_000)) * time.Millisecond}
		mishap := r.IntN(3) > 0
		if mishap {
			p.stalls, p.stallsBy = time.Duration(18_000+r.IntN(120_000))*time.Millisecond, time.Duration(r.IntN(24_000)-8000)*time.Millisecond
		}
		said := fmt.Sprintf("rate %.5f, readings of %v, start after %v, at %v stalled for %v", p.rate, p.slow, p.delay, p.stalls, p.stallsBy)
		played(t, p, fmt.Sprint(r.Float64()), TimedOptions{Field: 2}, func(t *testing.T, _ *playing, rep *engine.Report, err error, _ engine.Spec) {
			switch {
			case err != nil || rep.Status == journal.Failed || !mishap && rep.Err != nil:
				t.Errorf("%s: %v, %v", said, err, rep.Err)
			default:
				ownLight(t, rep, len(rep.Readings)/3)
				if t.Failed() {
					t.Fatal(said)
				}
			}
		})
	}
}

// A run that leaves out patches waits for its own, and says how long.
func TestLeftOutPatchesAreWaitedFor(t *testing.T) {
	folder := t.TempDir()
	in := timedFolder(t, folder, 4, TimedOptions{Field: 2})
	p := playing{rate: 1, slow: 300 * time.Millisecond, schedule: in.Timed, patches: in.Patches, now: time.Second, random: rand.New(rand.NewPCG(9, 10))}
	s := playedSpec(t, &p, folder, "1", t.TempDir())
	s.Procedure.Source = []byte(strings.Replace(string(s.Procedure.Source), "0.52, 0, 0.02,", "", 1))
	rep, err := engine.Run(t.Context(), s)
	if err != nil || rep.Err != nil {
		t.Fatal(err, rep.Err)
	}
	shown := []float64{1, 0.5, 0.5, 0.9, 0.1, 0.95, 0.3, 0.31, 0.8, 0, 1}
	for i, r := range rep.Readings {
		if want := lightOfGrey(math.Round(shown[i/3]*1023) / 1023); math.Abs(r.Y-want) > 0.012*want+0.01 {
			t.Errorf("reading %d is %.4f cd/m², want %.4f", i+1, r.Y, want)
		}
	}
	if len(p.said) != 2 || !strings.Contains(p.said[1], "The next patch comes in 0:3") {
		t.Errorf("the person heard %q", p.said)
	}
}
