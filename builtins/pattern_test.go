package builtins

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// painter is a source that shows everything, over a path, and says what it truly showed.
type painter struct {
	fakePatches
	path bench.Path
	rgb  *[3]float64
	at   *[2]float64
	hdr  bool
}

func (p *painter) Paints(bench.Patch) error { return nil }

func (p *painter) Show(ctx context.Context, patch bench.Patch) (bench.Shown, error) {
	s, err := p.fakePatches.Show(ctx, patch)
	s.Area, s.Path, s.RGB, s.At, s.HDR = patch.Area(), p.path, p.rgb, p.at, p.hdr
	return s, err
}

func onPainter() (*rig, *painter) {
	r := newRig()
	p := &painter{fakePatches: fakePatches{r}}
	r.bench.Patches = p
	return r, p
}

func TestPattern(t *testing.T) {
	white := [3]float64{1, 1, 1}
	base := bench.Patch{RGB: white, Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}
	for args, edit := range map[string]func(*bench.Patch){
		"{ kind = 'checkerboard' }": func(p *bench.Patch) {
			p.Pattern = bench.Pattern{Kind: bench.Checkerboard, Columns: 4, Rows: 4}
		},
		"{ kind = 'checkerboard', columns = 6, rows = 1, grey = 0.5, background = { 0, 0, 1 }, at = { 0.1, 0.9 } }": func(p *bench.Patch) {
			p.Pattern = bench.Pattern{Kind: bench.Checkerboard, Columns: 6, Rows: 1}
			p.RGB, p.Background, p.At = [3]float64{0.5, 0.5, 0.5}, [3]float64{0, 0, 1}, [2]float64{0.1, 0.9}
		},
		"{ kind = 'ramp', rgb = { 1, 0, 0 }, from = 0.25, signal = 'hlg', bits = 10 }": func(p *bench.Patch) {
			p.Pattern = bench.Pattern{Kind: bench.Ramp, From: [3]float64{0.25, 0.25, 0.25}}
			p.RGB, p.Signal, p.Bits = [3]float64{1, 0, 0}, bench.HLG, 10
		},
		"{ kind = 'steps', vertical = true, nits = 10000, signal = 'pq' }": func(p *bench.Patch) {
			p.Pattern = bench.Pattern{Kind: bench.Steps, Count: 16, Vertical: true}
			p.Signal = bench.PQ
		},
		"{ kind = 'ladder', count = 15, from = { 0, 0.2, 0 }, code = 51, bits = 8, space = 'display-p3' }": func(p *bench.Patch) {
			p.Pattern = bench.Pattern{Kind: bench.Ladder, Count: 15, From: [3]float64{0, 0.2, 0}}
			p.RGB, p.Bits, p.Space = [3]float64{0.2, 0.2, 0.2}, 8, bench.DisplayP3
		},
	} {
		want := base
		edit(&want)
		r, _ := onPainter()
		if err := r.play(t, "patches.pattern "+args); err != nil {
			t.Errorf("patches.pattern %s: %v", args, err)
		} else if r.patches[0] != want || r.left["patches"][0] != any(want) {
			t.Errorf("patches.pattern %s asks for\n %+v and leaves\n %+v, want\n %+v", args, r.patches[0], r.left["patches"], want)
		}
	}
}

func TestPatternRefuses(t *testing.T) {
	for args, want := range map[string]string{
		"{}":                                   "kind is missing; it must be one of \"checkerboard\", \"ramp\", \"steps\", \"ladder\"",
		"{ kind = 'checkerboard', count = 3 }": `count is given with kind = "checkerboard"; it is allowed only with kind = "steps" or "ladder"`,
		"{ kind = 'checkerboard', from = 0 }":  `from is given with kind = "checkerboard"; it is allowed only with kind = "ramp" or "steps" or "ladder"`,
		"{ kind = 'checkerboard', vertical = false }":      `vertical is given with kind = "checkerboard"; it is allowed only with kind = "ramp" or "steps"`,
		"{ kind = 'ramp', columns = 3 }":                   `columns is given with kind = "ramp"; it is allowed only with kind = "checkerboard"`,
		"{ kind = 'steps', rows = 3 }":                     `rows is given with kind = "steps"; it is allowed only with kind = "checkerboard"`,
		"{ kind = 'ramp', background = 1 }":                `background is given with kind = "ramp"; it is allowed only with kind = "checkerboard" or "ladder"`,
		"{ kind = 'checkerboard', columns = 1, rows = 1 }": "columns is 1, and rows is 1; a checkerboard must have two fields or more",
		"{ kind = 'checkerboard', columns = 65 }":          "columns is 65; it must be a whole number from 1 to 64",
		"{ kind = 'steps', count = 1 }":                    "count is 1; it must be a whole number from 2 to 256",
		"{ kind = 'ramp', from = 2 }":                      "from is 2; it must be a number, or a list of three, from 0 to 1",
		"{ kind = 'ramp', grey = 1, rgb = { 1, 1, 1 } }":   "the patch has 2 colours; it must have exactly one of grey, rgb, code, nits",
	} {
		r, _ := onPainter()
		r.fails(t, "patches.pattern "+args, "patches.pattern: "+want)
		if len(r.patches) > 0 {
			t.Errorf("patches.pattern %s was refused and shown", args)
		}
	}
}

// What the screen shows on the mean follows from the pattern: half of a checkerboard; of a ramp the mean of its signals, and of
// their light 1/(2.2 + 1), by integration; between two fields of a ladder three quarters are background.
func TestPatternMeans(t *testing.T) {
	for args, want := range map[string][2]float64{
		"{ kind = 'checkerboard' }":                                   {0.5, 0.5},
		"{ kind = 'checkerboard', columns = 3, rows = 3 }":            {5. / 9, 5. / 9},
		"{ kind = 'ramp' }":                                           {0.5, 1 / 3.2},
		"{ kind = 'steps', count = 2 }":                               {0.5, 0.5},
		"{ kind = 'ladder', count = 2, from = 1, background = 0 }":    {0.25, 0.25},
		"{ kind = 'ramp', signal = 'hlg', from = 0.75, grey = 0.75 }": {0.75, 0.203}, // Rep. ITU-R BT.2408-7, table 1, from memory
	} {
		r, _ := onPainter()
		if err := r.play(t, "local s = patches.pattern "+args+" print(s.mean_signal, s.mean_light)"); err != nil {
			t.Fatal(err)
		}
		got := numbers(t, r.printed.String())
		if !near(got[0], want[0], 1e-3) || !near(got[1], want[1], 1.5e-3) {
			t.Errorf("patches.pattern %s: the means are %v, want %v", args, got, want)
		}
	}
}

func numbers(t *testing.T, text string) (all []float64) {
	t.Helper()
	for _, word := range strings.Fields(text) {
		var x float64
		if err := json.Unmarshal([]byte(word), &x); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		all = append(all, x)
	}
	return all
}

// A source that says nothing of patterns, HLG and P3 is asked for none of them.
func TestPlainSourceIsNotAsked(t *testing.T) {
	for call, want := range map[string]string{
		"patches.pattern { kind = 'ramp' }":                                      "patches.pattern: the source of patches does not show patterns of the kind ramp",
		"patches.show { grey = 1, signal = 'hlg' }":                              "patches.show: the source of patches does not show HLG signals",
		"patches.black { signal = 'hlg' }":                                       "patches.black: the source of patches does not show HLG signals",
		"patches.show { grey = 1, space = 'display-p3' }":                        "patches.show: the source of patches does not show pictures in the space display-p3",
		"patches.sequence { { grey = 1, hold = 1, space = 'display-p3' } }":      "patches.sequence: the source of patches cannot keep exact times; if the patches were shown one by one, its varying latency would be added to every hold",
		"run.guard { patch = { grey = 1, space = 'display-p3' }, within = 0.5 }": "run.guard: the source of patches does not show pictures in the space display-p3",
	} {
		r := newRig()
		err := r.play(t, call)
		if err == nil || !strings.HasSuffix(err.Error(), want[strings.Index(want, ": "):]) || fault.CodeOf(err) != bench.CodeUnsupported {
			t.Errorf("%s ends with %v\n want %s", call, err, want)
		}
		if len(r.patches) > 0 {
			t.Errorf("%s was refused after it was shown", call)
		}
	}
}

// What was truly shown is what the script and the list of readings are told, and a resumed script is told the same.
func TestTrulyShown(t *testing.T) {
	r, p := onPainter()
	p.rgb, p.at, p.path = &[3]float64{0.498, 0.25, 0}, &[2]float64{0.52, 0.5}, bench.PathPlayer
	r.prints(t, "local s = patches.show { rgb = { 0.5, 0.25, 0 }, window = 10 } print(s.red, s.green, s.blue, s.path) meter.read()",
		"0.498\t0.25\t0\tfile on a player")
	row := r.rows[0]
	if row.Patch.RGB != *p.rgb || row.Patch.At != *p.at || row.Path != bench.PathPlayer {
		t.Errorf("the reading is listed with %+v over %q", row.Patch, row.Path)
	}
	if got := string(r.answers[0]); !strings.Contains(got, `"rgb":[0.498,0.25,0]`) || !strings.Contains(got, `"path":"file on a player"`) || !strings.Contains(got, `"at":[0.52,0.5]`) {
		t.Errorf("the journal holds %s", got)
	}
	if r.left["patches"][0].(bench.Patch).RGB != [3]float64{0.5, 0.25, 0} {
		t.Error("what is put back is not what was asked for")
	}
	// A source that says nothing of it: as before.
	r = newRig()
	r.prints(t, "local s = patches.show { grey = 0.5 } print(s.red, s.path == '')", "0.5\ttrue")
	if got := string(r.answers[0]); strings.Contains(got, "rgb") || strings.Contains(got, "path") {
		t.Errorf("the journal holds %s", got)
	}
}

// Readings over two paths are told of, once.
func TestMixedPaths(t *testing.T) {
	r, p := onPainter()
	p.path = bench.PathPage
	r.bench.Patches = p
	if err := r.play(t, "patches.show { grey = 1 } meter.read() meter.read()"); err != nil {
		t.Fatal(err)
	}
	if notes := r.results.Notes(); len(notes) != 0 {
		t.Errorf("one path brings the notes %+v", notes)
	}
	r, p = onPainter()
	switching := &switching{p, []bench.Path{bench.PathPage, bench.PathPageHDR, bench.PathPage}}
	r.bench.Patches = switching
	p.hdr = true
	if err := r.play(t, "for i = 1, 3 do patches.show { grey = 1 } meter.read() end"); err != nil {
		t.Fatal(err)
	}
	notes := r.results.Notes()
	if len(notes) != 1 || !strings.Contains(notes[0].Text, "different signal paths") || !strings.Contains(notes[0].Text, "page, SDR; page, HDR still") {
		t.Errorf("two paths bring the notes %+v", notes)
	}
}

// switching is a source that shows each patch over another path.
type switching struct {
	*painter
	paths []bench.Path
}

func (s *switching) Show(ctx context.Context, p bench.Patch) (bench.Shown, error) {
	s.path, s.paths = s.paths[0], s.paths[1:]
	return s.painter.Show(ctx, p)
}

// A person looks once whether the unit switched to HDR, where a still or a file may leave it in SDR and nobody knows.
func TestHDRIsConfirmed(t *testing.T) {
	const two = "patches.show { grey = 1, signal = 'pq' } patches.show { grey = 0.5, signal = 'hlg' } patches.black() meter.read()"
	for _, c := range []struct {
		name    string
		path    bench.Path
		hdr     bool
		nobody  bool
		assumed bool
		asked   int
		kept    string
		note    bool
	}{
		{"a still", bench.PathPageHDR, false, false, false, 1, hdrConfirmed, false},
		{"a file", bench.PathPlayer, false, false, false, 1, hdrConfirmed, false},
		{"--yes", bench.PathPlayer, false, false, true, 1, hdrAssumed, true},
		{"a driver that knows", bench.PathPlayer, true, false, false, 0, hdrReported, false},
		{"nobody there", bench.PathPageHDR, false, true, false, 0, hdrUnconfirmed, true},
		{"a generator", bench.PathGenerator, false, false, false, 0, "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, p := onPainter()
			p.path, p.hdr = c.path, c.hdr
			if c.nobody {
				r.bench.Operator = nil
			}
			r.replies = []bench.Reply{{Text: "yes", Assumed: c.assumed}, {Text: "yes"}}
			if err := r.play(t, two); err != nil {
				t.Fatal(err)
			}
			if len(r.asked) != c.asked {
				t.Errorf("%d questions, want %d: %+v", len(r.asked), c.asked, r.asked)
			}
			for i := range 2 {
				var kept shownAnswer
				if err := json.Unmarshal(r.answers[i], &kept); err != nil || kept.HDR != c.kept {
					t.Errorf("step %d keeps %s, want %q", i+1, r.answers[i], c.kept)
				}
			}
			if strings.Contains(string(r.answers[2]), "hdr") {
				t.Errorf("black in SDR keeps %s", r.answers[2])
			}
			if notes := r.results.Notes(); (len(notes) == 1 && notes[0].Doubts()) != c.note {
				t.Errorf("the notes are %+v", notes)
			}
		})
	}
	// Who says that it did not switch pauses the run.
	r, p := onPainter()
	p.path = bench.PathPlayer
	r.bench.Operator = paused{r}
	if err := r.play(t, two); fault.CodeOf(err) != bench.CodePaused {
		t.Errorf("a pause ends with %v", err)
	}
}

// paused is a person who types pause.
type paused struct{ *rig }

func (paused) About() bench.Identity { return bench.Identity{ByHand: true} }

func (paused) Ask(context.Context, bench.Question) (bench.Reply, error) {
	return bench.Reply{}, bench.ErrPaused
}
