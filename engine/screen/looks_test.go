//go:build linux

package screen

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/testdata/campaign"
)

// The page's words fit phones and tablets, light or dark, and can be read. With the variable LOOKS pictures of them are
// left in that folder, for people to look at.
func TestWordsFit(t *testing.T) {
	t.Parallel()
	screen := openDisplay(t, 801, 601)
	s := New(Options{})
	t.Cleanup(func() { s.Close() })
	serve(t, s)
	b := openChromium(t, screen, s.server.URL())
	time.Sleep(time.Second)
	checked := axe(t)
	b.run(t, "ended = 'refused'; socket.close()") // alone from here on
	for device, size := range map[string][3]int{"phone": {360, 740, 3}, "phone-lying": {740, 360, 3}, "tablet": {820, 1180, 2}} {
		b.ask(t, "tab:Emulation.setDeviceMetricsOverride", map[string]any{"width": size[0], "height": size[1], "deviceScaleFactor": size[2], "mobile": true}, nil)
		for _, scheme := range []string{"light", "dark"} {
			b.ask(t, "tab:Emulation.setEmulatedMedia", map[string]any{"features": []map[string]string{{"name": "prefers-color-scheme", "value": scheme}}}, nil)
			for _, state := range []string{"start", "hint", "ready", "paused", "lost", "replaced", "refused", "over"} {
				text := map[string]string{"paused": "The page has 1080 x 2290 pixels, and the screen has about 1080 x 2400. Put the page in full screen.",
					"refused": "Another page is in use as the display under test. Close that one, or start candelua with --take to use this one."}[state]
				b.run(t, fmt.Sprintf("say(%q, %q)", state, text))
				if wide := b.run(t, "document.querySelector('#words').scrollWidth > innerWidth"); wide != false {
					t.Errorf("%s on a %s: words are cut at the side", state, device)
				}
				if low := b.run(t, "(() => { const r = document.querySelector('main').getBoundingClientRect(); return r.top < 0 })()"); low != false {
					t.Errorf("%s on a %s: the top cannot be reached", state, device)
				}
				if dim := b.run(t, contrast); dim != "" {
					t.Errorf("%s on a %s: %v", state, device, dim)
				}
				if device == "phone" {
					for _, found := range checked(b) {
						t.Errorf("%s on a %s: %s", state, device, found)
					}
				}
				if to := os.Getenv("LOOKS"); to != "" {
					var shot struct{ Data string }
					b.ask(t, "tab:Page.captureScreenshot", nil, &shot)
					png, _ := base64.StdEncoding.DecodeString(shot.Data)
					os.WriteFile(filepath.Join(to, strings.Join([]string{state, device, scheme}, "-")+".png"), png, 0o600)
				}
			}
		}
	}
}

// axe gives the checker of accessibility, which names what it finds in the page. Its file is named by the environment.
func axe(t *testing.T) func(*browser) []string {
	t.Helper()
	path := os.Getenv("CANDELUA_AXE")
	if path == "" {
		const install = "npm install axe-core, and set CANDELUA_AXE to the path of its axe.min.js"
		if campaign.Full() {
			t.Fatal("the checker of accessibility is missing: " + install)
		}
		t.Log("accessibility is not checked; " + install)
		return func(*browser) []string { return nil }
	}
	checker, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return func(b *browser) (found []string) {
		if b.run(t, "typeof axe") == "undefined" {
			b.run(t, string(checker)+"; 0")
		}
		text := b.run(t, `axe.run({ runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }).then(r =>
			JSON.stringify(r.violations.map(v => v.id + ": " + v.nodes.map(n => n.target + " " + n.failureSummary).join("; "))))`)
		if err := json.Unmarshal([]byte(fmt.Sprint(text)), &found); err != nil {
			t.Fatal(err)
		}
		return found
	}
}

// contrast finds words that differ from black by less than 4.5 to 1.
//
// Source: [WCAG 2.2], success criterion 1.4.3, and the relative luminance that it defines.
const contrast = `(() => {
	const dim = [];
	for (const e of document.querySelectorAll("main *")) {
		if (!e.textContent.trim() || e.hidden || e.closest("[hidden]") || e.tagName === "UL") continue;
		const light = c => { const [r, g, b] = c.match(/\d+/g).map(n => { n /= 255; return n <= 0.04045 ? n / 12.92 : ((n + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
		const s = getComputedStyle(e);
		const back = s.backgroundColor === "rgba(0, 0, 0, 0)" ? 0 : light(s.backgroundColor);
		const fore = light(s.color), ratio = (Math.max(fore, back) + 0.05) / (Math.min(fore, back) + 0.05);
		if (ratio < 4.5) dim.push(e.id + " " + ratio);
	}
	return dim.join(", ");
})()`

// A page that hears nothing for ten seconds is black, and says so; the patch stands until then.
func TestPageIsSafeAlone(t *testing.T) {
	t.Parallel()
	screen := openDisplay(t, 641, 401)
	s := New(Options{})
	var b *browser
	d := openUnit(t, s, func(url string) { b = openChromium(t, screen, url) })
	white := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}
	if _, err := d.Show(t.Context(), white); err != nil {
		t.Fatal(err)
	}
	// The connection stays, and nothing comes over it any more: as if the engine were stopped, or the network cut.
	b.run(t, "take.echo = () => {}; socket.onmessage = () => {}")
	began := time.Now()
	for {
		rgb, err := screen.pixel(10, 10)
		if err != nil {
			t.Fatal(err)
		}
		after := time.Since(began)
		if rgb == [3]int{} {
			if after < 8*time.Second || after > 12*time.Second {
				t.Errorf("it was black after %v", after)
			}
			break
		}
		if after > 20*time.Second {
			t.Fatal("it is still not black")
		}
		time.Sleep(50 * time.Millisecond)
	}
}
