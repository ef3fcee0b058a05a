//go:build unix

package main

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"time"

	"github.com/coder/websocket"
	"github.com/rogpeppe/go-internal/testscript"
)

// openUnit is the display under test in a story: unit ADDRESS SEEN [hide] waits for the file with the page's address,
// speaks as the page does, and writes the code that it shows into the file SEEN, which the story's meter reads. With
// hide it is hidden for a moment while the third patch is shown.
func openUnit(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 2 {
		ts.Fatalf("usage: unit ADDRESS SEEN [hide]")
	}
	path, seen, hide := ts.MkAbs(args[0]), ts.MkAbs(args[1]), len(args) > 2
	ctx, stop := context.WithTimeout(context.Background(), 30*time.Second)
	ts.Defer(stop)
	go func() {
		for ctx.Err() == nil {
			if address, err := os.ReadFile(path); err == nil {
				showPatches(ctx, strings.TrimSpace(string(address)), seen, hide)
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
	}()
}

func showPatches(ctx context.Context, address, seen string, hide bool) {
	origin := strings.Join(strings.Split(address, "/")[:3], "/")
	c, _, err := websocket.Dial(ctx, address+"socket", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {origin}}})
	if err != nil {
		return
	}
	defer c.CloseNow()
	c.SetReadLimit(-1)
	state := map[string]any{"box": []int{64, 48}, "css": []int{64, 48}, "outer": []int{64, 48}, "screen": []int{64, 48}, "ratio": 1, "scale": 1, "visible": true, "full": true, "begun": true, "awake": "told", "lapses": 0}
	say := func(m map[string]any) {
		m["state"], m["now"] = state, float64(time.Now().UnixMilli())
		text, _ := json.Marshal(m)
		c.Write(ctx, websocket.MessageText, text)
	}
	say(map[string]any{"kind": "hello", "page": "story", "about": map[string]any{"browser": "a story", "gamut": "srgb", "bits": 8}})
	for patches := 0; ; {
		_, text, err := c.Read(ctx)
		if err != nil {
			return
		}
		var m struct {
			Kind       string
			ID, Number int
			Rects      [][7]int
		}
		if json.Unmarshal(text, &m) != nil {
			return
		}
		switch m.Kind {
		case "echo":
			say(map[string]any{"kind": "echo", "id": m.ID})
		case "show":
			code := m.Rects[len(m.Rects)-1][5]
			line, _ := json.Marshal(code)
			os.WriteFile(seen, append(line, '\n'), 0o600)
			say(map[string]any{"kind": "painted", "number": m.Number, "at": float64(time.Now().UnixMilli()), "how": "frames"})
			if patches++; hide && patches == 3 {
				os.WriteFile(seen, []byte("hidden\n"), 0o600)
				state["visible"], state["lapses"] = false, 1
				say(map[string]any{"kind": "state"})
				time.Sleep(50 * time.Millisecond)
				state["visible"] = true
				say(map[string]any{"kind": "state"})
			}
		}
	}
}
