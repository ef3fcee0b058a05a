package page

import (
	"context"
	"errors"
	"net/http"
	"time"

	"github.com/coder/websocket"
)

// Socket is a WebSocket that a page opened. It is read by one goroutine and may be written to by several.
type Socket struct {
	conn    *websocket.Conn
	request *http.Request
	bucket  *bucket
}

// ErrFlood is a socket that was closed because it sent too much.
var ErrFlood = errors.New("the page sent too many messages, or one that is too long; it was disconnected")

// writeWithin is how long a page may take to take a message.
const writeWithin = 5 * time.Second

// Socket serves a WebSocket at a path below the address. The socket is closed when talk returns; ctx ends when the
// server closes. Messages are texts.
func (s *Server) Socket(path string, talk func(ctx context.Context, c *Socket)) {
	s.Handle(path, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.own(r) {
			refuse(w, http.StatusForbidden, "This connection was not asked for by a page of this server.")
			return
		}
		if !s.limits.socket() {
			refuse(w, http.StatusServiceUnavailable, "Too many connections. Close other pages.")
			return
		}
		s.sockets.Add(1)
		defer s.sockets.Done()
		defer s.limits.done()
		// The origin was checked above, and more strictly.
		conn, err := websocket.Accept(w, r, &websocket.AcceptOptions{InsecureSkipVerify: true})
		if err != nil {
			return
		}
		defer conn.CloseNow()
		conn.SetReadLimit(MostMessage)
		talk(s.ctx, &Socket{conn: conn, request: r, bucket: newBucket(Rate, 2*Rate)})
	}))
}

// From is the address of the browser.
func (c *Socket) From() string { return c.request.RemoteAddr }

// Browser is what the browser says of itself.
func (c *Socket) Browser() string { return c.request.UserAgent() }

// Read waits for the next message. A page that sends too much is disconnected, with [ErrFlood].
func (c *Socket) Read(ctx context.Context) ([]byte, error) {
	kind, message, err := c.conn.Read(ctx)
	switch {
	case errors.Is(err, websocket.ErrMessageTooBig):
		return nil, ErrFlood
	case err != nil:
		return nil, err
	case kind != websocket.MessageText:
		c.conn.Close(websocket.StatusUnsupportedData, "only text is understood")
		return nil, errors.New("the page sent what is no text; it was disconnected")
	case !c.bucket.take(time.Now()):
		c.conn.Close(websocket.StatusPolicyViolation, "too many messages")
		return nil, ErrFlood
	}
	return message, nil
}

// Write sends a message. It fails where the page does not take it within five seconds, and the socket is closed then.
func (c *Socket) Write(ctx context.Context, message []byte) error {
	ctx, cancel := context.WithTimeout(ctx, writeWithin)
	defer cancel()
	return c.conn.Write(ctx, websocket.MessageText, message)
}

// Close says goodbye with a reason of at most 120 bytes, which the page can read.
func (c *Socket) Close(reason string) error {
	return c.conn.Close(websocket.StatusNormalClosure, reason[:min(len(reason), 120)])
}

// Drop closes the socket without a word.
func (c *Socket) Drop() { c.conn.CloseNow() }
