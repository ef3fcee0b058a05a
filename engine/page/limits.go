package page

import (
	"net"
	"sync"
	"time"
)

// The limits. A page asks for itself, for one socket, and for a still image every second at the most; what is far
// above that is no page of ours.
const (
	MostMessage = 64 << 10 // bytes of a message that a page sends
	Rate        = 100      // messages a second that a socket may send for long, and twice as many at once
	MostSockets = 16       // at once

	mostConnections = 128 // at once
	mostOfOne       = 32  // of them from one address
	requestRate     = 50  // requests a second from one address for long
	requestBurst    = 200 // at once
	mostAddresses   = 1024
)

// bucket lets through so many a second for long.
type bucket struct {
	rate, most, left float64
	filled           time.Time
}

func newBucket(rate, most float64) *bucket { return &bucket{rate: rate, most: most, left: most} }

// take says whether one more may pass.
func (b *bucket) take(now time.Time) bool {
	if !b.filled.IsZero() {
		b.left = min(b.most, b.left+b.rate*now.Sub(b.filled).Seconds())
	}
	b.filled = now
	if b.left < 1 {
		return false
	}
	b.left--
	return true
}

// limits are those of one server.
type limits struct {
	mu       sync.Mutex
	open     map[string]int     // connections by address
	all      int                // connections
	requests map[string]*bucket // by address
	sockets  int
	now      func() time.Time
}

func newLimits() *limits {
	return &limits{open: map[string]int{}, requests: map[string]*bucket{}, now: time.Now}
}

func addressOf(remote string) string {
	if host, _, err := net.SplitHostPort(remote); err == nil {
		return host
	}
	return remote
}

// request says whether an address may ask once more.
func (l *limits) request(remote string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	from := addressOf(remote)
	b := l.requests[from]
	if b == nil {
		if len(l.requests) >= mostAddresses {
			clear(l.requests) // each begins anew; the limit of connections still holds
		}
		b = newBucket(requestRate, requestBurst)
		l.requests[from] = b
	}
	return b.take(l.now())
}

// socket says whether one more may open; each that did is closed by done.
func (l *limits) socket() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.sockets >= MostSockets {
		return false
	}
	l.sockets++
	return true
}

func (l *limits) done() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.sockets--
}

// listener closes connections that are too many.
func (l *limits) listener(of net.Listener) net.Listener { return &limited{of, l} }

type limited struct {
	net.Listener
	limits *limits
}

func (l *limited) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if held := l.limits.hold(c); held != nil {
			return held, nil
		}
		c.Close()
	}
}

// hold counts a connection; nil where there are too many.
func (l *limits) hold(c net.Conn) net.Conn {
	from := addressOf(c.RemoteAddr().String())
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.all >= mostConnections || l.open[from] >= mostOfOne {
		return nil
	}
	l.all++
	l.open[from]++
	return &counted{Conn: c, done: sync.OnceFunc(func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		l.all--
		if l.open[from]--; l.open[from] == 0 {
			delete(l.open, from)
		}
	})}
}

type counted struct {
	net.Conn
	done func()
}

func (c *counted) Close() error {
	c.done()
	return c.Conn.Close()
}
