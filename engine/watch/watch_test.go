package watch

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/coder/websocket"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/progress"
	"candelua/engine/result"
	"candelua/testdata/campaign"
)

// within is how long a test waits for what must come; nothing takes so long.
const within = 30 * time.Second

// serve serves the view of a run that a test plays, and counts how often a pause is asked for.
func serve(t *testing.T) (s *Server, f *progress.Follower, pauses *atomic.Int32) {
	t.Helper()
	f, pauses = progress.New(progress.Options{}), new(atomic.Int32)
	s, err := Serve(Options{Listen: "127.0.0.1:0", Follower: f, Pause: func() { pauses.Add(1) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s, f, pauses
}

// client is a page that a test is.
type client struct {
	*testing.T
	conn *websocket.Conn
}

func dial(t *testing.T, s *Server) *client {
	t.Helper()
	origin := strings.Join(strings.Split(s.URL(), "/")[:3], "/")
	c, _, err := websocket.Dial(t.Context(), strings.Replace(s.URL(), "http", "ws", 1)+"socket", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {origin}}})
	if err != nil {
		t.Fatal(err)
	}
	c.SetReadLimit(-1)
	t.Cleanup(func() { c.CloseNow() })
	return &client{t, c}
}

// message is any of those that a page is sent.
type message struct {
	View   *progress.View
	Screen *screen
	Sheet  *sheet
	Bye    bool
}

func (c *client) next() (m message, err error) {
	c.Helper()
	ctx, cancel := context.WithTimeout(c.Context(), within)
	defer cancel()
	_, text, err := c.conn.Read(ctx)
	if err == nil {
		err = json.Unmarshal(text, &m)
	}
	return m, err
}

// waits gives the first message that is so.
func (c *client) waits(what string, is func(message) bool) message {
	c.Helper()
	for until := time.Now().Add(within); time.Now().Before(until); {
		m, err := c.next()
		if err != nil {
			c.Fatalf("waiting for %s: %v", what, err)
		}
		if is(m) {
			return m
		}
	}
	c.Fatalf("%s does not come", what)
	return message{}
}

func (c *client) view(what string, is func(*progress.View) bool) *progress.View {
	c.Helper()
	return c.waits(what, func(m message) bool { return m.View != nil && is(m.View) }).View
}

func (c *client) says(text string) {
	c.Helper()
	if err := c.conn.Write(c.Context(), websocket.MessageText, []byte(text)); err != nil {
		c.Fatal(err)
	}
}

func step(n int, name string) play.Progress {
	return play.Progress{Step: n, Name: name, Device: "meter", Show: func() string { return name + "{}" }}
}

// sweep are results with a table of so many rows and a plot of it.
func sweep(t testing.TB, rows int) *result.Results {
	t.Helper()
	r := result.New()
	table, err := r.Table("Luminance by window", "", []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}})
	for n := 1; err == nil && n <= rows; n++ {
		err = table.Add(map[string]any{"window": float64(n), "luminance": 600 - float64(n)})
	}
	if err == nil {
		_, err = r.Plot(result.Plot{Table: table.ID, X: "window", Y: []string{"luminance"}})
	}
	peak := 599.5
	if err == nil {
		_, err = r.Value(result.Value{Name: "Peak", Value: &peak, Unit: "cd/m2", Tolerance: &result.Tolerance{Max: new(float64)}})
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func ended(r *result.Results, status journal.Standing) play.Ended {
	return play.Ended{Status: status, Results: r}
}

// Everything that is known of a run comes to a page: as it stands when the page connects, and then as it changes.
func TestEverythingIsShown(t *testing.T) {
	s, f, _ := serve(t)
	early := dial(t, s)
	early.view("that nothing has begun", func(v *progress.View) bool { return v.Status == progress.Starting })
	f.Tell(play.Began{Title: "Window sweep", Head: history.Head{Procedure: "window-sweep", Unit: "Plover 4", Mode: "Dusk", Bench: "Tern Street"}})
	f.Opened("runs/window-sweep-1", "candelua resume runs/window-sweep-1")
	v := early.view("the run", func(v *progress.View) bool { return v.Status == progress.Running && v.Next != "" })
	if v.Title != "Window sweep" || v.Unit != "Plover 4" || v.Mode != "Dusk" || v.Bench != "Tern Street" || v.Simulated {
		t.Errorf("the run is shown as %+v", v)
	}
	f.Tell(play.Part{Name: "bright", Begins: true, Step: 1})
	f.Tell(step(1, "meter.read"))
	early.view("the step", func(v *progress.View) bool { return v.Step == 1 && v.Doing == "meter.read{}" && v.Part == "bright" })
	f.Warned("the meter is warm")
	early.view("the warning", func(v *progress.View) bool {
		return len(v.Warnings) == 1 && v.Warnings[0].Text == "the meter is warm"
	})
	f.Asked("Is it dark?")
	early.view("the question", func(v *progress.View) bool { return v.Question == "Is it dark?" })
	f.Asked("")
	early.view("its end", func(v *progress.View) bool { return v.Question == "" })
	f.Tell(play.Showing{Patch: &bench.Patch{RGB: [3]float64{1, 0, 0}, Window: 25, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}})
	m := early.waits("what the unit shows", func(m message) bool { return m.Screen != nil })
	// A quarter of the area is half of each side.
	if got := m.Screen.Rects; len(got) != 2 || got[1] != (rect{80, 45, 160, 90, "#ff0000", 1. / 3}) {
		t.Errorf("the unit is drawn as %+v", got)
	}
	f.Tell(ended(sweep(t, 20), journal.Done))
	late := dial(t, s) // which gets it all at once
	for _, c := range []*client{early, late} {
		got := c.waits("the results", func(m message) bool { return m.Sheet != nil }).Sheet
		if len(got.Tables) != 1 || len(got.Tables[0].Rows) != mostRows || got.Tables[0].Earlier != 20-mostRows || got.Tables[0].Rows[mostRows-1][1] != "580" {
			t.Errorf("tables are %+v", got.Tables)
		}
		if len(got.Values) != 1 || got.Values[0] != (value{"Peak", "599.5 cd/m2 (fail)", true}) {
			t.Errorf("values are %+v", got.Values)
		}
		if len(got.Pictures) != 1 || got.Pictures[0].Title != "Luminance by window" {
			t.Fatalf("pictures are %+v", got.Pictures)
		}
		for look, colour := range map[string]string{"dark": `fill="#000000"`, "light": `fill="#fdfcf9"`} {
			if text := fetch(t, s, "picture/"+look+"/"+got.Pictures[0].ID, 200); !strings.HasPrefix(text, "<svg ") || !strings.Contains(text, colour) || !strings.Contains(text, "Luminance by window") {
				t.Errorf("the %s picture is\n%s", look, text)
			}
		}
	}
	fetch(t, s, "picture/dark/other", 404)
	fetch(t, s, "picture/", 404)
	f.Drawing(3, 200)
	early.view("the computation", func(v *progress.View) bool { return v.Status == progress.Computing && v.Made == 3 && v.Of == 200 })
	f.Tell(play.Concluded{Results: sweep(t, 21)})
	f.Over(nil)
	go s.Close()
	for _, c := range []*client{early, late} {
		var last message
		c.waits("the goodbye", func(m message) bool {
			if m.View != nil || m.Sheet != nil {
				last = m
			}
			if m.View != nil && !m.Bye {
				last.View = m.View
			}
			return m.Bye
		})
		if _, err := c.next(); websocket.CloseStatus(err) != websocket.StatusNormalClosure {
			t.Errorf("after the goodbye: %v", err)
		}
	}
}

func fetch(t *testing.T, s *Server, path string, status int) string {
	t.Helper()
	r, err := http.Get(s.URL() + path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != status {
		t.Errorf("%s: %d, %v; want %d", path, r.StatusCode, err, status)
	}
	return string(text)
}

// Nobody is let in without the token, by another name, or from another page; package page tests each rule.
func TestOthersAreRefused(t *testing.T) {
	s, f, pauses := serve(t)
	f.Tell(play.Began{Title: "T"})
	root := strings.Join(strings.Split(s.URL(), "/")[:3], "/")
	for what, c := range map[string]struct {
		url, host, origin string
		status            int
	}{
		"no token":       {root + "/socket", "", root, 404},
		"a wrong token":  {root + "/" + strings.Repeat("0", 32) + "/socket", "", root, 404},
		"another origin": {s.URL() + "socket", "", "http://evil.example", 403},
		"no origin":      {s.URL() + "socket", "", "", 403},
		"another host":   {s.URL() + "socket", "evil.example", "http://evil.example", 421},
	} {
		o := &websocket.DialOptions{HTTPHeader: http.Header{}, Host: c.host}
		if c.origin != "" {
			o.HTTPHeader.Set("Origin", c.origin)
		}
		conn, r, err := websocket.Dial(t.Context(), strings.Replace(c.url, "http", "ws", 1), o)
		if err == nil {
			conn.CloseNow()
		}
		if r == nil || r.StatusCode != c.status {
			t.Errorf("%s: %v, %v; want %d", what, r, err, c.status)
		}
	}
	if pauses.Load() != 0 {
		t.Error("the run was paused")
	}
}

// A pause is asked for as often as a page asks for it; whatever else a page sends disconnects it.
func TestPauseAndNothingElse(t *testing.T) {
	s, f, pauses := serve(t)
	f.Tell(play.Began{Title: "T"})
	c := dial(t, s)
	c.says(`{"do":"pause"}`)
	c.view("that it pauses", func(v *progress.View) bool { return v.Pausing })
	if pauses.Load() != 1 {
		t.Errorf("asked %d times for a pause", pauses.Load())
	}
	for _, text := range []string{``, `{}`, `{"do":"answer"}`, `{"do":"Pause"}`, `{"do":["pause"]}`, `pause`, `[]`, `null`, `{"do":"pause"`} {
		c := dial(t, s)
		c.says(text)
		var err error
		for err == nil {
			_, err = c.next()
		}
		if websocket.CloseStatus(err) != websocket.StatusNormalClosure || !strings.Contains(err.Error(), "nothing but pause") {
			t.Errorf("%q: %v", text, err)
		}
	}
	if pauses.Load() != 1 {
		t.Errorf("asked %d times for a pause by other words", pauses.Load())
	}
}

// The engine's side never waits for a page: however much is told, it is told at once, and a page is shown the latest. The end does
// not wait either for pages that take nothing.
func TestStuckPagesHoldNobodyUp(t *testing.T) {
	s, f, _ := serve(t)
	for range 8 {
		dial(t, s) // and never reads
	}
	c := dial(t, s)
	told := make(chan struct{})
	go func() {
		defer close(told)
		f.Tell(play.Began{Title: "T"})
		for n := 1; n <= 20_000; n++ {
			f.Tell(step(n, "meter.read"))
			f.Warned(strings.Repeat("x", 1000))
			f.Asked("a")
			f.Asked("")
			f.Tell(play.Answered{Step: n, Name: "meter.read"})
		}
	}()
	select {
	case <-told:
	case <-time.After(within):
		t.Fatal("the run waits for a page")
	}
	c.view("the latest", func(v *progress.View) bool { return v.Step == 20_000 })
	done := make(chan error)
	go func() { done <- s.Close() }()
	select {
	case err := <-done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(within):
		t.Fatal("the end waits for pages that take nothing")
	}
}

// A page that takes nothing is disconnected once its connection is full; meanwhile and after, others are shown what goes on.
func TestStuckPageIsDropped(t *testing.T) {
	if !campaign.Full() {
		t.Skip("brief: it takes five seconds until a page is given up; CI=1 waits for that")
	}
	s, f, _ := serve(t)
	dialer := &net.Dialer{}
	narrow := &http.Client{Transport: &http.Transport{DialContext: func(ctx context.Context, network, address string) (net.Conn, error) {
		c, err := dialer.DialContext(ctx, network, address)
		if err == nil {
			err = c.(*net.TCPConn).SetReadBuffer(4096)
		}
		return c, err
	}}}
	origin := strings.Join(strings.Split(s.URL(), "/")[:3], "/")
	stuck, _, err := websocket.Dial(t.Context(), strings.Replace(s.URL(), "http", "ws", 1)+"socket", &websocket.DialOptions{HTTPClient: narrow, HTTPHeader: http.Header{"Origin": {origin}}})
	if err != nil {
		t.Fatal(err)
	}
	defer stuck.CloseNow()
	c := dial(t, s)
	f.Tell(play.Began{Title: "T"})
	for n := 1; ; n++ {
		f.Tell(step(n, "meter.read"))
		f.Asked(strings.Repeat("x", 4<<20) + fmt.Sprint(n)) // more than connections hold
		c.view("the step", func(v *progress.View) bool { return v.Step == n })
		s.mu.Lock()
		pages := s.pages
		s.mu.Unlock()
		if pages == 1 && n > 10 {
			return
		}
		if n > 200 {
			t.Fatal("the page that takes nothing is not disconnected")
		}
	}
}

// A script that computes for long is not looked at meanwhile, and all else is shown.
func TestResultsWaitForTheScript(t *testing.T) {
	s, f, _ := serve(t)
	c := dial(t, s)
	f.Tell(play.Began{Title: "T", Sight: new(play.Sight)}) // whose turn never comes
	f.Warned("first")
	c.view("the first warning", func(v *progress.View) bool { return len(v.Warnings) == 1 })
	f.Warned("second")
	c.view("the second", func(v *progress.View) bool { return len(v.Warnings) == 2 })
	f.Tell(ended(sweep(t, 3), journal.Failed))
	c.waits("the results", func(m message) bool { return m.Sheet != nil })
}

// An address that cannot be used is the user's mistake.
func TestAddresses(t *testing.T) {
	s, _, _ := serve(t)
	taken := strings.Split(s.URL(), "/")[2]
	for _, address := range []string{"", "nowhere", "127.0.0.1:99999", "256.0.0.1:0", taken} {
		if other, err := Serve(Options{Listen: address, Follower: progress.New(progress.Options{})}); err == nil {
			other.Close()
			t.Errorf("%q is served", address)
		} else if hint := (interface{ Hint() string })(nil); !errors.As(err, &hint) || hint.Hint() == "" {
			t.Errorf("%q: %v has no hint", address, err)
		}
	}
}

// The page has no part from elsewhere, and no text of a run becomes markup on it: it never writes HTML.
func TestPageIsWhole(t *testing.T) {
	text := string(document)
	for _, never := range []string{"innerHTML", "outerHTML", "insertAdjacent", "document.write", "eval(", "Function(", "http://", "https://", "@import", "url(", "<link rel=\"stylesheet\"", " style=", " onclick=\""} {
		if strings.Contains(strings.Replace(text, `"http://www.w3.org/2000/svg"`, "", 1), never) {
			t.Errorf("the page has %q", never)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\bid="(\w+)"`).FindAllStringSubmatch(text, -1) {
		if ids[m[1]] {
			t.Errorf("the id %q is there twice", m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`\bat\("(\w+)"\)|labelledby="(\w+)"`).FindAllStringSubmatch(text, -1) {
		if id := m[1] + m[2]; !ids[id] {
			t.Errorf("the page has no %q", id)
		}
	}
}

func ExampleServe() {
	f := progress.New(progress.Options{})
	s, err := Serve(Options{Listen: "127.0.0.1:0", Follower: f, Pause: func() {}})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer s.Close()
	fmt.Println(strings.HasPrefix(s.URL(), "http://127.0.0.1:"))
	// Output: true
}
