//go:build linux

package screen

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/paint"
	"candelua/testdata/campaign"
)

// openUnit opens the device of a source whose page open opens, and gives it once the page is there.
func openUnit(t testing.TB, s *Source, open func(url string)) *device {
	t.Helper()
	t.Cleanup(func() { s.Close() })
	s.silence, s.lost = 20*time.Second, 40*time.Second // this machine may be busy elsewhere
	serve(t, s)
	open(s.server.URL())
	d := &driver{source: s, clock: bench.NewRealClock()}
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	opened, err := d.Open(ctx, bench.KindPatches, bench.Section{})
	if err != nil {
		t.Fatalf("the page is not ready: %v", err)
	}
	return opened.(*device)
}

// asPainted is the picture that a patch must be on the page's screen.
func (d *device) asPainted(t testing.TB, p bench.Patch) paint.Picture {
	t.Helper()
	pic, _, err := d.lay(p)
	if err != nil {
		t.Fatal(err)
	}
	return pic
}

// differs says where a frame is not the picture: empty where each pixel is as it must be. The last row and column may
// be black: without a window manager Chromium's window lacks them, to not be the whole screen.
func (f frame) differs(p paint.Picture) string {
	want := make([][3]int, f.w*f.h)
	for _, r := range p.Rects {
		for y := r.Y; y < min(r.Y+r.H, f.h); y++ {
			for x := r.X; x < min(r.X+r.W, f.w); x++ {
				want[y*f.w+x] = r.Code
			}
		}
	}
	wrong, first := 0, ""
	for y := range f.h - 1 {
		for x := range f.w - 1 {
			if got := f.at(x, y); got != want[y*f.w+x] {
				if wrong++; first == "" {
					first = fmt.Sprintf("at %d, %d is %v, must be %v", x, y, got, want[y*f.w+x])
				}
			}
		}
	}
	if wrong == 0 {
		return ""
	}
	return fmt.Sprintf("%d pixels are wrong; %s", wrong, first)
}

// All 8-bit codes of each colour are on the screen as they were asked for, and windows, checkerboards, ramps and ladders
// are to the pixel what they must be, at pixel ratios that phones and monitors have, with odd sizes.
func TestCodesAndAreasAreExact(t *testing.T) {
	for _, r := range []string{"1", "1.25", "1.5", "2", "2.625", "3"} {
		t.Run(r, func(t *testing.T) {
			t.Parallel()
			ratio, _ := strconv.ParseFloat(r, 64)
			css := [2]int{803, 451}
			screen := openDisplay(t, int(math.Round(803*ratio)), int(math.Round(451*ratio)))
			d := openUnit(t, New(Options{}), func(url string) { openSized(t, screen, css, url, "--force-device-scale-factor="+r) })
			check := func(p bench.Patch) {
				t.Helper()
				shown, err := d.Show(t.Context(), p)
				if err != nil {
					t.Fatal(err)
				}
				pic := d.asPainted(t, p)
				if why := screen.read(t).differs(pic); why != "" {
					t.Errorf("%+v: %s", p, why)
				}
				if shown.Area != pic.Area {
					t.Errorf("%+v: the share is told as %v", p, shown.Area)
				}
			}
			middle := [2]float64{0.5, 0.5}
			for _, window := range []float64{0.01, 1, 4, 10, 18, 25, 50, 75, 100} {
				check(bench.Patch{RGB: [3]float64{1, 0.4, 0}, Background: [3]float64{0.1, 0.1, 0.1}, Window: window, At: middle, Signal: bench.SDR})
			}
			check(bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, At: [2]float64{0, 1}, Signal: bench.SDR})
			check(bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 7, Rows: 5}})
			check(bench.Patch{RGB: [3]float64{0, 1, 1}, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Ramp}})
			check(bench.Patch{RGB: [3]float64{0.1, 0.1, 0.1}, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Ladder, Count: 20}})
			if r != "1" && !campaign.Full() {
				return
			}
			// All codes at once: 256 bars, in each colour and grey.
			for _, rgb := range [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 1, 1}} {
				p := bench.Patch{RGB: rgb, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Steps, Count: 256}}
				check(p)
				codes := map[[3]int]bool{}
				for _, rect := range d.asPainted(t, p).Rects {
					codes[rect.Code] = true
				}
				if len(codes) != 256 {
					t.Errorf("%v: %d codes were shown", rgb, len(codes))
				}
			}
		})
	}
}

// hog keeps the page's main thread busy: it stands still for up to 0.4 s, begins as soon as a message has been taken,
// and does so in half of the time.
const hog = `<script>
"use strict";
// a page's other work, at the worst of times
{
	const busy = () => { const until = performance.now() + Math.random() * 400; while (performance.now() < until); };
	const real = Object.getOwnPropertyDescriptor(WebSocket.prototype, "onmessage");
	Object.defineProperty(WebSocket.prototype, "onmessage", {set(f) {
		real.set.call(this, e => { f(e); if (Math.random() < 0.5) setTimeout(busy, 0); });
	}});
	setInterval(() => { if (Math.random() < 0.3) busy(); }, 150);
}
</script>`

// early makes a page answer before a picture is on its screen: as soon as it is asked.
const early = `send({kind: "painted", number: m.number, at: now(), how: "early", now: now(), state: state()});
	const done = await show(m, m.rects);
	if (!done) return;
}
async function never(m) {`

// loaded is the page with another script before its own.
func loaded(t testing.TB, change ...string) []byte {
	t.Helper()
	page := bytes.Replace(document, []byte("<script>"), []byte(hog+"\n<script>"), 1)
	for i := 0; i < len(change); i += 2 {
		if !bytes.Contains(page, []byte(change[i])) {
			t.Fatalf("the page has no %q", change[i])
		}
		page = bytes.Replace(page, []byte(change[i]), []byte(change[i+1]), 1)
	}
	return page
}

// readEarly shows random patches on a page whose main thread is busy, and counts those that were not on the screen
// when they were lit.
func readEarly(t *testing.T, page []byte, patches int, open func(d *display, url string)) (wrong int, lit []time.Duration) {
	screen := openDisplay(t, 641, 359)
	s := New(Options{})
	s.document = page
	d := openUnit(t, s, func(url string) { open(screen, url) })
	random := rand.New(rand.NewPCG(1, uint64(time.Now().Unix()/86400))) // others each day
	for range patches {
		code := [3]float64{float64(random.IntN(256)) / 255, float64(random.IntN(256)) / 255, float64(random.IntN(256)) / 255}
		p := bench.Patch{RGB: code, Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}
		began := d.clock.Now()
		shown, err := d.Show(t.Context(), p)
		if err != nil {
			t.Fatal(err)
		}
		now, err := screen.pixel(320, 180)
		if err != nil {
			t.Fatal(err)
		}
		lit = append(lit, shown.Lit-began)
		if now != [3]int(shown.Codes) {
			wrong++
		}
	}
	return wrong, lit
}

// No random patch is read before it was painted, though the page's main thread stands still for up to 0.4 s at a time.
// The variable PATCHES says how many there are.
func TestNoneIsReadBeforeItIsPainted(t *testing.T) {
	t.Parallel()
	n := campaign.Of(t, 40, 150)
	if many, err := strconv.Atoi(os.Getenv("PATCHES")); err == nil {
		n = many
	}
	wrong, lit := readEarly(t, loaded(t), n, func(d *display, url string) { openChromium(t, d, url) })
	if wrong > 0 {
		t.Errorf("%d of %d patches were not on the screen when they were lit", wrong, n)
	}
	t.Log("from asking to lit:", quantiles(lit))
}

// A page that answers early makes the test above fail.
func TestEarlyPageIsFound(t *testing.T) {
	t.Parallel()
	wrong, _ := readEarly(t, loaded(t, "const done = await show(m, m.rects);", early), 60, func(d *display, url string) { openChromium(t, d, url) })
	if wrong == 0 {
		t.Error("a page that answers early was not found")
	}
	t.Logf("%d of 60 were read early", wrong)
}

// What a browser says of itself is what the display is.
func TestBrowserIsJudgedRightly(t *testing.T) {
	for _, c := range []struct {
		what, says string
		flags      []string
	}{
		{"forced dark mode", "darkens pages", []string{"--force-dark-mode", "--enable-features=WebContentsForceDark"}},
		{"a window that is not the screen", "touch Begin", []string{"--window-size=600,400"}},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Parallel()
			screen := openDisplay(t, 801, 601)
			told := make(chan string, 100)
			s := New(Options{Say: func(text string) { told <- text }})
			t.Cleanup(func() { s.Close() })
			serve(t, s)
			ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
			defer cancel()
			b := openChromium(t, screen, s.server.URL(), c.flags...)
			b.run(t, "begin()") // as a person would
			go (&driver{source: s, clock: bench.NewRealClock()}).Open(ctx, bench.KindPatches, bench.Section{})
			for {
				select {
				case text := <-told:
					if strings.Contains(strings.ToLower(text), strings.ToLower(c.says)) {
						return
					}
				case <-ctx.Done():
					t.Fatalf("it was not said that %s", c.says)
				}
			}
		})
	}
}

// On a screen that the browser takes for one of P3, still images of P3 arrive with their own codes, to one of rounding;
// on others they are refused, since they would not.
func TestP3Stills(t *testing.T) {
	for _, c := range []struct {
		what, profile, why string
		flags              []string
	}{
		{"p3", "display-p3-d65", "", graphics},
		{"p3 without graphics hardware", "display-p3-d65", "graphics hardware", nil},
		{"srgb", "srgb", "less than P3", graphics},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Parallel()
			screen := openDisplay(t, 801, 451)
			d := openUnit(t, New(Options{}), func(url string) { openChromium(t, screen, url, append(c.flags, "--force-color-profile="+c.profile)...) })
			for _, rgb := range [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 1, 1}} {
				p := bench.Patch{RGB: rgb, Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.SDR, Space: bench.DisplayP3, Pattern: bench.Pattern{Kind: bench.Steps, Count: 256}}
				shown, err := d.Show(t.Context(), p)
				if c.why != "" {
					if err == nil || !strings.Contains(err.Error(), c.why) {
						t.Errorf("%v: %v", rgb, err)
					}
					continue
				}
				if err != nil || shown.Path != bench.PathPageP3 {
					t.Fatalf("%v: %+v, %v", rgb, shown, err)
				}
				f := screen.read(t)
				for _, r := range d.asPainted(t, p).Rects {
					if r.X >= f.w-1 {
						continue
					}
					got := f.at(r.X, 200)
					for k, v := range r.Code {
						if off := got[k] - v; off > 1 || off < -1 || off != 0 && (v == 0 || v == 255) {
							t.Errorf("%v became %v", r.Code, got)
						}
					}
				}
			}
		})
	}
}
