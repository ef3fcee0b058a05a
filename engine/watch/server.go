package watch

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"net/http"
	"strings"
	"sync"
	"time"

	"candelua/engine/page"
	"candelua/engine/progress"
)

//go:embed page.html
var document []byte

// Options say what is shown, and where.
type Options struct {
	Listen   string // HOST:PORT, see [page.Options]
	Follower *progress.Follower
	// Pause has the run pause after the reading that is being taken. It may be called more than once, and must not wait.
	Pause func()
}

// How often there is something to send.
const (
	viewEvery  = 200 * time.Millisecond
	lifeEvery  = 2 * time.Second // a sign of life
	sheetEvery = time.Second
	share      = 20              // a sheet takes at most one part in so many of the time
	lookWithin = 2 * time.Second // a script that computes for longer is looked at again later
	goodbye    = time.Second     // for pages to take the last view
)

// Server serves the view of one run.
type Server struct {
	opt  Options
	page *page.Server
	stop context.CancelFunc
	done sync.WaitGroup

	mu    sync.Mutex
	pages int           // that are connected
	news  chan struct{} // closed, and another one made, when there is something new
	last  latest
}

// latest is what a page is sent when it connects, and after that what changed. Each has a number that grows.
type latest struct {
	view, screen, sheet []byte
	numbers             [3]int
	pictures            map[string][]byte // by look and id
	bye                 bool
}

// Serve opens the address and shows the run. It fails with a [fault.UsageError] for an address that cannot be used.
func Serve(o Options) (*Server, error) {
	p, err := page.Listen(page.Options{Listen: o.Listen})
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(context.Background())
	s := &Server{opt: o, page: p, stop: stop, news: make(chan struct{})}
	p.Page(document)
	p.Socket("socket", s.talk)
	p.Handle("picture/", http.HandlerFunc(s.picture))
	s.done.Go(func() { s.watchView(ctx) })
	s.done.Go(func() { s.watchResults(ctx) })
	return s, nil
}

// URL is what a person opens.
func (s *Server) URL() string { return s.page.URL() }

// Close shows pages how the run ended, and disconnects them. A page that takes nothing is waited for a second.
func (s *Server) Close() error {
	s.stop()
	s.done.Wait()
	if s.watched() {
		ctx, cancel := context.WithTimeout(context.Background(), goodbye)
		defer cancel()
		s.lookAtResults(ctx)
		s.lookAtView()
		s.publish(func(l *latest) { l.bye = true })
		for s.watched() && ctx.Err() == nil {
			time.Sleep(10 * time.Millisecond)
		}
	}
	return s.page.Close()
}

// watched says whether a page is connected.
func (s *Server) watched() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.pages > 0
}

// publish changes what pages are sent, and wakes them.
func (s *Server) publish(change func(*latest)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change(&s.last)
	close(s.news)
	s.news = make(chan struct{})
}

// every calls look at intervals while a page is connected, and soon after the first connects.
func (s *Server) every(ctx context.Context, interval time.Duration, look func() (next time.Duration)) {
	t := time.NewTimer(0)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
		if s.watched() {
			t.Reset(max(interval, look()))
		} else {
			t.Reset(viewEvery)
		}
	}
}

func (s *Server) watchView(ctx context.Context) {
	s.every(ctx, viewEvery, func() time.Duration {
		s.lookAtView()
		return 0
	})
}

// lookAtView publishes how the run stands, where that has changed.
func (s *Server) lookAtView() {
	v := s.opt.Follower.View()
	screen := encoded("screen", screenOf(v.Shown.Patch))
	v.Shown.Patch = nil
	view := encoded("view", v)
	s.mu.Lock()
	same := bytes.Equal(view, s.last.view) && bytes.Equal(screen, s.last.screen)
	s.mu.Unlock()
	if same {
		return
	}
	s.publish(func(l *latest) {
		l.set(0, &l.view, view)
		l.set(1, &l.screen, screen)
	})
}

// set replaces one of the messages, and counts if that is another one.
func (l *latest) set(i int, message *[]byte, to []byte) {
	if !bytes.Equal(*message, to) {
		*message = to
		l.numbers[i]++
	}
}

func (s *Server) watchResults(ctx context.Context) {
	grown := -1
	s.every(ctx, sheetEvery, func() time.Duration {
		now := s.opt.Follower.View().Grown
		if now == grown {
			return 0
		}
		took, seen := s.lookAtResults(ctx)
		if seen {
			grown = now
		}
		return share * took
	})
}

// lookAtResults publishes the results so far, where they can be looked at, and says how long it was at work: not how long it
// waited for the script.
func (s *Server) lookAtResults(ctx context.Context) (took time.Duration, seen bool) {
	ctx, cancel := context.WithTimeout(ctx, lookWithin)
	defer cancel()
	results, err := s.opt.Follower.Look(ctx)
	if err != nil {
		return 0, false
	}
	began := time.Now()
	sheet, pictures := sheetOf(results, s.opt.Follower.Plots(), s.opt.Follower.Readings(), s.opt.Follower.View().Simulated)
	s.publish(func(l *latest) {
		l.pictures = pictures
		l.set(2, &l.sheet, encoded("sheet", sheet))
	})
	return time.Since(began), true
}

// encoded is a message of one member.
func encoded(member string, value any) []byte {
	text, err := json.Marshal(map[string]any{member: value})
	if err != nil {
		panic(err) // numbers are finite, and texts can be written
	}
	return text
}

// talk serves one page.
func (s *Server) talk(ctx context.Context, c *page.Socket) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s.mu.Lock()
	s.pages++
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		s.pages--
		s.mu.Unlock()
	}()
	go func() {
		defer cancel()
		s.listen(ctx, c)
	}()
	s.send(ctx, c)
}

// listen takes what a page sends, until it is gone or sends what it must not.
func (s *Server) listen(ctx context.Context, c *page.Socket) {
	for {
		m, err := c.Read(ctx)
		if err != nil {
			return
		}
		var asked struct {
			Do string `json:"do"`
		}
		if json.Unmarshal(m, &asked) != nil || asked.Do != "pause" {
			_ = c.Close("this page understands nothing but pause") // it is gone either way
			return
		}
		s.opt.Follower.Pausing()
		s.opt.Pause()
	}
}

// send sends a page what is new to it, as fast as it takes it.
func (s *Server) send(ctx context.Context, c *page.Socket) {
	var sent [3]int
	life := time.NewTimer(lifeEvery)
	defer life.Stop()
	for {
		s.mu.Lock()
		l, news := s.last, s.news
		s.mu.Unlock()
		for i, message := range [][]byte{l.view, l.screen, l.sheet} {
			if l.numbers[i] == sent[i] {
				continue
			}
			if c.Write(ctx, message) != nil {
				return
			}
			sent[i] = l.numbers[i]
		}
		if l.bye {
			_ = c.Write(ctx, encoded("bye", true))
			_ = c.Close("the command ended")
			return
		}
		life.Reset(lifeEvery)
		select {
		case <-ctx.Done():
			return
		case <-news:
		case <-life.C:
			if l.view != nil && c.Write(ctx, l.view) != nil {
				return
			}
		}
	}
}

// picture serves a drawing of the last sheet.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) {
	_, name, _ := strings.Cut(r.URL.Path, "/picture/")
	s.mu.Lock()
	drawing, ok := s.last.pictures[name]
	s.mu.Unlock()
	if !ok {
		http.Error(w, "There is no such drawing.", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(drawing) // a browser that is gone needs none
}
