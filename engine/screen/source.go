package screen

import (
	"cmp"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"sync"
	"time"

	"candelua/engine/bench"
	"candelua/engine/page"
)

//go:embed page.html
var document []byte

// The times of the talk with a page. They are variables of a Source, so that tests need not wait.
const (
	every   = time.Second            // between two echoes
	silence = 3 * time.Second        // without an answer, after which a page is taken to be frozen
	lost    = 10 * time.Second       // after which its place is free; the page makes itself black by then
	settle  = 150 * time.Millisecond // from painted to lit
	within  = 10 * time.Second       // for a picture to be painted
)

// Options say how a Source speaks to the person at the bench.
type Options struct {
	Take bool // a page that comes takes the place of another
	// Say tells a person something. Nil says nothing.
	Say func(text string)
	// Draw shows the address's QR code on the terminal. Nil shows none.
	Draw func(c *Code)
}

// Source is the page of one process: it stays, with its address, while benches are opened and closed.
type Source struct {
	o        Options
	document []byte
	every, silence, lost,
	settle, within time.Duration

	mu      sync.Mutex
	server  *page.Server
	where   where
	files   []string          // that have the address, to be removed
	held    *talk             // the unit's page, nil for none
	changed chan struct{}     // closed, and another made, when anything is another
	use     *use              // what the open device asks of a page; nil while none is open
	number  int               // of the last picture
	stills  map[string][]byte // images of the last request, by path
	takes   bool
}

// use is what the run needs of the page that is the unit's.
type use struct {
	first  *state        // as it was at the start; the page must come back as it was
	about  about         // at the start
	up     bool          // the page is as it must be
	why    string        // why it is not
	lapsed chan struct{} // closed when it is not up any more
}

// New returns a source that serves nothing yet.
func New(o Options) *Source {
	if o.Say == nil {
		o.Say = func(string) {}
	}
	return &Source{o: o, document: document, every: every, silence: silence, lost: lost, settle: settle, within: within, changed: make(chan struct{}), stills: map[string][]byte{}}
}

// Close stops serving.
func (s *Source) Close() error {
	s.mu.Lock()
	server, files := s.server, s.files
	s.server, s.files = nil, nil
	s.mu.Unlock()
	for _, path := range files {
		os.Remove(path) // its address opens nothing any more
	}
	if server == nil {
		return nil
	}
	return server.Close()
}

// serve opens the address, unless that is done.
func (s *Source) serve(o options) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.takes = s.o.Take || o.take
	if s.server != nil {
		if s.where != o.where {
			return errors.New("the page is served already, at another address")
		}
		return nil
	}
	server, err := page.Listen(page.Options{Listen: o.listen, Hosts: o.hostList(), Certificate: o.certificate, Key: o.key})
	if err != nil {
		return err
	}
	s.server, s.where = server, o.where
	server.Page(s.document)
	server.Handle("still/", http.HandlerFunc(s.serveStill))
	server.Socket("socket", s.talk)
	return nil
}

// change tells all who wait that something is another. The lock is held.
func (s *Source) change() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// talk is the connection of a page.
type talk struct {
	*page.Socket
	key     string
	state   state
	about   about
	base    int // lapses that are dealt with
	clock   pageClock
	echoes  map[int]time.Time
	echo    int       // number of the last
	heard   time.Time // when the page last answered one
	painted map[int]painted
	told    string // why it waits, as the page was told
}

// painted is a page's answer to a picture.
type painted struct {
	at    time.Time
	u     time.Duration // standard uncertainty of the clock
	page  float64       // ms of the page's clock
	how   string
	state state
}

// talk speaks with a page until it is gone.
func (s *Source) talk(ctx context.Context, c *page.Socket) {
	m, err := s.hello(ctx, c)
	if err != nil {
		return
	}
	t := &talk{Socket: c, key: m.Page, state: *m.State, about: *m.About, base: m.State.Lapses, echoes: map[int]time.Time{}, heard: time.Now(), painted: map[int]painted{}}
	if !s.accept(ctx, t) {
		return
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	go s.beat(ctx, t)
	for {
		text, err := c.Read(ctx)
		if err == nil {
			if m, err = readMessage(text); err == nil {
				s.hear(ctx, t, m)
				continue
			}
		}
		s.leave(t, reasonOf(err))
		return
	}
}

func reasonOf(err error) string {
	if errors.Is(err, page.ErrFlood) {
		return err.Error()
	}
	return "the page was closed, or its connection was cut"
}

// hello waits for a page's first message.
func (s *Source) hello(ctx context.Context, c *page.Socket) (m heard, err error) {
	ctx, cancel := context.WithTimeout(ctx, s.within)
	defer cancel()
	text, err := c.Read(ctx)
	if err != nil {
		return m, err
	}
	if m, err = readMessage(text); err == nil && (m.Kind != "hello" || m.State == nil || m.About == nil || m.Page == "" || len(m.Page) > 64) {
		err = errors.New("the page did not say who it is")
	}
	return m, err
}

// say sends a message; a page that does not take it is lost.
func (s *Source) say(ctx context.Context, t *talk, m said) {
	text, err := json.Marshal(m)
	if err != nil {
		panic(err) // numbers and texts
	}
	if t.Write(ctx, text) != nil {
		t.Drop() // its reader then lets go of it
	}
}

// accept makes a page the unit's, unless another is.
func (s *Source) accept(ctx context.Context, t *talk) bool {
	s.mu.Lock()
	old := s.held
	if old != nil && old.key != t.key && !s.takes {
		s.mu.Unlock()
		s.say(ctx, t, said{Kind: "refused", Text: "Another page is in use as the display under test. Close that one, or start candelua with --take to use this one."})
		t.Close("another page is in use")
		return false
	}
	s.held = t
	s.down("another page took its place")
	s.change()
	s.mu.Unlock()
	if old != nil {
		s.say(ctx, old, said{Kind: "replaced"})
		go old.Close("replaced")
	}
	s.say(ctx, t, said{Kind: "accept"})
	s.judge(ctx, t)
	return true
}

// leave lets go of a page.
func (s *Source) leave(t *talk, why string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.held != t {
		return
	}
	s.held = nil
	s.down(why)
	s.change()
}

// down records that the patch is no longer shown. The caller holds the lock.
func (s *Source) down(why string) {
	if u := s.use; u != nil && u.up {
		u.up, u.why = false, why
		close(u.lapsed)
	}
}

// hear takes in a message.
func (s *Source) hear(ctx context.Context, t *talk, m heard) {
	now := time.Now()
	s.mu.Lock()
	if sent, ok := t.echoes[m.ID]; ok && m.Kind == "echo" {
		delete(t.echoes, m.ID)
		t.heard = now
		t.clock.add(sent, now, m.Now)
	}
	if m.State != nil {
		t.state = *m.State
	}
	if m.Kind == "painted" && m.State != nil {
		if at, u, ok := t.clock.time(m.At); ok {
			t.painted[m.Number] = painted{at, u, m.At, m.How, *m.State}
		}
	}
	if s.held == t {
		if t.state.Lapses > t.base || s.misfit(t) != "" {
			s.down(cmp.Or(lower(s.misfit(t)), t.state.words()))
		}
		s.change()
	}
	s.mu.Unlock()
	s.judge(ctx, t)
}

// misfit says why the page cannot be used, in a sentence for the page; empty where it can, or has not begun.
// The lock is held.
func (s *Source) misfit(t *talk) string {
	if why := t.state.trouble(); why != "" {
		return why
	}
	u := s.use
	if u == nil || u.first == nil {
		return ""
	}
	if t.state.Box != u.first.Box {
		return fmt.Sprintf("The page has %d x %d pixels now. It must have %d x %d, as at the start of the run.", t.state.Box[0], t.state.Box[1], u.first.Box[0], u.first.Box[1])
	}
	if t.state.Angle != u.first.Angle {
		return "The screen is turned. Turn it back, as at the start of the run."
	}
	if d := t.state.Ratio/u.first.Ratio - 1; d > 1e-3 || d < -1e-3 {
		return fmt.Sprintf("The pixel ratio of the page is %.4g now. It must be %.4g, as at the start of the run: set the zoom back.", t.state.Ratio, u.first.Ratio)
	}
	return ""
}

// judge tells the page why it cannot be used, or that it can.
func (s *Source) judge(ctx context.Context, t *talk) {
	s.mu.Lock()
	why := ""
	if t.state.Begun {
		why = s.misfit(t)
	}
	was := t.told
	t.told = why
	s.mu.Unlock()
	switch {
	case why == was:
	case why != "":
		s.say(ctx, t, said{Kind: "wait", Text: why})
	default:
		s.say(ctx, t, said{Kind: "ready"})
	}
}

// beat sends echoes, and lets go of a page that answers none.
func (s *Source) beat(ctx context.Context, t *talk) {
	tick := time.NewTicker(s.every)
	defer tick.Stop()
	for {
		s.ping(ctx, t)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		s.mu.Lock()
		silent := time.Since(t.heard)
		if silent > s.silence && s.held == t {
			s.down("the page does not answer; it may be frozen, or the network is cut")
			s.change()
		}
		s.mu.Unlock()
		if silent > s.lost {
			s.leave(t, "the page does not answer; it may be frozen, or the network is cut")
			t.Drop()
			return
		}
	}
}

// ping sends an echo, and gives its number.
func (s *Source) ping(ctx context.Context, t *talk) int {
	s.mu.Lock()
	t.echo++
	id := t.echo
	t.echoes[id] = time.Now()
	s.mu.Unlock()
	s.say(ctx, t, said{Kind: "echo", ID: id})
	return id
}

// ready waits for a page that can be used, and gives it. tell is told why there is none yet, in words,
// whenever that is another reason.
func (s *Source) ready(ctx context.Context, tell func(why string)) (*talk, error) {
	var t *talk
	last := ""
	for {
		why := ""
		var changed chan struct{}
		s.mu.Lock()
		changed = s.changed
		switch t = s.held; {
		case t == nil:
			why = "no page is open on the display under test"
		case !t.state.Begun && t.state.Visible: // which puts it in full screen
			why = "touch Begin on the page"
		case s.misfit(t) != "":
			why = lower(s.misfit(t))
		case t.clock.base.IsZero():
			why = "-"
		case time.Since(t.heard) > s.silence:
			why = "the page does not answer"
		}
		if why == "" {
			t.base = t.state.Lapses
			u := s.use
			u.up, u.why, u.lapsed = true, "", make(chan struct{})
			if u.first == nil {
				first := t.state
				u.first, u.about = &first, t.about
			}
			s.mu.Unlock()
			return t, nil
		}
		s.mu.Unlock()
		if why != last && why != "-" {
			last = why
			tell(why)
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return nil, context.Cause(ctx)
		}
	}
}

// gone is what a device answers whose page is not as it must be.
func gone(why string) error {
	return &bench.GoneError{Device: string(bench.KindPatches), Err: bench.Errorf(bench.CodeGone, "put the page back on the display under test, then resume the run", "%s", why)}
}
