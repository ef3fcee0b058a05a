//go:build linux

package screen

import (
	"math"
	"syscall"
	"testing"
	"time"
)

// withChromium is a rig whose unit is a browser on a display, and whose meter reads the middle of its frame buffer.
func withChromium(t testing.TB, flags ...string) (*rig, *display, *browser) {
	t.Helper()
	screen := openDisplay(t, 641, 401)
	s := New(Options{Say: func(text string) { t.Log(text) }})
	t.Cleanup(func() { s.Close() })
	serve(t, s)
	b := openChromium(t, screen, s.server.URL(), flags...)
	r := &rig{source: s, eye: &eye{read: func() (x, y, z float64) {
		rgb, err := screen.pixel(320, 200)
		if err != nil {
			t.Error(err)
		}
		return xyzOf(rgb)
	}}}
	return r, screen, b
}

// Shipped procedures run with a real browser as the unit. Each reading is that of the code which was asked for.
func TestProceduresOnABrowser(t *testing.T) {
	for _, c := range []struct {
		procedure string
		set       []string
		flags     []string
	}{
		{"window-sweep", []string{"windows=10,25,100", "rest=0", "delay=0.1", "longest_settling=0"}, nil},
		{"tone-response", []string{"steps=6", "delay=0.1", "longest_settling=0"}, nil},
		{"chart", []string{"colours=20", "delay=0.1", "longest_settling=0"}, nil},
		{"gamut", []string{"rest=0", "delay=0.1", "longest_settling=0", "space=display-p3"}, append(graphics, "--force-color-profile=display-p3-d65")},
	} {
		t.Run(c.procedure, func(t *testing.T) {
			t.Parallel()
			r, _, _ := withChromium(t, c.flags...)
			_, folder, rep := r.run(t, c.procedure, c.set...)
			if rep.Err != nil {
				t.Fatal(rep.Err)
			}
			rows := columns(t, folder, "Y (cd/m2)", "red", "green", "blue")
			for _, row := range rows {
				var v [4]float64
				for i := range v {
					v[i] = number(row[i])
				}
				var code [3]int
				for i := range code {
					code[i] = int(math.Round(v[i+1] * 255))
				}
				if _, want, _ := xyzOf(code); math.Abs(v[0]-want) > 1e-6*want {
					t.Errorf("read %v cd/m², and code %v is %v", v[0], code, want)
				}
			}
			t.Logf("%d readings, %s", len(rows), r.warnings())
		})
	}
}

// Whatever happens to a real page, no reading is wrong, the run waits, and its results are those of a run to which
// nothing happened.
func TestFaultsOnABrowser(t *testing.T) {
	r, _, _ := withChromium(t)
	want, _, rep := r.run(t, stairs)
	if rep.Err != nil {
		t.Fatal(rep.Err)
	}
	later := func(d time.Duration, do func()) { go func() { time.Sleep(d); do() }() }
	size := func(t *testing.T, b *browser, w, h int, ratio float64) {
		b.ask(t, "tab:Emulation.setDeviceMetricsOverride", map[string]any{"width": w, "height": h, "deviceScaleFactor": ratio, "mobile": false}, nil)
	}
	back := func(b *browser) { b.try("tab:Emulation.clearDeviceMetricsOverride", nil, nil) }
	for what, happens := range map[string]func(*testing.T, *browser){
		"hidden": func(t *testing.T, b *browser) {
			var other struct{ TargetID string }
			b.ask(t, "Target.createTarget", map[string]any{"url": "about:blank"}, &other)
			later(time.Second, func() { b.try("Target.closeTarget", map[string]any{"targetId": other.TargetID}, nil) })
		},
		"frozen": func(t *testing.T, b *browser) {
			group := -b.cmd.Process.Pid
			syscall.Kill(group, syscall.SIGSTOP)
			later(5*time.Second, func() { syscall.Kill(group, syscall.SIGCONT) })
		},
		"reloaded": func(t *testing.T, b *browser) { b.ask(t, "tab:Page.reload", nil, nil) },
		"resized":  func(t *testing.T, b *browser) { size(t, b, 400, 401, 1); later(time.Second, func() { back(b) }) },
		"rotated":  func(t *testing.T, b *browser) { size(t, b, 401, 641, 1); later(time.Second, func() { back(b) }) },
		"zoomed":   func(t *testing.T, b *browser) { size(t, b, 641, 401, 1.25); later(time.Second, func() { back(b) }) },
		"pinched": func(t *testing.T, b *browser) {
			b.ask(t, "tab:Emulation.setPageScaleFactor", map[string]any{"pageScaleFactor": 1.5}, nil)
			later(time.Second, func() { b.try("tab:Emulation.setPageScaleFactor", map[string]any{"pageScaleFactor": 1}, nil) })
		},
		"darkened": func(t *testing.T, b *browser) {
			b.ask(t, "tab:Emulation.setAutoDarkModeOverride", map[string]any{"enabled": true}, nil)
			later(time.Second, func() { b.try("tab:Emulation.setAutoDarkModeOverride", map[string]any{"enabled": false}, nil) })
		},
		"cut off": func(t *testing.T, b *browser) {
			b.run(t, "socket.close()")
		},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			r, _, b := withChromium(t)
			r.eye.before = func(n int) {
				if n == 6 {
					happens(t, b)
				}
			}
			got, _, rep := r.run(t, stairs)
			if rep.Err != nil || got != want {
				t.Errorf("%v; the results are\n%s\nand must be\n%s", rep.Err, got, want)
			}
			t.Log(r.warnings())
			if r.warnings() == "" {
				t.Error("the run was not paused")
			}
		})
	}
}
