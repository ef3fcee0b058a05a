//go:build unix

package main

import (
	"encoding/json"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/coder/websocket"

	"candelua/engine/progress"
)

// watching starts a run that is watched, and opens its view as a page does; read gives one view after another, or how they end.
func watching(t *testing.T, dir string, args ...string) (p *process, c *websocket.Conn, read func() (progress.View, error)) {
	t.Helper()
	p = start(t, dir, append(args, "--watch", "127.0.0.1:0")...)
	address := regexp.MustCompile(`watch the run at (http://127\.0\.0\.1:\d+)/([0-9a-f]{32}/)\n`)
	until(t, "the address", func() bool { return address.MatchString(p.err.String()) })
	m := address.FindStringSubmatch(p.err.String())
	c, _, err := websocket.Dial(t.Context(), strings.Replace(m[1], "http", "ws", 1)+"/"+m[2]+"socket", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {m[1]}}})
	if err != nil {
		t.Fatal(err)
	}
	c.SetReadLimit(-1)
	t.Cleanup(func() { c.CloseNow() })
	return p, c, func() (progress.View, error) {
		for {
			var message struct{ View *progress.View }
			_, text, err := c.Read(t.Context())
			if err == nil {
				err = json.Unmarshal(text, &message)
			}
			if err != nil || message.View != nil {
				if message.View == nil {
					message.View = &progress.View{}
				}
				return *message.View, err
			}
		}
	}
}

// A page that asks for a pause does what Ctrl-C does once, and the run comes to the same when it is resumed.
func TestPausedOnThePage(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	p, c, next := watching(t, dir, "run", "./slow.lua", "--speed", "3")
	var v progress.View
	var err error
	for v.Step < 2 && err == nil {
		v, err = next()
	}
	if err == nil {
		err = c.Write(t.Context(), websocket.MessageText, []byte(`{"do":"pause"}`))
	}
	for err == nil {
		var now progress.View
		if now, err = next(); err == nil {
			v = now
		}
	}
	if websocket.CloseStatus(err) != websocket.StatusNormalClosure {
		t.Errorf("the view ended with %v", err)
	}
	if v.Status != progress.Paused || !v.Simulated || v.Title != "Slow" || v.Why != "Somebody paused the run." || v.Next != "candelua resume runs/slow-1" {
		t.Errorf("the last view is %+v", v)
	}
	if status := p.status(t); status != statusPaused || !strings.Contains(p.err.String(), "stopping after the current reading, as somebody asked on the page") {
		t.Errorf("status %d, and\n%s", status, p.err.String())
	}
	goOn(t, dir)
}

// A page learns that the engine was killed, and the run goes on as if it had not been watched, with a view of its own.
func TestWatchedAndKilled(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	p, _, next := watching(t, dir, "run", "./slow.lua", "--speed", "3")
	var v progress.View
	var err error
	for v.Step < 2 && err == nil {
		v, err = next()
	}
	p.signal(t, os.Kill)
	for err == nil {
		_, err = next()
	}
	if websocket.CloseStatus(err) == websocket.StatusNormalClosure {
		t.Errorf("the view ended as if the command had: %v", err)
	}
	p.status(t)
	p, _, next = watching(t, dir, "resume", "runs/slow-1", "--speed", "3")
	for v, err = next(); v.Step < 3 && err == nil; v, err = next() {
	}
	if err != nil || v.Status != progress.Running || v.Folder != "runs/slow-1" {
		t.Errorf("the resumption is shown as %+v, %v", v, err)
	}
	p.signal(t, os.Kill)
	p.status(t)
	goOn(t, dir)
}

// An address that cannot be served is told before anything is done.
func TestWatchFlag(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	for _, address := range []string{"nowhere", "127.0.0.1:123456", "http://127.0.0.1:80"} {
		p := start(t, dir, "run", "./slow.lua", "--watch", address)
		if status := p.status(t); status != statusUsage || !strings.Contains(p.err.String(), "candelua: error: --watch: ") || !strings.Contains(p.err.String(), "candelua: hint: ") {
			t.Errorf("%s: status %d, and\n%s", address, status, p.err.String())
		}
	}
	if _, err := os.Stat(dir + "/runs"); err == nil {
		t.Error("a run was begun")
	}
}

// An address is drawn as a code where another machine can open it.
func TestForOthers(t *testing.T) {
	for address, want := range map[string]bool{"http://127.0.0.1:8380/0123/": false, "http://127.8.0.1/": false, "http://[::1]:8380/": false, "http://localhost:8380/": false,
		"http://192.168.1.7:8380/0123/": true, "http://[fe80::1]:8380/": true, "https://bench.example/": true, ":": false} {
		if got := forOthers(address); got != want {
			t.Errorf("%s: %v", address, got)
		}
	}
}
