package screen

import (
	"context"
	"encoding/json"
	"math"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"

	"candelua/engine/bench"
)

// fakePage speaks as the page does, and paints into memory: most of what can happen to a page is tested without a browser.
type fakePage struct {
	url, key string
	about    about
	began    time.Time // where its clock has 0

	mu     sync.Mutex
	conn   *websocket.Conn
	is     state
	rects  [][7]int // on its screen
	frozen bool
	early  bool          // it answers before it paints
	slow   time.Duration // from being asked to painting
	heard  []said
	done   chan struct{} // closed when it is disconnected
}

func newFake(url string) *fakePage {
	return &fakePage{url: url, key: "a page", about: about{Browser: "a page of a test", Gamut: "p3", Bits: 8}, began: time.Now().Add(-3 * time.Hour), is: state{Box: [2]int{400, 300}, CSS: [2]float64{400, 300}, Outer: [2]float64{400, 300},
		Screen: [2]float64{400, 300}, Ratio: 1, Scale: 1, Visible: true, Full: true, Focus: true, Begun: true, Awake: "wake lock"}}
}

func (f *fakePage) now() float64 { return float64(time.Since(f.began)) / float64(time.Millisecond) }

// open connects, and says hello.
func (f *fakePage) open(t testing.TB) *fakePage {
	t.Helper()
	origin := f.url[:strings.Index(f.url[8:], "/")+8]
	c, _, err := websocket.Dial(context.Background(), strings.Replace(f.url, "http", "ws", 1)+"socket", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {origin}}})
	if err != nil {
		t.Error(err)
		return f
	}
	c.SetReadLimit(-1)
	t.Cleanup(func() { c.CloseNow() })
	f.mu.Lock()
	f.conn, f.done = c, make(chan struct{})
	done := f.done
	f.mu.Unlock()
	f.say(heard{Kind: "hello", Page: f.key, About: &f.about})
	go f.listen(c, done)
	return f
}

func (f *fakePage) say(m heard) {
	f.mu.Lock()
	is, c := f.is, f.conn
	f.mu.Unlock()
	m.State, m.Now = &is, f.now()
	text, _ := json.Marshal(m)
	c.Write(context.Background(), websocket.MessageText, text)
}

func (f *fakePage) listen(c *websocket.Conn, done chan struct{}) {
	defer close(done)
	for {
		_, text, err := c.Read(context.Background())
		if err != nil {
			return
		}
		var m said
		if json.Unmarshal(text, &m) != nil {
			return
		}
		for f.isFrozen() {
			time.Sleep(time.Millisecond)
		}
		f.take(m)
	}
}

func (f *fakePage) isFrozen() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.frozen
}

// take does what the engine says.
func (f *fakePage) take(m said) {
	f.mu.Lock()
	f.heard = append(f.heard, m)
	slow, early := f.slow, f.early
	f.mu.Unlock()
	switch m.Kind {
	case "echo":
		f.say(heard{Kind: "echo", ID: m.ID})
	case "show":
		go f.paint(m.Number, m.Rects, slow, early)
	case "sequence":
		go func() {
			for i, p := range m.Pictures {
				f.paint(m.Number+i, p.Rects, 0, false)
				time.Sleep(ms(p.Hold))
			}
		}()
	case "wait", "over", "replaced":
		f.lapse(func(s *state) {
			if s.Painted > 0 {
				s.Lapses++
				s.Lapse = "paused"
			}
			s.Painted = 0
		})
		f.mu.Lock()
		f.rects = nil
		f.mu.Unlock()
	}
}

func (f *fakePage) paint(number int, rects [][7]int, slow time.Duration, early bool) {
	if early {
		f.say(heard{Kind: "painted", Number: number, At: f.now(), How: "frames"})
	}
	time.Sleep(slow)
	f.mu.Lock()
	f.rects = rects
	f.is.Painted = number
	f.mu.Unlock()
	if !early {
		f.say(heard{Kind: "painted", Number: number, At: f.now(), How: "frames"})
	}
}

// lapse changes the page, and tells.
func (f *fakePage) lapse(change func(*state)) {
	f.mu.Lock()
	change(&f.is)
	f.mu.Unlock()
	f.say(heard{Kind: "state"})
}

// happen is lapse with something that the page counts, as it does.
func (f *fakePage) happen(what string, change func(*state)) {
	f.lapse(func(s *state) {
		change(s)
		if s.Painted > 0 {
			s.Lapses++
			s.Lapse = what
		}
	})
}

func (f *fakePage) close() {
	f.mu.Lock()
	c, done := f.conn, f.done
	f.rects, f.is.Painted = nil, 0
	f.mu.Unlock()
	c.CloseNow()
	<-done
}

// answers sets when the page answers: before it paints, and how long after it was asked it paints.
func (f *fakePage) answers(early bool, slow time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.early, f.slow = early, slow
}

// hasHeard says whether the engine said that.
func (f *fakePage) hasHeard(is func(said) bool) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return slices.ContainsFunc(f.heard, is)
}

// gone is closed when the page's connection of now is.
func (f *fakePage) gone() chan struct{} {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.done
}

func (f *fakePage) freeze(yes bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.frozen = yes
}

// code is the green code at a pixel; -1 where nothing is shown.
func (f *fakePage) code(x, y int) int {
	f.mu.Lock()
	defer f.mu.Unlock()
	code := -1
	for _, r := range f.rects {
		if x >= r[0] && y >= r[1] && x < r[0]+r[2] && y < r[1]+r[3] {
			code = r[5]
		}
	}
	if !f.is.Visible {
		return -1
	}
	return code
}

// eye is a meter that looks at the middle of something.
type eye struct {
	code   func() int               // of a grey; -1 for no patch
	read   func() (x, y, z float64) // in its place
	before func(n int)              // before each reading, from 1
	n      int
	clock  bench.Clock
}

func (e *eye) About() bench.Identity { return bench.Identity{Name: "eye", Driver: "eye"} }

func (e *eye) UseClock(c bench.Clock) { e.clock = c }
func (e *eye) Close() error           { return nil }
func (e *eye) Open(_ context.Context, kind bench.Kind, _ bench.Section) (bench.Device, error) {
	if kind == bench.KindUnit {
		return knobs{}, nil
	}
	return e, nil
}

// knobs are a unit whose settings are made at once.
type knobs struct{}

func (knobs) About() bench.Identity { return bench.Identity{Name: "knobs", Driver: "eye"} }
func (knobs) Set(context.Context, []bench.Setting) (bench.SetAnswer, error) {
	return bench.SetAnswer{}, nil
}

// lightOf is the luminance of a code on the display of these tests, cd/m².
func lightOf(code int) float64 { return 0.1 + 200*math.Pow(float64(code)/255, 2.2) }

// xyzOf is the light of a colour on that display: the primaries of sRGB, with a little light in the dark.
//
// Source: [IEC 61966-2-1], the matrix to XYZ, to 4 places.
func xyzOf(code [3]int) (x, y, z float64) {
	var l [3]float64
	for i, c := range code {
		l[i] = 200*math.Pow(float64(c)/255, 2.2) + 0.1
	}
	return 0.4124*l[0] + 0.3576*l[1] + 0.1805*l[2], 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2], 0.0193*l[0] + 0.1192*l[1] + 0.9505*l[2]
}

// unseen is what the meter reads where no patch is: a value that no patch has.
const unseen = 7777

func (e *eye) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	for range q.Most {
		e.n++
		if e.before != nil {
			e.before(e.n)
		}
		s := bench.Sample{Began: e.clock.Now()}
		if e.read != nil {
			time.Sleep(20 * time.Millisecond) // as quick as a meter may be
			s.X, s.Y, s.Z = e.read()
			s.Colour = true
		} else if code := e.code(); code >= 0 {
			s.Y = lightOf(code)
		} else {
			s.Y = unseen
		}
		s.Ended = e.clock.Now()
		if err := take(s); err != nil {
			if err == bench.Enough {
				return nil
			}
			return err
		}
		if err := context.Cause(ctx); err != nil {
			return err
		}
	}
	return nil
}

// quick makes a source whose times are short.
func quick(o Options) *Source {
	s := New(o)
	s.every, s.silence, s.lost, s.settle, s.within = 20*time.Millisecond, 150*time.Millisecond, 400*time.Millisecond, 5*time.Millisecond, 2*time.Second
	return s
}

func serve(t testing.TB, s *Source) {
	t.Helper()
	o, err := readOptions(bench.Section{})
	if err == nil {
		err = s.serve(o)
	}
	if err != nil {
		t.Fatal(err)
	}
}
