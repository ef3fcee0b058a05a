//go:build linux

package screen

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"candelua/engine/bench"
	"candelua/testdata/campaign"
)

// quietly has Firefox show nothing but the page.
const quietly = `
user_pref("browser.aboutwelcome.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("browser.startup.homepage_override.mstone", "ignore");
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("datareporting.policy.dataSubmissionPolicyBypassNotification", true);
user_pref("toolkit.telemetry.reportingpolicy.firstRun", false);
user_pref("app.update.enabled", false);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("browser.safebrowsing.malware.enabled", false);
user_pref("browser.safebrowsing.phishing.enabled", false);
user_pref("extensions.update.enabled", false);
user_pref("services.settings.server", "http://127.0.0.1:1/");
`

// openFirefox opens a page in full screen, without any tool that drives the browser.
func openFirefox(t testing.TB, d *display, url string, ratio float64) {
	t.Helper()
	campaign.Needs(t, "firefox-esr", "apt-get install firefox-esr")
	profile := t.TempDir()
	prefs := quietly + fmt.Sprintf("user_pref(\"layout.css.devPixelsPerPx\", %q);\n", fmt.Sprint(ratio))
	if err := os.WriteFile(filepath.Join(profile, "user.js"), []byte(prefs), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("firefox-esr", "--no-remote", "--kiosk", "--profile", profile, "--width", inUnits(d.w, ratio), "--height", inUnits(d.h, ratio), url)
	cmd.Env = append(os.Environ(), "DISPLAY="+d.name, "HOME="+profile, "MOZ_ENABLE_WAYLAND=0", "MOZ_CRASHREPORTER_DISABLE=1")
	start(t, cmd)
}

// inUnits is a length in the browser's own units.
func inUnits(pixels int, ratio float64) string {
	return fmt.Sprint(math.Round(float64(pixels) / ratio))
}

// In Firefox, which has no Element Timing, codes and areas are exact, and no patch is read early.
func TestFirefox(t *testing.T) {
	for _, ratio := range []float64{1, 1.5, 2} {
		t.Run(fmt.Sprint(ratio), func(t *testing.T) {
			t.Parallel()
			screen := openDisplay(t, 1404, 918)
			d := openUnit(t, New(Options{Say: func(text string) { t.Log(text) }}), func(url string) { openFirefox(t, screen, url, ratio) })
			middle := [2]float64{0.5, 0.5}
			for _, p := range []bench.Patch{
				{RGB: [3]float64{1, 0.4, 0}, Background: [3]float64{0.1, 0.1, 0.1}, Window: 10, At: middle, Signal: bench.SDR},
				{RGB: [3]float64{1, 1, 1}, Window: 100, At: middle, Signal: bench.SDR},
				{RGB: [3]float64{1, 0, 0}, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Steps, Count: 256}},
				{RGB: [3]float64{0, 1, 0}, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Steps, Count: 256}},
				{RGB: [3]float64{0, 0, 1}, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Steps, Count: 256}},
				{RGB: [3]float64{1, 1, 0}, Window: 100, At: middle, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 7, Rows: 5}},
			} {
				if _, err := d.Show(t.Context(), p); err != nil {
					t.Fatal(err)
				}
				if why := screen.read(t).differs(d.asPainted(t, p)); why != "" {
					t.Errorf("%+v: %s", p, why)
				}
			}
		})
	}
}

func TestNoneIsReadEarlyInFirefox(t *testing.T) {
	t.Parallel()
	n := campaign.Of(t, 20, 40)
	wrong, lit := readEarly(t, loaded(t), n, func(d *display, url string) { openFirefox(t, d, url, 1) })
	if wrong > 0 {
		t.Errorf("%d of %d patches were not on the screen when they were lit", wrong, n)
	}
	t.Log("from asking to lit:", quantiles(lit))
}
