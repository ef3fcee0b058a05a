package watch

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"

	"candelua/testdata/campaign"
)

// chromium is a headless browser that a test drives through its debugging protocol.
type chromium struct {
	*testing.T
	conn    *websocket.Conn
	session string

	mu      sync.Mutex
	last    int
	waiting map[int]chan reply
	heard   func(method string, params json.RawMessage)
}

type reply struct {
	Result json.RawMessage
	Error  *struct{ Message string }
}

// browse starts a browser, where there is one.
func browse(t *testing.T) *chromium {
	t.Helper()
	campaign.Needs(t, "chromium", "apt-get install chromium")
	dir := t.TempDir()
	cmd := exec.Command("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--disable-background-networking", "--disable-extensions",
		"--remote-debugging-port=0", "--user-data-dir="+dir, "about:blank")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		time.Sleep(100 * time.Millisecond) // its children let go of the folder
	})
	var lines []string
	for until := time.Now().Add(within); len(lines) < 2; time.Sleep(20 * time.Millisecond) {
		text, _ := os.ReadFile(filepath.Join(dir, "DevToolsActivePort"))
		if lines = strings.Fields(string(text)); time.Now().After(until) {
			t.Fatal("the browser does not start")
		}
	}
	conn, _, err := websocket.Dial(t.Context(), "ws://127.0.0.1:"+lines[0]+lines[1], nil)
	if err != nil {
		t.Fatal(err)
	}
	conn.SetReadLimit(-1)
	b := &chromium{T: t, conn: conn, waiting: map[int]chan reply{}}
	go b.listen()
	var target struct{ TargetID, SessionID string }
	b.asks("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	b.asks("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &target)
	b.session = target.SessionID
	for _, domain := range []string{"Page", "Runtime", "Network", "Log"} {
		b.asks(domain+".enable", nil, nil)
	}
	return b
}

func (b *chromium) listen() {
	for {
		_, text, err := b.conn.Read(context.Background())
		if err != nil {
			return
		}
		var m struct {
			ID     int
			Method string
			Params json.RawMessage
			reply
		}
		if json.Unmarshal(text, &m) != nil {
			continue
		}
		b.mu.Lock()
		answered, heard := b.waiting[m.ID], b.heard
		delete(b.waiting, m.ID)
		b.mu.Unlock()
		switch {
		case answered != nil:
			answered <- m.reply
		case heard != nil && m.Method != "":
			heard(m.Method, m.Params)
		}
	}
}

// sends sends a command, and gives where its answer comes.
func (b *chromium) sends(method string, params any) chan reply {
	b.mu.Lock()
	b.last++
	id, answered := b.last, make(chan reply, 1)
	b.waiting[id] = answered
	session := b.session
	b.mu.Unlock()
	command := map[string]any{"id": id, "method": method}
	if params != nil {
		command["params"] = params
	}
	if session != "" {
		command["sessionId"] = session
	}
	text, err := json.Marshal(command)
	if err == nil {
		err = b.conn.Write(context.Background(), websocket.MessageText, text)
	}
	if err != nil {
		b.Error(err)
	}
	return answered
}

func (b *chromium) asks(method string, params, result any) {
	b.Helper()
	select {
	case r := <-b.sends(method, params):
		if r.Error != nil {
			b.Fatalf("%s: %s", method, r.Error.Message)
		}
		if result != nil {
			if err := json.Unmarshal(r.Result, result); err != nil {
				b.Fatal(err)
			}
		}
	case <-time.After(within):
		b.Fatalf("%s has no answer", method)
	}
}

// does evaluates in the page, and gives what that gives.
func (b *chromium) does(script string) any {
	b.Helper()
	var r struct {
		Result           struct{ Value any }
		ExceptionDetails *struct {
			Text      string
			Exception struct{ Description string }
		}
	}
	b.asks("Runtime.evaluate", map[string]any{"expression": script, "returnByValue": true, "awaitPromise": true}, &r)
	if r.ExceptionDetails != nil {
		b.Fatalf("%s\n%s %s", script, r.ExceptionDetails.Text, r.ExceptionDetails.Exception.Description)
	}
	return r.Result.Value
}

// waits waits until a script gives true.
func (b *chromium) waits(script string) {
	b.Helper()
	for until := time.Now().Add(within); b.does(script) != true; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(until) {
			b.Fatalf("it does not become so: %s; the page says\n%v", script, b.does("document.body.innerText"))
		}
	}
}

func (b *chromium) opens(url string) {
	b.Helper()
	b.asks("Page.navigate", map[string]any{"url": url}, nil)
	b.waits(`document.readyState === "complete" && location.protocol !== "about:"`)
}

// sized sets the size of the window in CSS pixels.
func (b *chromium) sized(width, height int) {
	b.Helper()
	b.asks("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false}, nil)
}

// troubles collects what a page must not do: errors on its console, and requests elsewhere.
type troubles struct {
	mu  sync.Mutex
	all []string
}

func (b *chromium) watchesFor(own string) *troubles {
	w := &troubles{}
	add := func(format string, args ...any) {
		w.mu.Lock()
		defer w.mu.Unlock()
		w.all = append(w.all, fmt.Sprintf(format, args...))
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.heard = func(method string, params json.RawMessage) {
		switch method {
		case "Runtime.exceptionThrown", "Runtime.consoleAPICalled", "Log.entryAdded", "Page.javascriptDialogOpening":
			add("%s: %s", method, params)
		case "Network.requestWillBeSent":
			var r struct{ Request struct{ URL string } }
			if url := r.Request.URL; json.Unmarshal(params, &r) != nil || !strings.HasPrefix(r.Request.URL, own) && !strings.HasPrefix(r.Request.URL, "data:") {
				add("a request: %s%s", url, r.Request.URL)
			}
		case "Network.webSocketCreated":
			var r struct{ URL string }
			if json.Unmarshal(params, &r) != nil || r.URL != strings.Replace(own, "http", "ws", 1)+"socket" {
				add("a socket: %s", r.URL)
			}
		}
	}
	return w
}

func (w *troubles) none(t *testing.T) {
	t.Helper()
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, one := range w.all {
		t.Error(one)
	}
}
