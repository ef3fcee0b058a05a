package screen

import (
	"encoding/json"
	"strings"
	"testing"
	"time"
)

// good is a page as it must be.
func good() state {
	return state{Box: [2]int{1080, 2400}, CSS: [2]float64{411.43, 914.29}, Outer: [2]float64{411, 914}, Screen: [2]float64{411, 914}, Ratio: 2.625, Scale: 1, Visible: true, Full: true, Begun: true}
}

func TestTrouble(t *testing.T) {
	for _, c := range []struct {
		what   string
		change func(*state)
		says   string
	}{
		{"nothing", func(*state) {}, ""},
		{"not in focus", func(s *state) { s.Focus = false }, ""}, // the terminal has it, on another monitor
		{"a screen that is told upright", func(s *state) {
			s.Box, s.CSS, s.Outer = [2]int{2400, 1080}, [2]float64{914.29, 411.43}, [2]float64{914, 411}
		}, ""},
		{"an odd pixel", func(s *state) { s.Box[0]++ }, ""},
		{"hidden", func(s *state) { s.Visible = false }, "Bring it to the front"},
		{"dark", func(s *state) { s.Dark = true }, "dark mode"},
		{"forced", func(s *state) { s.Forced = true }, "high contrast"},
		{"inverted", func(s *state) { s.Inverted = true }, "inverts colours"},
		{"pinched", func(s *state) { s.Scale = 2 }, "enlarged 2 times"},
		{"empty", func(s *state) { s.Box = [2]int{} }, "no size"},
		{"a bar at the top", func(s *state) { s.Box[1] = 2290; s.CSS[1] = 872.4; s.Outer[1] = 872 }, "1080 x 2290 pixels, and the screen has about 1079 x 2399"},
		// The window is as before, and the page's own units in it are larger: by a half.
		{"zoomed", func(s *state) { s.Ratio *= 1.5; s.CSS = [2]float64{274.3, 609.5} }, "zoomed to 150 %"},
		{"zoomed out", func(s *state) { s.Ratio /= 2; s.CSS = [2]float64{822.9, 1828.6} }, "zoomed to 50 %"},
	} {
		s := good()
		c.change(&s)
		if got := s.trouble(); c.says == "" && got != "" || !strings.Contains(got, c.says) {
			t.Errorf("%s: %q, want %q", c.what, got, c.says)
		}
	}
}

// Each word of the page for a lapse has words of ours, and the page has no others.
func TestLapsesHaveWords(t *testing.T) {
	for what := range lapses {
		if n := strings.Count(string(document), `"`+what+`"`); n == 0 {
			t.Errorf("the page never says %q", what)
		}
	}
	for _, part := range strings.Split(string(document), "note(")[1:] {
		word, _, _ := strings.Cut(strings.TrimLeft(part, `"`), `"`)
		if strings.HasPrefix(part, `"`) && lapses[word] == "" {
			t.Errorf("the page says %q, which has no words here", word)
		}
	}
}

// Whatever a page sends, it is understood or refused, and never taken for what it cannot be.
func FuzzReadMessage(f *testing.F) {
	s := good()
	text, _ := json.Marshal(heard{Kind: "painted", Number: 1, At: 1, State: &s})
	f.Add(string(text))
	f.Add(`{"kind":"state","state":{"box":[1e9,-1]}}`)
	f.Add(`{"kind":"echo","now":1e300}`)
	f.Add(`[]`)
	f.Fuzz(func(t *testing.T, text string) {
		m, err := readMessage([]byte(text))
		if err != nil {
			return
		}
		var c pageClock
		c.add(time.Now(), time.Now(), m.Now)
		c.time(m.At)
		if m.State != nil {
			m.State.words()
			if b := m.State.Box; b[0] < 0 || b[0] > mostPixels || b[1] < 0 || b[1] > mostPixels {
				t.Errorf("a box of %v", b)
			}
		}
	})
}

// The estimate of a page's clock holds the truth, however unequal the two ways of an echo are.
func TestPageClock(t *testing.T) {
	base := time.Now()
	const truth = 5 * time.Hour // the page's zero, after base
	var c pageClock
	if _, _, ok := c.time(0); ok {
		t.Error("a clock without an echo is known")
	}
	for n, way := range [][2]time.Duration{{40, 2}, {1, 90}, {3, 1}, {20, 20}, {0, 300}} {
		sent := base.Add(time.Duration(n) * time.Second)
		at := sent.Add(way[0] * time.Millisecond)
		page := float64(at.Sub(base)-truth) / 1e6
		c.add(sent, at.Add(way[1]*time.Millisecond), page)
		got, u, ok := c.time(page)
		if off := got.Sub(at).Abs(); !ok || float64(off) > float64(u)*1.7321+1e6*0.01 {
			t.Errorf("echo %d: off by %v, stated uncertainty %v", n, off, u)
		}
	}
	if _, u, _ := c.time(float64(-truth) / 1e6); u > 2*time.Millisecond {
		t.Errorf("the shortest echo took 4 ms, and the uncertainty is %v", u)
	}
	for range 1000 {
		c.add(base, base, 0)
	}
	if len(c.samples) > mostEchoes {
		t.Errorf("%d echoes are kept", len(c.samples))
	}
}
