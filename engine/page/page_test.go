package page

import (
	"bufio"
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"candelua/engine/fault"
)

const document = "<!doctype html><title>x</title><style>p{}</style><p>here</p><script>go()</script>"

// open is a server with a page, a file, and a socket that sends back what it gets; heard is how it ended.
func open(t *testing.T, o Options) (s *Server, heard chan error) {
	t.Helper()
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	s, err := Listen(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	heard = make(chan error, 100)
	s.Page([]byte(document))
	s.Handle("still.png", http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { io.WriteString(w, "a picture") }))
	s.Handle("of/", http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { io.WriteString(w, r.URL.Path) }))
	s.Socket("socket", func(ctx context.Context, c *Socket) {
		for {
			m, err := c.Read(ctx)
			if err != nil {
				heard <- err
				return
			}
			c.Write(ctx, m)
		}
	})
	return s, heard
}

// ask sends a request as it is written, so that every header can be wrong.
func ask(t *testing.T, s *Server, method, path string, header ...string) *http.Response {
	t.Helper()
	c, err := net.Dial("tcp", s.listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	host := s.listener.Addr().String()
	lines := method + " " + path + " HTTP/1.1\r\n"
	for _, h := range header {
		if name, value, _ := strings.Cut(h, ": "); name == "Host" {
			host = value
			continue
		}
		lines += h + "\r\n"
	}
	fmt.Fprintf(c, "%sHost: %s\r\n\r\n", lines, host)
	r, err := http.ReadResponse(bufio.NewReader(c), &http.Request{Method: method})
	if err != nil {
		t.Fatalf("%s %s: %v", method, path, err)
	}
	body, _ := io.ReadAll(r.Body)
	r.Body = io.NopCloser(bytes.NewReader(body))
	return r
}

func TestRulesOfAccess(t *testing.T) {
	s, _ := open(t, Options{Hosts: []string{"bench.example", "proxy.example:8443"}})
	addr := s.listener.Addr().String()
	_, port, _ := net.SplitHostPort(addr)
	in := "/" + s.Token() + "/"
	upgrade := []string{"Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13", "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ=="} // RFC 6455, 1.3
	with := func(h ...string) []string { return append(h, upgrade...) }
	for _, c := range []struct {
		what, method, path string
		header             []string
		status             int
	}{
		{"the page", "GET", in, nil, 200},
		{"its head", "HEAD", in, nil, 200},
		{"a file", "GET", in + "still.png", nil, 200},
		{"in a folder", "GET", in + "of/one/two", nil, 200},
		{"without the slash", "GET", "/" + s.Token(), nil, 308},
		{"localhost", "GET", in, []string{"Host: localhost:" + port}, 200},
		{"a named host", "GET", in, []string{"Host: bench.example:" + port}, 200},
		{"in other letters", "GET", in, []string{"Host: BENCH.example:" + port}, 200},
		{"a named host with its port", "GET", in, []string{"Host: proxy.example:8443"}, 200},
		{"no token", "GET", "/", nil, 404},
		{"a wrong token", "GET", "/" + strings.Repeat("0", 32) + "/", nil, 404},
		{"a part of the token", "GET", in[:20] + "/", nil, 404},
		{"the token and more", "GET", "/" + s.Token() + "0/", nil, 404},
		{"the token as a question", "GET", "/?" + s.Token(), nil, 404},
		{"nothing there", "GET", in + "other", nil, 404},
		{"a climb", "GET", in + "of/../../" + s.Token() + "x/", nil, 404},
		{"rebinding", "GET", in, []string{"Host: evil.example:" + port}, 421},
		{"rebinding without a token", "GET", "/", []string{"Host: evil.example:" + port}, 421},
		{"another address", "GET", in, []string{"Host: 192.0.2.1:" + port}, 421},
		{"another address of this machine", "GET", in, []string{"Host: 127.0.0.2:" + port}, 421},
		{"another port", "GET", in, []string{"Host: 127.0.0.1:1"}, 421},
		{"no port", "GET", in, []string{"Host: 127.0.0.1"}, 421},
		{"a named host at another port", "GET", in, []string{"Host: proxy.example:" + port}, 421},
		{"below a named host", "GET", in, []string{"Host: x.bench.example:" + port}, 421},
		{"an empty host", "GET", in, []string{"Host: "}, 421},
		{"a post", "POST", in, []string{"Content-Length: 0"}, 405},
		{"a frame", "GET", in, []string{"Sec-Fetch-Dest: iframe"}, 403},
		{"an object", "GET", in, []string{"Sec-Fetch-Dest: object"}, 403},
		{"a socket", "GET", in + "socket", with("Origin: http://" + addr), 101},
		{"a socket at a named host", "GET", in + "socket", with("Host: bench.example:"+port, "Origin: http://bench.example:"+port), 101},
		{"a socket without an origin", "GET", in + "socket", upgrade, 403},
		{"of nobody", "GET", in + "socket", with("Origin: null"), 403},
		{"from elsewhere", "GET", in + "socket", with("Origin: http://evil.example"), 403},
		{"from elsewhere at this port", "GET", in + "socket", with("Origin: http://evil.example:" + port), 403},
		{"from another port", "GET", in + "socket", with("Origin: http://127.0.0.1:1"), 403},
		{"of another scheme", "GET", in + "socket", with("Origin: https://" + addr), 403},
		{"of another name that is ours", "GET", in + "socket", with("Origin: http://bench.example:" + port), 403},
		{"that only begins as ours", "GET", in + "socket", with("Origin: http://" + addr + ".evil.example"), 403},
		{"two origins", "GET", in + "socket", with("Origin: http://"+addr, "Origin: http://evil.example"), 403},
		{"a socket without the token", "GET", "/socket", with("Origin: http://" + addr), 404},
		{"a socket by rebinding", "GET", in + "socket", with("Host: evil.example:"+port, "Origin: http://evil.example:"+port), 421},
		{"no upgrade", "GET", in + "socket", []string{"Origin: http://" + addr}, 426},
	} {
		r := ask(t, s, c.method, c.path, c.header...)
		if r.StatusCode != c.status {
			t.Errorf("%s: status %d, want %d", c.what, r.StatusCode, c.status)
		}
		for header, want := range map[string]string{"Cache-Control": "no-store", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff"} {
			if got := r.Header.Get(header); got != want {
				t.Errorf("%s: %s is %q, want %q", c.what, header, got, want)
			}
		}
		if p := r.Header.Get("Content-Security-Policy"); !strings.Contains(p, "frame-ancestors 'none'") {
			t.Errorf("%s: can be framed: %q", c.what, p)
		}
		body, _ := io.ReadAll(r.Body)
		if r.StatusCode >= 400 && bytes.Contains(body, []byte(s.Token())) {
			t.Errorf("%s: the refusal has the token in it", c.what)
		}
	}
}

func TestOnlyOwnScriptsRun(t *testing.T) {
	s, _ := open(t, Options{})
	r := ask(t, s, "GET", "/"+s.Token()+"/")
	policy := r.Header.Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "script-src 'sha256-" + sumOfGo + "'", "style-src 'sha256-", "connect-src 'self' ws://" + s.listener.Addr().String()} {
		if !strings.Contains(policy, want) {
			t.Errorf("the policy is %q; it should have %q", policy, want)
		}
	}
	if strings.Contains(policy, "unsafe") {
		t.Errorf("the policy is %q", policy)
	}
	if body, _ := io.ReadAll(r.Body); string(body) != document {
		t.Errorf("served %q", body)
	}
}

// printf 'go()' | openssl dgst -sha256 -binary | base64
const sumOfGo = "5KYv+PUboo5h+0+YAtGRPbwv5d/QxzHslP4YGnUaxRw="

func dial(t *testing.T, s *Server) *websocket.Conn {
	t.Helper()
	c, _, err := websocket.Dial(t.Context(), strings.Replace(s.URL(), "http", "ws", 1)+"socket", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {strings.TrimSuffix(s.URL(), "/"+s.Token()+"/")}}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.CloseNow() })
	return c
}

func TestSocketTalks(t *testing.T) {
	s, heard := open(t, Options{})
	c := dial(t, s)
	for _, m := range []string{"one", "two", strings.Repeat("x", MostMessage)} {
		c.SetReadLimit(-1)
		if err := c.Write(t.Context(), websocket.MessageText, []byte(m)); err != nil {
			t.Fatal(err)
		}
		if _, got, err := c.Read(t.Context()); err != nil || string(got) != m {
			t.Fatalf("%q came back as %q, %v", m, got, err)
		}
	}
	s.Close()
	if err := <-heard; !errors.Is(err, context.Canceled) {
		t.Errorf("the closed server's socket ended with %v", err)
	}
	if _, _, err := c.Read(t.Context()); err == nil {
		t.Error("the browser was not disconnected")
	}
}

func TestTooMuchIsCutOff(t *testing.T) {
	long := func(t *testing.T, c *websocket.Conn) { // 100 MB in one message
		w, err := c.Writer(t.Context(), websocket.MessageText)
		if err != nil {
			t.Fatal(err)
		}
		part, sent := bytes.Repeat([]byte("x"), 1<<20), 0
		for range 100 {
			n, err := w.Write(part)
			if sent += n; err != nil {
				break
			}
		}
		if sent == 100<<20 {
			t.Error("the whole message was taken")
		}
	}
	many := func(t *testing.T, c *websocket.Conn) {
		go func() {
			for {
				if _, _, err := c.Read(context.Background()); err != nil {
					return
				}
			}
		}()
		for n := range 100_000 {
			if c.Write(t.Context(), websocket.MessageText, []byte("x")) != nil {
				return
			}
			if n == 99_999 {
				t.Error("all were taken")
			}
		}
	}
	for what, send := range map[string]func(*testing.T, *websocket.Conn){"long": long, "many": many} {
		t.Run(what, func(t *testing.T) {
			s, heard := open(t, Options{})
			send(t, dial(t, s))
			if err := <-heard; !errors.Is(err, ErrFlood) {
				t.Errorf("the socket ended with %v", err)
			}
			dial(t, s) // others are still served
		})
	}
	t.Run("no text", func(t *testing.T) {
		s, heard := open(t, Options{})
		dial(t, s).Write(t.Context(), websocket.MessageBinary, []byte("x"))
		if err := <-heard; err == nil || !strings.Contains(err.Error(), "no text") {
			t.Errorf("the socket ended with %v", err)
		}
	})
}

func TestTooManySockets(t *testing.T) {
	s, _ := open(t, Options{})
	var all []*websocket.Conn
	for range MostSockets {
		all = append(all, dial(t, s))
	}
	origin := "http://" + s.listener.Addr().String()
	again := func() int {
		return ask(t, s, "GET", "/"+s.Token()+"/socket", "Origin: "+origin, "Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13", "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==").StatusCode
	}
	if got := again(); got != 503 {
		t.Errorf("one more: %d", got)
	}
	all[0].Close(websocket.StatusNormalClosure, "")
	for deadline := time.Now().Add(10 * time.Second); again() != 101; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("after one closed, no other was let in")
		}
	}
}

func TestRequestsAreLimited(t *testing.T) {
	s, _ := open(t, Options{})
	now := time.Now()
	s.limits.now = func() time.Time { return now }
	client := &http.Client{Transport: &http.Transport{}}
	get := func() int {
		r, err := client.Get(s.URL())
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		io.Copy(io.Discard, r.Body)
		return r.StatusCode
	}
	for n := range requestBurst {
		if got := get(); got != 200 {
			t.Fatalf("request %d: %d", n, got)
		}
	}
	if got := get(); got != 429 {
		t.Errorf("a flood: %d", got)
	}
	now = now.Add(time.Second)
	if got := get(); got != 200 {
		t.Errorf("a second later: %d", got)
	}
}

func TestConnectionsAreLimited(t *testing.T) {
	s, _ := open(t, Options{})
	var all []net.Conn
	for range mostOfOne + 8 {
		c, err := net.Dial("tcp", s.listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		all = append(all, c)
	}
	closed := 0
	for _, c := range all[mostOfOne:] {
		c.SetReadDeadline(time.Now().Add(3 * time.Second))
		if _, err := c.Read(make([]byte, 1)); errors.Is(err, io.EOF) || strings.Contains(fmt.Sprint(err), "reset") {
			closed++
		}
	}
	if closed != 8 {
		t.Errorf("%d of the 8 that are too many were closed", closed)
	}
	for _, c := range all {
		c.Close()
	}
	for deadline := time.Now().Add(10 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		s.limits.mu.Lock()
		left, by := s.limits.all, len(s.limits.open)
		s.limits.mu.Unlock()
		if left == 0 && by == 0 {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("%d connections of %d addresses are still counted", left, by)
		}
	}
}

func TestBucket(t *testing.T) {
	b, now := newBucket(10, 20), time.Now()
	took := func(of int) (n int) {
		for range of {
			if b.take(now) {
				n++
			}
		}
		return n
	}
	if n := took(100); n != 20 {
		t.Errorf("at once: %d", n)
	}
	if now = now.Add(500 * time.Millisecond); took(100) != 5 {
		t.Error("half a second does not let through five")
	}
	if now = now.Add(time.Hour); took(100) != 20 {
		t.Error("after an hour it does not hold its most")
	}
}

func TestWrongOptions(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	for _, c := range []struct {
		o    Options
		says string
	}{
		{Options{Listen: "nowhere"}, `"nowhere"; it must be HOST:PORT`},
		{Options{Listen: "127.0.0.1:70000"}, "0 to 65535"},
		{Options{Listen: "127.0.0.1:http"}, "0 to 65535"},
		{Options{Listen: taken.Addr().String()}, "cannot listen at " + taken.Addr().String()},
		{Options{Listen: "192.0.2.1:0"}, "cannot listen at 192.0.2.1:0"}, // RFC 5737: nobody has it
		{Options{Listen: "127.0.0.1:0", Hosts: []string{"http://bench"}}, `"http://bench"`},
		{Options{Listen: "127.0.0.1:0", Hosts: []string{"*.example"}}, "no wildcards"},
		{Options{Listen: "127.0.0.1:0", Hosts: []string{""}}, `the host is ""`},
		{Options{Listen: "127.0.0.1:0", Hosts: []string{"bench:x"}}, `"bench:x"`},
		{Options{Listen: "127.0.0.1:0", Certificate: "a"}, "belong together"},
		{Options{Listen: "127.0.0.1:0", Certificate: "a", Key: "b"}, "certificate cannot be used"},
	} {
		s, err := Listen(c.o)
		if err == nil {
			s.Close()
		}
		if !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error()+" "+fault.HintOf(err), c.says) || fault.HintOf(err) == "" {
			t.Errorf("%+v: %v (%s), want %q", c.o, err, fault.HintOf(err), c.says)
		}
	}
}

func TestShownAddress(t *testing.T) {
	for _, c := range []struct {
		o    Options
		want string
	}{
		{Options{Listen: "127.0.0.1:0"}, "http://127.0.0.1:"},
		{Options{Listen: "[::1]:0"}, "http://[::1]:"},
		{Options{Listen: "127.0.0.1:0", Hosts: []string{"bench.example"}}, "http://bench.example:"},
	} {
		s, err := Listen(c.o)
		if err != nil {
			t.Errorf("%+v: %v", c.o, err)
			continue
		}
		s.Close()
		if !strings.HasPrefix(s.URL(), c.want) || !strings.HasSuffix(s.URL(), "/"+s.Token()+"/") || len(s.Token()) != 32 {
			t.Errorf("%+v: shows %s", c.o, s.URL())
		}
	}
	s, err := Listen(Options{Listen: ":0"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if strings.Contains(s.URL(), "0.0.0.0") || strings.Contains(s.URL(), "[::]") {
		t.Errorf("nobody can open %s", s.URL())
	}
	if r, err := http.Get(s.URL()); err != nil || r.StatusCode != 404 {
		t.Errorf("%s: %v, %v", s.URL(), r, err)
	}
}

func TestTokensDiffer(t *testing.T) {
	seen := map[string]bool{}
	for range 1000 {
		seen[newToken()] = true
	}
	if len(seen) != 1000 {
		t.Errorf("%d of 1000 differ", len(seen))
	}
}

func TestTLS(t *testing.T) {
	folder := t.TempDir()
	key, _ := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	about := &x509.Certificate{SerialNumber: big.NewInt(1), DNSNames: []string{"bench.example"}, NotAfter: time.Now().Add(time.Hour)}
	der, err := x509.CreateCertificate(rand.Reader, about, about, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	secret, _ := x509.MarshalPKCS8PrivateKey(key)
	o := Options{Listen: "127.0.0.1:0", Hosts: []string{"bench.example"}, Certificate: filepath.Join(folder, "c.pem"), Key: filepath.Join(folder, "k.pem")}
	os.WriteFile(o.Certificate, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600)
	os.WriteFile(o.Key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), 0o600)
	s, _ := open(t, o)
	trusted := x509.NewCertPool()
	own, _ := x509.ParseCertificate(der)
	trusted.AddCert(own)
	dialer := &net.Dialer{}
	client := &http.Client{Transport: &http.Transport{
		TLSClientConfig: &tls.Config{RootCAs: trusted},
		DialContext: func(ctx context.Context, n, _ string) (net.Conn, error) {
			return dialer.DialContext(ctx, n, s.listener.Addr().String())
		},
	}}
	if !s.Secure() || !strings.HasPrefix(s.URL(), "https://bench.example:") {
		t.Errorf("shows %s", s.URL())
	}
	r, err := client.Get(s.URL())
	if err != nil || r.StatusCode != 200 || !strings.Contains(r.Header.Get("Content-Security-Policy"), "wss://bench.example:") {
		t.Fatalf("%v, %v", r, err)
	}
	r.Body.Close()
	origin := strings.TrimSuffix(s.URL(), "/"+s.Token()+"/")
	c, _, err := websocket.Dial(t.Context(), s.URL()+"socket", &websocket.DialOptions{HTTPClient: client, HTTPHeader: http.Header{"Origin": {origin}}})
	if err != nil {
		t.Fatal(err)
	}
	c.CloseNow()
	if _, _, err := websocket.Dial(t.Context(), s.URL()+"socket", &websocket.DialOptions{HTTPClient: client, HTTPHeader: http.Header{"Origin": {strings.Replace(origin, "https", "http", 1)}}}); err == nil {
		t.Error("an origin without TLS was let in")
	}
}

// Whatever is asked, the answer is a refusal or the page, and never a word of what is inside without the token.
func FuzzRequests(f *testing.F) {
	s, err := Listen(Options{Listen: "127.0.0.1:0"})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { s.Close() })
	s.Page([]byte("a secret"))
	now := time.Now()
	s.limits.now = func() time.Time { now = now.Add(time.Second); return now }
	f.Add("/", "127.0.0.1", "http://127.0.0.1", "document")
	f.Add("/../x", "", "null", "iframe")
	f.Add("//", "[::1]:80", "", "")
	f.Fuzz(func(t *testing.T, path, host, origin, dest string) {
		local := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1)}
		r := (&http.Request{Method: "GET", Host: host, URL: &url.URL{Path: path}, RemoteAddr: "127.0.0.1:1",
			Header: http.Header{"Origin": {origin}, "Sec-Fetch-Dest": {dest}}}).WithContext(context.WithValue(t.Context(), http.LocalAddrContextKey, local))
		w := httptest.NewRecorder()
		s.serve(w, r)
		if w.Code < 400 || strings.Contains(w.Body.String(), "secret") {
			t.Errorf("%q at %q: %d %q", path, host, w.Code, w.Body)
		}
	})
}
