package screen

import (
	"cmp"
	"context"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/procedure"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

const benchFile = `name = "Tern Street"
[meter]
driver = "eye"
[patches]
driver = "screen"
delay = "1ms"
[unit]
driver = "eye"
`

const stairs = `return procedure {
  title = "Stairs", purpose = "Luminance of greys.", needs = { meter = {}, patches = { sequence = true } },
  run = function()
    local t = record.table("Greys", { { "code" }, { "luminance", "cd/m2" } })
    for code = 0, 255, 51 do
      patches.show { code = code, bits = 8, window = 10 }
      t:add { code = code, luminance = meter.read { repeats = 2 }.Y }
    end
    for _, s in ipairs(patches.sequence { { grey = 1, hold = 0.05 }, { grey = 0, hold = 0.05 } }) do t:add { code = 255, luminance = s.area } end
  end,
}`

// rig is a run on a bench whose unit is a page.
type rig struct {
	source *Source
	eye    *eye
	warned []string
	mu     sync.Mutex
	ctx    context.Context
	bench  string // the bench file, if not the usual
}

func (r *rig) warnings() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return strings.Join(r.warned, "\n")
}

// run executes a script, and gives its results as they are kept, and its folder.
func (r *rig) run(t testing.TB, script string, set ...string) (results string, folder string, rep *engine.Report) {
	t.Helper()
	dir := t.TempDir()
	name := script
	if strings.Contains(script, "\n") {
		name = filepath.Join(dir, "stairs.lua")
		if err := os.WriteFile(name, []byte(script), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p, err := procedure.Find(name, scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	file, err := bench.ParseFile("bench.toml", []byte(cmp.Or(r.bench, benchFile)))
	if err != nil {
		t.Fatal(err)
	}
	if r.ctx == nil {
		r.ctx = t.Context()
	}
	ctx, cancel := context.WithTimeout(r.ctx, 2*time.Minute)
	defer cancel()
	rep, err = engine.Run(ctx, engine.Spec{
		Setup: engine.Setup{Version: "test", Modules: builtins.Modules(), Warn: func(text string) {
			r.mu.Lock()
			defer r.mu.Unlock()
			r.warned = append(r.warned, text)
		}},
		Procedure: p, Set: set, Bench: file, Unit: bench.DefaultUnit(), Seed: 1, Out: filepath.Join(dir, "runs"),
		Openers: bench.Openers{"eye": func() (bench.Driver, error) { return r.eye, nil }, "screen": r.source.Open},
	})
	if err != nil {
		t.Fatal(err)
	}
	if rep.Err == nil {
		text, err := os.ReadFile(filepath.Join(rep.Path, "results.json"))
		if err != nil {
			t.Fatal(err)
		}
		results = string(text)
	}
	return results, rep.Path, rep
}

// withFake is a rig whose unit is a fake page.
func withFake(t *testing.T, o Options) (*rig, *fakePage) {
	t.Helper()
	s := quick(o)
	t.Cleanup(func() { s.Close() })
	opts, _ := readOptions(bench.Section{})
	if err := s.serve(opts); err != nil {
		t.Fatal(err)
	}
	f := newFake(s.server.URL()).open(t)
	return &rig{source: s, eye: &eye{code: func() int { return f.code(200, 150) }}}, f
}

// Whatever happens to the page at whatever reading, no wrong reading is taken, the run waits until that is put right,
// and its results are those of a run to which nothing happened.
func TestNoWrongReadingWhateverHappens(t *testing.T) {
	r, _ := withFake(t, Options{})
	want, _, _ := r.run(t, stairs)
	if want == "" || strings.Contains(want, "7777") || r.warnings() != "" {
		t.Fatalf("a run to which nothing happens: %s\n%s", r.warnings(), want)
	}
	later := func(d time.Duration, do func()) { go func() { time.Sleep(d); do() }() }
	const away = 60 * time.Millisecond
	change := func(what string, do, undo func(*state)) func(*testing.T, *fakePage) {
		return func(_ *testing.T, f *fakePage) {
			f.happen(what, do)
			later(away, func() { f.happen(what, undo) })
		}
	}
	all := map[string]struct {
		happens func(*testing.T, *fakePage)
		said    string // in the warning
	}{
		"hidden":           {change("hidden", func(s *state) { s.Visible = false }, func(s *state) { s.Visible = true }), "page is hidden"},
		"resized":          {change("resized", func(s *state) { s.Box = [2]int{200, 300} }, func(s *state) { s.Box = [2]int{400, 300} }), "200 x 300"},
		"rotated":          {change("rotated", func(s *state) { s.Box = [2]int{300, 400}; s.Screen = [2]float64{300, 400} }, func(s *state) { s.Box = [2]int{400, 300}; s.Screen = [2]float64{400, 300} }), "must have 400 x 300"},
		"zoomed":           {change("changed", func(s *state) { s.Ratio = 1.1; s.CSS = [2]float64{364, 273} }, func(s *state) { s.Ratio = 1; s.CSS = [2]float64{400, 300} }), "zoomed to 110 %"},
		"pinched":          {change("changed", func(s *state) { s.Scale = 1.3 }, func(s *state) { s.Scale = 1 }), "enlarged 1.3 times"},
		"dark mode":        {change("changed", func(s *state) { s.Dark = true }, func(s *state) { s.Dark = false }), "darkens pages"},
		"forced":           {change("changed", func(s *state) { s.Forced = true }, func(s *state) { s.Forced = false }), "forces its own colours"},
		"inverted":         {change("changed", func(s *state) { s.Inverted = true }, func(s *state) { s.Inverted = false }), "inverts colours"},
		"a moment":         {func(_ *testing.T, f *fakePage) { f.happen("hidden", func(*state) {}) }, "the page was hidden"},
		"stood still":      {func(_ *testing.T, f *fakePage) { f.happen("stood still", func(*state) {}) }, "stood still"},
		"left full screen": {change("full screen", func(s *state) { s.Full, s.Box = false, [2]int{400, 260} }, func(s *state) { s.Full, s.Box = true, [2]int{400, 300} }), "full screen"},
		"frozen": {func(_ *testing.T, f *fakePage) {
			f.freeze(true)
			f.mu.Lock()
			f.rects = nil // and its picture with it
			f.mu.Unlock()
			later(200*time.Millisecond, func() { f.freeze(false); f.happen("stood still", func(*state) {}) })
		}, "does not answer"},
		"frozen for long": {func(t *testing.T, f *fakePage) {
			f.freeze(true)
			f.mu.Lock()
			f.rects = nil
			f.mu.Unlock()
			later(700*time.Millisecond, func() { f.freeze(false); <-f.gone(); f.open(t) })
		}, "does not answer"},
		"closed":   {func(t *testing.T, f *fakePage) { f.close(); later(away, func() { f.open(t) }) }, "closed, or its connection was cut"},
		"reloaded": {func(t *testing.T, f *fakePage) { f.close(); f.open(t) }, ""},
		"loaded twice": {func(t *testing.T, f *fakePage) {
			f.mu.Lock()
			f.rects, f.is.Painted = nil, 0
			f.mu.Unlock()
			f.open(t) // while its former connection still stands
		}, "another page took its place"},
	}
	for _, what := range campaign.Some(t, slices.Sorted(maps.Keys(all)), 5) {
		c := all[what]
		t.Run(what, func(t *testing.T) {
			for _, at := range campaign.Some(t, []int{1, 6, 12}, 1) {
				r, f := withFake(t, Options{})
				happened := false
				r.eye.before = func(n int) {
					if n == at && !happened {
						happened = true
						c.happens(t, f)
					}
				}
				got, folder, rep := r.run(t, stairs)
				if rep.Err != nil || got != want {
					t.Errorf("at reading %d: %v, results are\n%s\nthey should be\n%s", at, rep.Err, got, want)
				}
				if w := r.warnings(); !strings.Contains(w, c.said) || !strings.Contains(w, "the run is paused") {
					t.Errorf("at reading %d: warned %q, which should say %q", at, w, c.said)
				}
				journal, _ := os.ReadFile(filepath.Join(folder, "journal.jsonl"))
				if !strings.Contains(string(journal), `"pause"`) || !strings.Contains(string(journal), `"resume"`) {
					t.Errorf("at reading %d: the journal has no pause", at)
				}
			}
		})
	}
}

// Without the confirmation after each reading a page that froze a moment ago would be read: the test above must be able to
// fail. This is its meter alone.
func TestFrozenPageIsSeenWrong(t *testing.T) {
	r, f := withFake(t, Options{})
	f.freeze(true)
	f.mu.Lock()
	f.rects = nil
	f.mu.Unlock()
	if code := r.eye.code(); code != -1 {
		t.Errorf("the meter sees code %d", code)
	}
}

func TestTakenOver(t *testing.T) {
	for _, takes := range []bool{false, true} {
		r, f := withFake(t, Options{Take: takes})
		other := newFake(f.url)
		other.key = "another page"
		r.eye.code = func() int { return max(f.code(200, 150), other.code(200, 150)) }
		r.eye.before = func(n int) {
			if n == 5 {
				other.open(t)
				if !takes {
					<-other.gone()
				}
			}
		}
		got, _, rep := r.run(t, stairs)
		if rep.Err != nil || strings.Contains(got, "7777") {
			t.Errorf("take %v: %v\n%s", takes, rep.Err, got)
		}
		refused := other.hasHeard(func(m said) bool { return m.Kind == "refused" && strings.Contains(m.Text, "--take") })
		replaced := f.hasHeard(func(m said) bool { return m.Kind == "replaced" })
		if refused == takes || replaced != takes || takes != strings.Contains(r.warnings(), "another page took its place") {
			t.Errorf("take %v: the other page was refused: %v, the first replaced: %v, warned %q", takes, refused, replaced, r.warnings())
		}
	}
}

// A page that answers before it has painted is read wrongly, and no engine can know: this is what the campaign with real
// browsers looks for, and a test of that campaign's meter.
func TestEarlyAnswerIsReadWrong(t *testing.T) {
	r, f := withFake(t, Options{})
	f.answers(true, 100*time.Millisecond)
	got, _, _ := r.run(t, stairs)
	r, f = withFake(t, Options{})
	f.answers(false, 100*time.Millisecond)
	want, _, rep := r.run(t, stairs)
	if got == want {
		t.Error("a page that answers early gave the results of one that does not")
	}
	if rep.Err != nil || strings.Contains(want, "7777") {
		t.Errorf("a slow page: %v\n%s", rep.Err, want)
	}
}

// What the page says of the unit is kept with the run.
func TestFactsAreKept(t *testing.T) {
	var told []string
	r, _ := withFake(t, Options{Say: func(text string) { told = append(told, text) }})
	_, folder, _ := r.run(t, stairs)
	text, err := os.ReadFile(filepath.Join(folder, "run.json"))
	if err != nil {
		t.Fatal(err)
	}
	var meta struct {
		Devices []bench.Named `json:"devices"`
	}
	if err := json.Unmarshal(text, &meta); err != nil {
		t.Fatal(err)
	}
	facts := bench.Identities(meta.Devices)["patches"].Screen
	want := bench.ScreenFacts{Width: 400, Height: 300, Ratio: 1, Gamut: "p3", Bits: 8, Browser: "a page of a test", FullScreen: true, Awake: "wake lock", Painted: "frames"}
	if facts == nil || *facts != want {
		t.Errorf("run.json has %+v, want %+v", facts, want)
	}
	if !strings.Contains(strings.Join(told, "\n"), "screen = { width = 400, height = 300 }") {
		t.Errorf("told %q", told)
	}
}

// Whoever waits for a page that never comes can end that.
func TestWaitEnds(t *testing.T) {
	s := quick(Options{})
	defer s.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	d := &driver{source: s, clock: bench.NewRealClock()}
	if _, err := d.Open(ctx, bench.KindPatches, bench.Section{}); err != context.DeadlineExceeded {
		t.Errorf("it ended with %v", err)
	}
}

// The person at the terminal is told what to do about a page, and when it is done.
func TestPersonIsTold(t *testing.T) {
	var mu sync.Mutex
	var all []string
	said := func() string {
		mu.Lock()
		defer mu.Unlock()
		return strings.Join(all, "\n")
	}
	r, f := withFake(t, Options{Say: func(text string) {
		mu.Lock()
		defer mu.Unlock()
		all = append(all, text)
	}})
	r.eye.before = func(n int) {
		if n != 5 {
			return
		}
		f.happen("full screen", func(s *state) { s.Full, s.Begun, s.Box = false, false, [2]int{400, 260} })
		go func() {
			for until := time.Now().Add(5 * time.Second); !strings.Contains(said(), "touch Begin") && time.Now().Before(until); {
				time.Sleep(5 * time.Millisecond)
			}
			f.happen("full screen", func(s *state) { s.Full, s.Begun, s.Box = true, true, [2]int{400, 300} })
		}()
	}
	if _, _, rep := r.run(t, stairs); rep.Err != nil {
		t.Fatal(rep.Err)
	}
	if got := said(); strings.Count(got, "Waiting: touch Begin on the page.\nThe page is back.") != 1 || strings.Contains(got, "Put the page in full screen") {
		t.Errorf("the person was told\n%s", got)
	}
}

// A run that is stopped while it waits for the page can be resumed.
func TestStoppedWhileWaiting(t *testing.T) {
	r, f := withFake(t, Options{})
	ctx, stop := context.WithCancel(t.Context())
	r.ctx = ctx
	r.eye.before = func(n int) {
		if n == 5 {
			f.close()
			time.AfterFunc(100*time.Millisecond, stop)
		}
	}
	_, _, rep := r.run(t, stairs)
	if rep.Status != "paused" {
		t.Errorf("the run is %s: %v", rep.Status, rep.Err)
	}
	if rep.Outcome.Steps < 3 {
		t.Errorf("%d steps are kept", rep.Outcome.Steps)
	}
}

// A page whose browser takes codes for sRGB is no source for a unit's gamut, and gamut says so, at its first patch.
func TestGamutIsRefused(t *testing.T) {
	r, _ := withFake(t, Options{})
	_, _, rep := r.run(t, "gamut")
	if rep.Err == nil || !strings.Contains(rep.Err.Error(), "a browser takes plain codes for sRGB") || rep.Outcome.Steps > 2 {
		t.Errorf("after %d steps: %v", rep.Outcome.Steps, rep.Err)
	}
	r, _ = withFake(t, Options{})
	_, _, rep = r.run(t, "gamut", "space=display-p3", "rest=0")
	if rep.Err == nil || !strings.Contains(rep.Err.Error(), "the page cannot show this patch as it is meant") {
		t.Errorf("P3 stills that cannot be verified: %v", rep.Err)
	}
}
