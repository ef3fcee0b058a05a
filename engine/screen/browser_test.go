//go:build linux

package screen

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"

	"candelua/testdata/campaign"
)

// A display without a monitor: its frame buffer is a file, which the meter of these tests reads. What it reads is what
// a monitor would be sent. Browsers' own screenshots force a frame, and could not catch an early answer.
type display struct {
	name   string // as DISPLAY has it
	buffer string // the file
	w, h   int
	offset int64
	line   int // bytes
}

// openDisplay starts an X server without a monitor. Tests with a browser take long: they run with CI, or with the
// variable BROWSERS.
func openDisplay(t testing.TB, w, h int) *display {
	t.Helper()
	if !campaign.Full() && os.Getenv("BROWSERS") == "" {
		t.Skip("tests with real browsers run with CI=true or BROWSERS=1")
	}
	campaign.Needs(t, "Xvfb", "apt-get install xvfb")
	folder := t.TempDir()
	r, wr, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	cmd := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", fmt.Sprintf("%dx%dx24", w, h), "-fbdir", folder, "-nolisten", "tcp", "-nocursor")
	cmd.ExtraFiles = []*os.File{wr}
	start(t, cmd)
	wr.Close()
	number, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatalf("the X server did not start: %v", err)
	}
	d := &display{name: ":" + strings.TrimSpace(number), buffer: filepath.Join(folder, "Xvfb_screen0"), w: w, h: h}
	d.header(t)
	return d
}

// header reads where the pixels are. Source: XWDFile.h of the X Window System, version 7: numbers of 32 bits, the most
// significant byte first.
func (d *display) header(t testing.TB) {
	f, err := os.Open(d.buffer)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var h [25]uint32
	if err := binary.Read(f, binary.BigEndian, &h); err != nil {
		t.Fatal(err)
	}
	if h[1] != 7 || h[11] != 32 || h[14] != 0xff0000 || h[15] != 0xff00 || h[16] != 0xff || int(h[4]) != d.w || int(h[5]) != d.h || h[7] != 0 {
		t.Fatalf("the frame buffer is of another kind: %v", h)
	}
	d.offset, d.line = int64(h[0])+12*int64(h[19]), int(h[12])
}

// frame is what is on the display now.
type frame struct {
	w, h, line int
	pix        []byte
}

func (d *display) read(t testing.TB) frame {
	t.Helper()
	f, err := os.Open(d.buffer)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	pix := make([]byte, d.line*d.h)
	if _, err := f.ReadAt(pix, d.offset); err != nil {
		t.Fatal(err)
	}
	return frame{d.w, d.h, d.line, pix}
}

// pixel reads one pixel only: quickly, as a meter would.
func (d *display) pixel(x, y int) (rgb [3]int, err error) {
	f, err := os.Open(d.buffer)
	if err != nil {
		return rgb, err
	}
	defer f.Close()
	var p [4]byte
	_, err = f.ReadAt(p[:], d.offset+int64(y*d.line+4*x))
	return [3]int{int(p[2]), int(p[1]), int(p[0])}, err
}

func (f frame) at(x, y int) [3]int {
	p := f.pix[y*f.line+4*x:]
	return [3]int{int(p[2]), int(p[1]), int(p[0])}
}

// start starts a program that ends with the test, and all that it started with it.
func start(t testing.TB, cmd *exec.Cmd) {
	t.Helper()
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = nil, &said
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		syscall.Kill(-cmd.Process.Pid, syscall.SIGCONT)
		syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
		cmd.Wait()
		if t.Failed() {
			t.Logf("%s said: %.2000s", cmd.Path, said.String())
		}
	})
}

// browser is a Chromium that shows a page on a display, with the protocol by which its tools speak to it.
type browser struct {
	cmd  *exec.Cmd
	conn *websocket.Conn
	mu   sync.Mutex
	id   int
	wait map[int]chan json.RawMessage
	tab  string // the session of the tab
}

// graphics has Chromium paint as with graphics hardware, which is simulated.
var graphics = []string{"--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"}

// openChromium opens a page in full screen.
func openChromium(t testing.TB, d *display, url string, flags ...string) *browser {
	return openSized(t, d, [2]int{d.w, d.h}, url, flags...)
}

// openSized is openChromium with a window of a size in its own units.
func openSized(t testing.TB, d *display, size [2]int, url string, flags ...string) *browser {
	t.Helper()
	campaign.Needs(t, "chromium", "apt-get install chromium")
	profile := t.TempDir()
	args := append([]string{"--no-sandbox", "--kiosk", "--user-data-dir=" + profile, "--no-first-run", "--no-default-browser-check",
		"--remote-debugging-port=0", fmt.Sprintf("--window-size=%d,%d", size[0], size[1]), "--window-position=0,0", "--disable-features=Translate",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--password-store=basic", "--mute-audio"}, flags...)
	if !slices.Contains(flags, graphics[0]) {
		args = append(args, "--disable-gpu")
	}
	cmd := exec.Command("chromium", append(args, url)...)
	cmd.Env = append(os.Environ(), "DISPLAY="+d.name, "HOME="+profile)
	start(t, cmd)
	b := &browser{cmd: cmd, wait: map[int]chan json.RawMessage{}}
	b.attach(t, filepath.Join(profile, "DevToolsActivePort"), url)
	return b
}

func (b *browser) attach(t testing.TB, port, url string) {
	t.Helper()
	var at []string
	for deadline := time.Now().Add(10 * time.Second); len(at) < 2; time.Sleep(50 * time.Millisecond) {
		text, _ := os.ReadFile(port)
		if at = strings.Fields(string(text)); time.Now().After(deadline) {
			t.Fatal("the browser did not start")
		}
	}
	conn, _, err := websocket.Dial(t.Context(), "ws://127.0.0.1:"+at[0]+at[1], nil)
	if err != nil {
		t.Fatal(err)
	}
	conn.SetReadLimit(-1)
	t.Cleanup(func() { conn.CloseNow() })
	b.conn = conn
	go b.listen()
	var all struct {
		TargetInfos []struct{ TargetID, Type, URL string } `json:"targetInfos"`
	}
	for deadline := time.Now().Add(10 * time.Second); b.tab == ""; time.Sleep(50 * time.Millisecond) {
		b.ask(t, "Target.getTargets", nil, &all)
		for _, target := range all.TargetInfos {
			if target.Type == "page" && strings.HasPrefix(target.URL, url[:20]) {
				var s struct{ SessionID string }
				b.ask(t, "Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &s)
				b.tab = s.SessionID
			}
		}
		if time.Now().After(deadline) {
			t.Fatal("the browser has no tab of the page")
		}
	}
}

func (b *browser) listen() {
	for {
		_, text, err := b.conn.Read(context.Background())
		if err != nil {
			return
		}
		var m struct {
			ID     int
			Result json.RawMessage
			Error  json.RawMessage
		}
		if json.Unmarshal(text, &m) != nil || m.ID == 0 {
			continue
		}
		b.mu.Lock()
		c := b.wait[m.ID]
		delete(b.wait, m.ID)
		b.mu.Unlock()
		if c == nil {
			continue
		}
		if m.Error != nil {
			c <- json.RawMessage(`{"failed":` + strconv.Quote(string(m.Error)) + `}`)
			continue
		}
		c <- m.Result
	}
}

// ask asks the browser, or with a leading "tab:" its tab.
func (b *browser) ask(t testing.TB, method string, params map[string]any, to any) {
	t.Helper()
	if err := b.try(method, params, to); err != nil {
		t.Fatal(err)
	}
}

func (b *browser) try(method string, params map[string]any, to any) error {
	c := make(chan json.RawMessage, 1)
	b.mu.Lock()
	b.id++
	q := map[string]any{"id": b.id, "method": strings.TrimPrefix(method, "tab:")}
	b.wait[b.id] = c
	b.mu.Unlock()
	if params != nil {
		q["params"] = params
	}
	if strings.HasPrefix(method, "tab:") {
		q["sessionId"] = b.tab
	}
	text, _ := json.Marshal(q)
	if err := b.conn.Write(context.Background(), websocket.MessageText, text); err != nil {
		return err
	}
	select {
	case r := <-c:
		var failed struct{ Failed string }
		if json.Unmarshal(r, &failed); failed.Failed != "" {
			return fmt.Errorf("%s: %s", method, failed.Failed)
		}
		if to != nil {
			return json.Unmarshal(r, to)
		}
		return nil
	case <-time.After(20 * time.Second):
		return errors.New(method + ": no answer")
	}
}

// run runs a script in the page, and gives what it says.
func (b *browser) run(t testing.TB, script string) any {
	t.Helper()
	var r struct {
		Result struct{ Value any }
	}
	q := map[string]any{"expression": script, "returnByValue": true, "awaitPromise": true, "userGesture": true}
	err := b.try("tab:Runtime.evaluate", q, &r)
	for deadline := time.Now().Add(10 * time.Second); err != nil && time.Now().Before(deadline); time.Sleep(50 * time.Millisecond) {
		err = b.try("tab:Runtime.evaluate", q, &r) // the page may be loading still
	}
	if err != nil {
		t.Fatal(err)
	}
	return r.Result.Value
}
