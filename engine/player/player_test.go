package player

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// randomPatch is any patch that a still can be written of.
func randomPatch(r *rand.Rand) bench.Patch {
	three := func() [3]float64 { return [3]float64{r.Float64(), float64(r.IntN(2)), r.Float64()} }
	p := bench.Patch{RGB: three(), Background: three(), At: [2]float64{r.Float64(), r.Float64()}, Window: 0.01 + 99.99*math.Pow(r.Float64(), 3),
		Signal: []bench.Signal{bench.SDR, bench.PQ, bench.HLG}[r.IntN(3)]}
	if p.Signal == bench.SDR && r.IntN(3) == 0 {
		p.Space = bench.DisplayP3
	}
	if p.Signal == bench.PQ && r.IntN(2) == 0 {
		p.Metadata = bench.Metadata{MasteringPeak: 1000, MaxCLL: float64(r.IntN(2000))}
	}
	if r.IntN(3) == 0 {
		p.Bits = 1 + r.IntN(16)
	}
	switch r.IntN(6) {
	case 0:
		p.Pattern = bench.Pattern{Kind: bench.Checkerboard, Columns: 2 + r.IntN(4), Rows: 1 + r.IntN(4)}
	case 1:
		p.Pattern = bench.Pattern{Kind: bench.Ramp, From: three(), Vertical: r.IntN(2) == 0}
	case 2:
		p.Pattern = bench.Pattern{Kind: bench.Steps, Count: 2 + r.IntN(9), From: three()}
	case 3:
		p.Pattern = bench.Pattern{Kind: bench.Ladder, Count: 2 + r.IntN(6), From: three()}
	}
	return p
}

func askedFor(patches ...bench.Patch) (all []Asked) {
	for _, p := range patches {
		all = append(all, Asked{Patch: p, Stays: 2})
	}
	return all
}

func planned(t testing.TB, l Layout, asked []Asked) *Plan {
	t.Helper()
	p, err := NewPlan(l, asked, func(p bench.Patch) string { return fmt.Sprintf("signal %.3f", p.RGB) })
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// made makes a folder and opens it again as the driver does.
func made(t testing.TB, dir string, m Making) *Index {
	t.Helper()
	if _, err := Write(t.Context(), dir, m); err != nil {
		t.Fatal(err)
	}
	in, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return in
}

func white(window float64) bench.Patch {
	return bench.Patch{RGB: [3]float64{1, 1, 1}, Window: window, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}
}

// Of any list of patches: each has a file, found by the patch; the files are numbered in the order of first use; two that differ in a
// pixel or in what the samples stand for are two files; and the picture, decoded by Go's image/png, has the codes of the patch where it
// must have them, round(signal·(2^bits-1)) as samples of 8 or 16 bits.
func TestEveryPatchHasItsFile(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 12 {
		l := Layout{Form: Stills, Width: 40 + r.IntN(60), Height: 30 + r.IntN(60)}
		var patches []bench.Patch
		for range 8 {
			patches = append(patches, randomPatch(r))
		}
		patches = append(patches, patches[2], patches[0], patches[2])
		dir := filepath.Join(t.TempDir(), "p")
		in := made(t, dir, Making{Plan: planned(t, l, askedFor(patches...))})
		last := 0
		for i, p := range patches {
			e, there := in.find(p)
			if !there || e.Number > last+1 {
				t.Fatalf("patch %d, %+v: there %v, file %d after %d", i, p, there, e.Number, last)
			}
			if e.Number > last && in.Patches[e.Number-1].Patch != p {
				t.Errorf("file %d is listed for %+v, and was first asked for by %+v", e.Number, in.Patches[e.Number-1].Patch, p)
			}
			last = max(last, e.Number)
			if filepath.Base(e.File) != e.File || !strings.HasPrefix(e.File, fmt.Sprintf("%03d-", e.Number)) {
				t.Errorf("file %d is called %q", e.Number, e.File)
			}
			if p.Pattern.Kind == bench.Window {
				holds(t, filepath.Join(dir, e.File), e, p)
			}
		}
		if last != len(in.Patches) || in.Asked() != len(patches) {
			t.Errorf("%d files of %d; %d patches of %d", last, len(in.Patches), in.Asked(), len(patches))
		}
	}
}

// holds looks at the middle of the window in the file.
func holds(t testing.TB, path string, e Entry, p bench.Patch) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	bits := p.Bits
	if bits == 0 {
		bits = 10
		if p.Signal == bench.SDR {
			bits = 8
		}
	}
	x, y := int(e.At[0]*float64(img.Bounds().Dx())), int(e.At[1]*float64(img.Bounds().Dy()))
	red, green, blue, _ := img.At(x, y).RGBA() // of 16 bits
	top := math.Pow(2, float64(bits)) - 1
	for i, got := range []uint32{red, green, blue} {
		code := math.Round(p.RGB[i] * top)
		want := math.Round(code * 65535 / top)
		if bits <= 8 {
			want = math.Round(code*255/top) * 257
		}
		if float64(got) != want || float64(e.Code[i]) != code {
			t.Fatalf("%+v at %d, %d: sample %d is %d, want %v; code %d, want %v", p, x, y, i, got, want, e.Code[i], code)
		}
	}
}

// What makes another picture, or another meaning, makes another file; what does not, does not.
func TestPicturesAreToldApart(t *testing.T) {
	base := bench.Patch{RGB: [3]float64{0.5, 0.5, 0.5}, Window: 10, Signal: bench.PQ, At: [2]float64{0.5, 0.5}}
	change := func(f func(*bench.Patch)) bench.Patch { p := base; f(&p); return p }
	l := Layout{Form: Stills, Width: 64, Height: 36}
	for i, c := range []struct {
		p    bench.Patch
		same bool
	}{
		{change(func(p *bench.Patch) { p.RGB[0] += 1e-6 }), true}, // the same code
		{change(func(p *bench.Patch) { p.Bits = 10 }), true},      // which HDR has anyway
		{change(func(p *bench.Patch) { p.At[0] += 1e-4 }), true},  // the same pixels
		{change(func(p *bench.Patch) { p.RGB[0] += 1e-3 }), false},
		{change(func(p *bench.Patch) { p.Bits = 12 }), false},
		{change(func(p *bench.Patch) { p.At[0] += 0.1 }), false},
		{change(func(p *bench.Patch) { p.Window = 20 }), false},
		{change(func(p *bench.Patch) { p.Background[2] = 0.1 }), false},
		{change(func(p *bench.Patch) { p.Signal = bench.HLG }), false},
		{change(func(p *bench.Patch) { p.Metadata.MaxCLL = 1000 }), false},
		{change(func(p *bench.Patch) { p.Pattern = bench.Pattern{Kind: bench.Steps, Count: 3} }), false},
		{change(func(p *bench.Patch) { p.RGB, p.Bits = [3]float64{}, 10 }), false},
	} {
		if n := len(planned(t, l, askedFor(base, c.p)).Entries); (n == 1) != c.same {
			t.Errorf("change %d: %d files", i, n)
		}
	}
}

// Black of 8 bits and of 10 are one video, since its samples are the same; as stills they are two files of different depth. The codes that
// a run records are those of the patch that it asked for.
func TestOneFileForTheSameSamples(t *testing.T) {
	black := bench.Patch{Window: 100, Signal: bench.SDR, At: [2]float64{0.5, 0.5}, Bits: 8}
	deep := black
	deep.Bits = 10
	for form, want := range map[Form]int{Stills: 2, Video: 1, Lossless: 2} {
		plan := planned(t, Layout{Form: form, Width: 16, Height: 16}, askedFor(black, deep))
		if len(plan.Entries) != want {
			t.Errorf("%s: %d files, want %d", form, len(plan.Entries), want)
		}
	}
	in := &Index{Layout: Layout{Form: Video, Width: 16, Height: 16}}
	p, q := white(10), white(10)
	p.Bits, q.Bits = 8, 12
	in.Patches = planned(t, in.Layout, askedFor(p)).Entries
	if e, there := in.find(q); !there || e.Code != [3]int{4095, 4095, 4095} || e.Bits != 12 || e.File != in.Patches[0].File {
		t.Errorf("%v, %+v", there, e)
	}
}

// The codes of 75 % bars in BT.709, 10 bits, limited range, are those of SMPTE RP 219-1 (from memory); white and black are those of BT.709-6,
// item 4.6. Of BT.2020 the primaries by its equations: Kr = 0.2627, Kb = 0.0593.
func TestCodesOfVideo(t *testing.T) {
	for _, c := range []struct {
		signal bench.Signal
		rgb    [3]float64
		want   [3]int
	}{
		{bench.SDR, [3]float64{1, 1, 1}, [3]int{940, 512, 512}}, {bench.SDR, [3]float64{}, [3]int{64, 512, 512}},
		{bench.SDR, [3]float64{.75, .75, 0}, [3]int{674, 176, 543}}, {bench.SDR, [3]float64{0, .75, .75}, [3]int{581, 589, 176}},
		{bench.SDR, [3]float64{0, .75, 0}, [3]int{534, 253, 207}}, {bench.SDR, [3]float64{.75, 0, .75}, [3]int{251, 771, 817}},
		{bench.SDR, [3]float64{.75, 0, 0}, [3]int{204, 435, 848}}, {bench.SDR, [3]float64{0, 0, .75}, [3]int{111, 848, 481}},
		{bench.PQ, [3]float64{1, 1, 1}, [3]int{940, 512, 512}}, {bench.HLG, [3]float64{1, 0, 0}, [3]int{294, 387, 960}},
		{bench.PQ, [3]float64{0, 0, 1}, [3]int{116, 960, 476}},
	} {
		if got := matrixOf(c.signal).codes(c.rgb); got != c.want {
			t.Errorf("%s %v: codes %v, want %v", c.signal, c.rgb, got, c.want)
		}
	}
}

// What codes stand for gives the same codes again, and lies no farther from what was asked than rounding of
// each of the three can move it. Neutral codes stand for a neutral signal exactly.
func TestWhatCodesStandFor(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, s := range []bench.Signal{bench.SDR, bench.PQ} {
		m := matrixOf(s)
		for range 2000 {
			rgb := [3]float64{r.Float64(), r.Float64(), r.Float64()}
			codes := m.codes(rgb)
			back := m.signal(codes)
			for i := range rgb {
				if limit := 0.5/876 + 2*0.5/896; math.Abs(back[i]-rgb[i]) > 1.5*limit {
					t.Fatalf("%v became %v", rgb, back)
				}
			}
			clipped := slices.Contains(back[:], 0) || slices.Contains(back[:], 1)
			if again := m.codes(back); again != codes && !clipped {
				t.Fatalf("%v: codes %v, then %v", rgb, codes, again)
			}
		}
		for y := 64; y <= 940; y++ {
			v := m.signal([3]int{y, 512, 512})
			if want := (float64(y) - 64) / 876; math.Abs(v[0]-want) > 1e-12 || math.Abs(v[1]-want) > 1e-12 || math.Abs(v[2]-want) > 1e-12 {
				t.Fatalf("luma %d stands for %v", y, v)
			}
		}
	}
}

func TestRefusedPlans(t *testing.T) {
	describe := func(bench.Patch) string { return "P" }
	p3 := white(10)
	p3.Space = bench.DisplayP3
	for _, c := range []struct {
		l    Layout
		p    bench.Patch
		want string
	}{
		{Layout{Form: Stills, Width: 0, Height: 9}, white(10), "the size is 0 x 9 pixels"},
		{Layout{Form: Stills, Width: 20000, Height: 9}, white(10), "the size is 20000 x 9 pixels"},
		{Layout{Form: Video, Width: 17, Height: 20}, white(10), "a video of 4:2:0 has even sides"},
		{Layout{Form: Video, Width: 14, Height: 18}, white(10), "a video has at least 16 each way"},
		{Layout{Form: Lossless, Width: 17, Height: 19}, bench.Patch{Window: 10, Signal: bench.SDR, Bits: 14}, "the patch has 14 bits; a lossless video has 12 at most"},
		{Layout{Form: Video, Width: 16, Height: 18}, p3, "patch 1, P: a video of these does not say"},
		{Layout{Form: Stills, Width: 16, Height: 10}, bench.Patch{Window: 10}, "patch 1, P: the picture cannot be written: no still image says"},
		{Layout{Form: Stills, Width: 16, Height: 10}, bench.Patch{Window: 10, Signal: bench.SDR, RGB: [3]float64{2}}, "patch 1, P: a signal or a place is 2"},
	} {
		if _, err := NewPlan(c.l, askedFor(c.p), describe); err == nil || !strings.Contains(err.Error(), c.want) || !errors.Is(err, bench.ErrUnsupported) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

func names(t testing.TB, dir string) (all []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

// A folder is there whole or not at all, and nobody else's is touched.
func TestFolderIsWholeOrNotAtAll(t *testing.T) {
	home := t.TempDir()
	dir := filepath.Join(home, "patches")
	plan := planned(t, Layout{Form: Stills, Width: 16, Height: 9}, askedFor(white(10), white(20), white(30)))
	stop := errors.New("stop")
	ctx, cancel := context.WithCancelCause(t.Context())
	_, err := Write(ctx, dir, Making{Plan: plan, Progress: func(done, of int, _ string) {
		if of != 3 {
			t.Errorf("of %d files", of)
		}
		if done == 2 {
			cancel(stop)
		}
	}})
	if left := names(t, home); !errors.Is(err, stop) || len(left) > 0 {
		t.Fatalf("stopped: %v, left %q", err, left)
	}
	made(t, dir, Making{Plan: plan})
	was := names(t, dir)
	fewer := planned(t, Layout{Form: Stills, Width: 16, Height: 9}, askedFor(white(70)))
	made(t, dir, Making{Plan: fewer})
	if now := names(t, dir); len(was) != 6 || len(now) != 4 || len(names(t, home)) != 1 {
		t.Errorf("replaced: %q, then %q beside %q", was, now, names(t, home))
	}
	ctx, cancel = context.WithCancelCause(t.Context())
	cancel(stop)
	if _, err := Write(ctx, dir, Making{Plan: plan}); !errors.Is(err, stop) || len(names(t, dir)) != 4 || len(names(t, home)) != 1 {
		t.Errorf("the old folder after a stop: %v, %q", err, names(t, dir))
	}
	if err := os.WriteFile(filepath.Join(dir, "notes.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(t.Context(), dir, Making{Plan: plan}); !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error(), "did not write notes.txt") || len(names(t, dir)) != 5 {
		t.Errorf("somebody's notes: %v, %q", err, names(t, dir))
	}
	other := t.TempDir()
	if err := os.WriteFile(filepath.Join(other, "thesis.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(t.Context(), other, Making{Plan: plan}); !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error(), "did not make it") || len(names(t, other)) != 1 {
		t.Errorf("somebody's folder: %v", err)
	}
	if _, err := Write(t.Context(), filepath.Join(other, "thesis.txt", "x"), Making{Plan: plan}); err == nil {
		t.Error("a folder in a file was made")
	}
	made(t, t.TempDir(), Making{Plan: plan}) // an empty one
}

func TestBrokenFolders(t *testing.T) {
	plan := planned(t, Layout{Form: Stills, Width: 16, Height: 9}, askedFor(white(10)))
	for want, spoil := range map[string]func(dir string) error{
		"is no folder of patches":     func(dir string) error { return os.Remove(filepath.Join(dir, indexFile)) },
		"patches.json is damaged":     func(dir string) error { return os.WriteFile(filepath.Join(dir, indexFile), []byte("{"), 0o644) },
		"patches.json is no index":    func(dir string) error { return os.WriteFile(filepath.Join(dir, indexFile), []byte("{}"), 0o644) },
		"has format 9; this version":  func(dir string) error { return replace(dir, `"format": 1`, `"format": 9`) },
		"the size is 0 x 9 pixels":    func(dir string) error { return replace(dir, `"width": 16`, `"width": 0`) },
		"is not as it was made: stat": func(dir string) error { return os.Remove(filepath.Join(dir, plan.Entries[0].File)) },
		"has 3 bytes; the index says": func(dir string) error {
			return os.WriteFile(filepath.Join(dir, plan.Entries[0].File), []byte("abc"), 0o644)
		},
	} {
		dir := filepath.Join(t.TempDir(), "p")
		made(t, dir, Making{Plan: plan})
		if err := spoil(dir); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(dir); err == nil || !strings.Contains(err.Error(), want) || fault.CodeOf(err) != bench.CodeBadFile || fault.HintOf(err) == "" {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

func replace(dir, old, new string) error {
	src, err := os.ReadFile(filepath.Join(dir, indexFile))
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, indexFile), []byte(strings.Replace(string(src), old, new, 1)), 0o644)
}

// What a script says cannot become markup or a formula.
func TestPagesAreSafe(t *testing.T) {
	const evil = "<script>alert(1)</script>=1+1"
	plan, err := NewPlan(Layout{Form: Video, Width: 18, Height: 16}, askedFor(white(10)), func(bench.Patch) string { return "=cmd|evil" })
	if err != nil {
		t.Fatal(err)
	}
	in := &Index{About: About{Procedure: evil, Title: evil, Unit: evil, Params: map[string]any{"x": evil}}, Layout: plan.Layout, Patches: plan.Entries}
	var page, list strings.Builder
	if err := errors.Join(writePage(&page, in), writeList(&list, in)); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(page.String(), "<script") || strings.Contains(page.String(), "http") || strings.Contains(page.String(), "src=") {
		t.Error("the page has a script, or asks for something from elsewhere")
	}
	for _, part := range []string{`<html lang="en-GB">`, "<caption>", `scope="col"`, `scope="row"`, "prefers-color-scheme: dark", "@media print", "940 · 512 · 512", "1.00000 · 1.00000 · 1.00000"} {
		if !strings.Contains(page.String(), part) {
			t.Errorf("the page lacks %s", part)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(list.String())).ReadAll()
	if err != nil || len(rows) != 2 || strings.HasPrefix(rows[1][2], "=") || rows[1][12] != "940" || rows[1][11] != "1" {
		t.Errorf("%v: %q", err, rows)
	}
}

// The command of a hint can be pasted, whatever the folder is called.
func TestHintCanBePasted(t *testing.T) {
	in := &Index{About: About{Procedure: "chart"}, path: "my chart's patches"}
	if hint := hintOf(in.missing(white(10))); !strings.Contains(hint, `candelua patches chart --to 'my chart'\''s patches';`) {
		t.Error(hint)
	}
}

// Parameters are on the page as --set takes them.
func TestPageHasParameters(t *testing.T) {
	for want, v := range map[string]any{"2,5.5,100": []float64{2, 5.5, 100}, "1,2": []any{1.0, 2.0}, "a b [c]": "a b [c]", "true": true, "0.1": 0.1, "": ""} {
		in := &Index{About: About{Params: map[string]any{"it": v}}, Layout: Layout{Form: Stills, Width: 4, Height: 4}}
		var page strings.Builder
		if err := writePage(&page, in); err != nil {
			t.Fatal(err)
		}
		if want == "" && strings.Contains(page.String(), "Parameters") || want != "" && !strings.Contains(page.String(), "<dd>it = "+want+"</dd>") {
			t.Errorf("%v is not on the page as %q", v, want)
		}
	}
}

// spoken is a person who notes what is said, and answers.
type spoken struct {
	said   []string
	answer error
}

func (s *spoken) Show(_ context.Context, _ bench.Patch, what string) { s.said = append(s.said, what) }

func (s *spoken) Done(_ context.Context, ask, _ string) error {
	s.said = append(s.said, ask)
	return s.answer
}

func openDriver(t testing.TB, person Person, dir string, more map[string]any) (bench.Device, error) {
	t.Helper()
	d, err := Opener(person)()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = d.Close() })
	options := map[string]any{"folder": dir}
	for k, v := range more {
		options[k] = v
	}
	return d.Open(t.Context(), bench.KindPatches, bench.Section{Driver: Name, Options: options})
}

// The person is told of each file once, with its number, and asked once.
func TestPersonIsToldOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "p")
	in := made(t, dir, Making{Plan: planned(t, Layout{Form: Stills, Width: 16, Height: 9}, askedFor(white(10), white(100)))})
	person := &spoken{}
	device, err := openDriver(t, person, dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	source := device.(bench.Patches)
	for _, p := range []bench.Patch{{Signal: bench.HLG, Window: 10}, {Signal: bench.SDR, Space: bench.DisplayP3, Window: 10}, {Signal: bench.PQ, Pattern: bench.Pattern{Kind: bench.Ramp}}} {
		if err := bench.CanShow(source, p); err != nil {
			t.Error(err)
		}
	}
	if err := bench.CanShow(source, bench.Patch{Signal: bench.SDR, Window: 10, Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 64, Rows: 2}}); !errors.Is(err, bench.ErrUnsupported) {
		t.Errorf("64 columns on 16 pixels: %v", err)
	}
	if id := source.About(); !id.ByHand || id.Driver != "files" || id.Serial == "" || id.Name != "files in p" {
		t.Errorf("it says %+v", id)
	}
	show := func(p bench.Patch, pending bool) bench.Shown {
		s, err := source.Show(t.Context(), p)
		if err != nil || s.Pending != pending || s.Path != bench.PathPlayer {
			t.Fatalf("%+v, %v; want pending %v", s, err, pending)
		}
		return s
	}
	s := show(white(10), true)
	if !slices.Equal(s.Codes, []int{255, 255, 255}) || s.RGB != nil || s.Area != in.Patches[0].Area {
		t.Errorf("shown is %+v", s)
	}
	if _, err := source.(bench.Acknowledger).Acknowledge(t.Context()); err != nil {
		t.Fatal(err)
	}
	show(white(10), false) // it is there
	show(white(100), true)
	person.answer = bench.ErrPaused
	if _, err := source.(bench.Acknowledger).Acknowledge(t.Context()); !errors.Is(err, bench.ErrPaused) {
		t.Error(err)
	}
	show(white(100), true) // nobody said that it is there
	want := []string{"Please show file 1 of 2, 001-sdr-window-10-255-255-255.png: signal [1.000 1.000 1.000].", "Press Enter when it is on the screen.",
		"Please show file 2 of 2, 002-sdr-full-255-255-255.png: signal [1.000 1.000 1.000].", "Press Enter when it is on the screen.",
		"Please show file 2 of 2, 002-sdr-full-255-255-255.png: signal [1.000 1.000 1.000]."}
	if !slices.Equal(person.said, want) {
		t.Errorf("the person heard %q", person.said)
	}
	_, err = source.Show(t.Context(), white(33))
	if !errors.Is(err, bench.ErrUnsupported) || !strings.Contains(err.Error(), "has no file of the patch with the signal 1, 1, 1 (sdr), window 33 %") || !strings.Contains(fault.HintOf(err), "candelua patches") {
		t.Errorf("%v (%s)", err, fault.HintOf(err))
	}
	ctx, cancel := context.WithTimeoutCause(t.Context(), 0, bench.ErrTimeout)
	defer cancel()
	if _, err := source.Show(ctx, white(10)); !errors.Is(err, bench.ErrTimeout) {
		t.Error(err)
	}
}

// A video shows what its codes stand for, and says so.
func TestVideoSaysWhatItShows(t *testing.T) {
	plan := planned(t, Layout{Form: Video, Width: 16, Height: 18}, askedFor(bench.Patch{RGB: [3]float64{1, 0.2, 0}, Window: 100, Signal: bench.PQ, At: [2]float64{0.5, 0.5}}))
	s := plan.Entries[0].shown()
	// By hand, green being the code 205 of 1023: E'Y = 0.2627 + 0.678·0.200391 = 0.398565 → (219·E'Y + 16)·4 = 413.1;
	// Cb = -0.398565/1.8814 → (224·Cb + 128)·4 = 322.2; Cr = 0.601435/1.4746 → 877.4.
	if !slices.Equal(s.Codes, []int{413, 322, 877}) || s.RGB == nil {
		t.Fatalf("shown is %+v", s)
	}
	// And back: Y' = (413/4-16)/219 = 0.398402, Cr = (877/4-128)/224 = 0.407366, Cb = (322/4-128)/224 = -0.212054. Blue is -0.000556,
	// which is shown as 0.
	for i, want := range []float64{0.999104, 0.200546, 0} {
		if math.Abs(s.RGB[i]-want) > 2e-6 {
			t.Errorf("signal %d is %.6f, want %.6f", i, s.RGB[i], want)
		}
	}
}

func TestWrongOptions(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "p")
	made(t, dir, Making{Plan: planned(t, Layout{Form: Stills, Width: 16, Height: 9}, askedFor(white(10)))})
	for want, options := range map[string]map[string]any{
		"patches.options.folder is missing":            {"folder": ""},
		"patches.options.colour is no option of files": {"colour": 1.0},
		"patches.options.folder is 3; folder must be":  {"folder": 3.0},
		"patches.options.timed is yes; folder must":    {"timed": "yes"},
		"has no video of the whole procedure":          {"timed": true},
		"nowhere is no folder of patches":              {"folder": filepath.Join(dir, "nowhere")},
	} {
		if _, err := openDriver(t, &spoken{}, dir, options); err == nil || !strings.Contains(err.Error(), want) || fault.CodeOf(err) != bench.CodeBadFile {
			t.Errorf("%v, want %q", err, want)
		}
	}
	d, _ := Opener(&spoken{})()
	if _, err := d.Open(t.Context(), bench.KindMeter, bench.Section{}); fault.CodeOf(err) != bench.CodeWrongDevice {
		t.Error(err)
	}
	if _, err := d.Open(t.Context(), bench.KindPatches, bench.Section{Link: "tcp:x"}); fault.CodeOf(err) != bench.CodeUnsupported {
		t.Error(err)
	}
}

// What no video can play, or no index says, is refused.
func TestRefusedSchedules(t *testing.T) {
	pq := white(10)
	pq.Signal = bench.PQ
	l := Layout{Form: Video, Width: 64, Height: 36}
	for want, c := range map[string]struct {
		asked []Asked
		o     TimedOptions
	}{
		"shows no patch":                           {[]Asked{{Patch: white(10), Resumed: true}}, TimedOptions{Field: 2}},
		"shows sequences of exact times":           {[]Asked{{Patch: white(10), Timed: true}}, TimedOptions{Field: 2}},
		"patches of different signals":             {[]Asked{{Patch: white(10)}, {Patch: pq}}, TimedOptions{Field: 2}},
		"would play for 13:53:07 h; it may for 12": {[]Asked{{Patch: white(10)}, {Patch: white(20), Stays: 33266}}, TimedOptions{Field: 2}},
	} {
		dir := filepath.Join(t.TempDir(), "p")
		_, err := Write(t.Context(), dir, Making{Plan: planned(t, l, c.asked), Timed: &c.o})
		if err == nil || !strings.Contains(err.Error(), want) || !errors.Is(err, bench.ErrUnsupported) {
			t.Errorf("%v, want %q", err, want)
		}
		if _, err := os.Stat(dir); err == nil {
			t.Errorf("%s: there is a folder", want)
		}
	}
	for i, s := range []Schedule{
		{File: timedFile, Unit: 1}, {File: "../x", Unit: 1, Holds: []Hold{{1, 0, 5}}}, {File: timedFile, Holds: []Hold{{1, 0, 5}}},
		{File: timedFile, Unit: 1, Holds: []Hold{{3, 0, 5}}}, {File: timedFile, Unit: 1, Holds: []Hold{{1, 0, 5}, {1, 4, 9}}}, {File: timedFile, Unit: 1, Holds: []Hold{{1, 5, 5}}},
	} {
		if s.check(2) == nil {
			t.Errorf("schedule %d is taken: %+v", i, s)
		}
	}
}
