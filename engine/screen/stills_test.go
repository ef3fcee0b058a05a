package screen

import (
	"bytes"
	"image/png"
	"io"
	"net/http"
	"strings"
	"testing"

	"candelua/engine/bench"
)

// unitOf is the device of a fake page whose browser says something.
func unitOf(t *testing.T, says about) (*device, *fakePage) {
	t.Helper()
	s := quick(Options{})
	t.Cleanup(func() { s.Close() })
	serve(t, s)
	f := newFake(s.server.URL())
	f.about = says
	f.open(t)
	opened, err := (&driver{source: s, clock: bench.NewRealClock()}).Open(t.Context(), bench.KindPatches, bench.Section{})
	if err != nil {
		t.Fatal(err)
	}
	return opened.(*device), f
}

func TestPathsAreRefusedWithTheReason(t *testing.T) {
	sdr := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}
	p3, pq, hlg := sdr, sdr, sdr
	p3.Space, pq.Signal, hlg.Signal = bench.DisplayP3, bench.PQ, bench.HLG
	both := pq
	both.Space = bench.DisplayP3
	deep := sdr
	deep.Bits = 10
	for _, c := range []struct {
		what string
		says about
		p    bench.Patch
		path bench.Path
		why  string
	}{
		{"sdr", about{}, sdr, bench.PathPage, ""},
		{"10 bits of sdr", about{}, deep, "", "8"},
		{"p3", about{P3: "kept"}, p3, bench.PathPageP3, ""},
		{"p3 on less", about{P3: "narrow", High: true}, p3, "", "less than P3"},
		{"p3 on more", about{P3: "wide"}, p3, "", "more than P3"},
		{"p3 without graphics hardware", about{P3: "software"}, p3, "", "graphics hardware"},
		{"p3 converted", about{P3: "converted"}, p3, "", "converts P3 stills"},
		{"p3 unknown", about{P3: "unknown"}, p3, "", "verified"},
		{"p3 and a page that says nothing", about{}, p3, "", "verified"},
		{"pq", about{High: true}, pq, bench.PathPageHDR, ""},
		{"hlg", about{High: true}, hlg, bench.PathPageHDR, ""},
		{"pq on sdr", about{P3: "kept"}, pq, "", "no high dynamic range"},
		{"pq of p3", about{P3: "kept", High: true}, both, "", "space of its own"},
	} {
		d, f := unitOf(t, c.says)
		err := d.Paints(c.p)
		if c.why != "" {
			if err == nil || !strings.Contains(err.Error(), c.why) {
				t.Errorf("%s: %v", c.what, err)
			}
			if _, err := d.Show(t.Context(), c.p); err == nil {
				t.Errorf("%s was shown", c.what)
			}
			if _, err := d.Sequence(t.Context(), []bench.TimedPatch{{Patch: c.p, Hold: 0.01}}); err == nil {
				t.Errorf("%s was shown in a sequence", c.what)
			}
			continue
		}
		shown, err2 := d.Show(t.Context(), c.p)
		if err != nil || err2 != nil || shown.Path != c.path {
			t.Errorf("%s: path %q, %v, %v", c.what, shown.Path, err, err2)
			continue
		}
		f.mu.Lock()
		m := f.heard[len(f.heard)-1]
		for _, h := range f.heard {
			if h.Kind == "show" {
				m = h
			}
		}
		f.mu.Unlock()
		if isStill := m.Still != ""; isStill != (c.path != bench.PathPage) {
			t.Errorf("%s: sent %+v", c.what, m)
		}
	}
}

// A still of PQ has the code of the patch in 16 bits: 1023 is white. Decoded by the Go library.
func TestStillHasTheCodes(t *testing.T) {
	d, f := unitOf(t, about{High: true})
	const code = 520
	v := code / 1023.0
	shown, err := d.Show(t.Context(), bench.Patch{RGB: [3]float64{v, v, v}, Window: 25, At: [2]float64{0.5, 0.5}, Signal: bench.PQ})
	if err != nil || shown.Codes[0] != code {
		t.Fatalf("%+v, %v", shown, err)
	}
	get := func(path string) ([]byte, int) {
		r, err := http.Get(f.url + path)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		body, _ := io.ReadAll(r.Body)
		return body, r.StatusCode
	}
	f.mu.Lock()
	path := ""
	for _, m := range f.heard {
		path = max(path, m.Still)
	}
	f.mu.Unlock()
	body, _ := get(path)
	img, err := png.Decode(bytes.NewReader(body))
	if err != nil || img.Bounds().Dx() != 400 || img.Bounds().Dy() != 300 {
		t.Fatalf("%v, %v", err, img)
	}
	if r, _, _, _ := img.At(200, 150).RGBA(); r != (code*65535*2+1023)/(2*1023) {
		t.Errorf("the sample is %d", r)
	}
	if _, status := get("still/0.png"); status != 404 {
		t.Errorf("a still that nobody asked for: %d", status)
	}
	if body, status := get("still/probe.png"); status != 200 || !bytes.Contains(body, []byte("cICP")) {
		t.Errorf("the probe: %d", status)
	}
}
