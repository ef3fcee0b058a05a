package page

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"candelua/engine/fault"
)

// Options say where a server listens and whom it lets in.
type Options struct {
	// Listen is HOST:PORT. An empty host is all addresses of this machine; port 0 is any that is free.
	Listen string
	// Hosts are names, with a port or without, by which browsers may reach this server beside its addresses.
	Hosts []string
	// Certificate and Key are paths of PEM files: both or none.
	Certificate, Key string
}

// Server serves a page to those who know its token.
type Server struct {
	token  string
	scheme string // http or https
	port   string
	shown  string // the host that a person is shown
	hosts  map[string]bool

	listener net.Listener
	http     *http.Server
	limits   *limits
	ctx      context.Context // ends when the server closes
	cancel   context.CancelFunc

	mu       sync.RWMutex
	handlers map[string]http.Handler // by path below the token
	sockets  sync.WaitGroup
}

// Listen opens the address and serves; there is nothing to see until [Server.Page] and the others say what. It fails
// with a [fault.UsageError] for an address, a name or a certificate that cannot be used.
func Listen(o Options) (*Server, error) {
	hosts, err := hostNames(o.Hosts)
	if err != nil {
		return nil, err
	}
	secure, err := certificate(o)
	if err != nil {
		return nil, err
	}
	l, err := listen(o.Listen)
	if err != nil {
		return nil, err
	}
	s := &Server{token: newToken(), scheme: "http", hosts: hosts, limits: newLimits(), handlers: map[string]http.Handler{}}
	at := l.Addr().(*net.TCPAddr)
	s.port = strconv.Itoa(at.Port)
	s.shown = shownHost(o, at.IP)
	s.ctx, s.cancel = context.WithCancel(context.Background())
	s.listener = s.limits.listener(l)
	if secure != nil {
		s.scheme = "https"
		s.listener = tls.NewListener(s.listener, secure)
	}
	s.http = &http.Server{
		Handler:           http.HandlerFunc(s.serve),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      60 * time.Second, // sockets have their own
		IdleTimeout:       60 * time.Second,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          silent,
		BaseContext:       func(net.Listener) context.Context { return s.ctx },
	}
	go s.http.Serve(s.listener)
	return s, nil
}

// newToken is 128 random bits. Reading them cannot fail (crypto/rand).
func newToken() string {
	var bits [16]byte
	rand.Read(bits[:])
	return hex.EncodeToString(bits[:])
}

func listen(address string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err == nil {
		_, err = strconv.ParseUint(port, 10, 16)
	}
	if err != nil {
		return nil, &fault.UsageError{Err: fmt.Errorf("the address to listen at is %q; it must be HOST:PORT with a port from 0 to 65535", address),
			Tip: `127.0.0.1:0 is for browsers on this machine, ":7040" for all in its networks`}
	}
	l, err := net.Listen("tcp", net.JoinHostPort(host, port))
	if err != nil {
		return nil, &fault.UsageError{Err: fmt.Errorf("cannot listen at %s: %w", address, plainest(err)),
			Tip: "choose an address of this machine and a port that no other program uses; port 0 is any that is free"}
	}
	return l, nil
}

// plainest is the reason alone, without the address, which the message has.
func plainest(err error) error {
	var op *net.OpError
	if errors.As(err, &op) {
		err = op.Err
	}
	var dns *net.DNSError
	if errors.As(err, &dns) {
		err = errors.New(dns.Err)
	}
	return err
}

func certificate(o Options) (*tls.Config, error) {
	switch {
	case o.Certificate == "" && o.Key == "":
		return nil, nil
	case o.Certificate == "" || o.Key == "":
		return nil, &fault.UsageError{Err: errors.New("a certificate and its key belong together, and only one of the two files is named"), Tip: "name both files, or none"}
	}
	pair, err := tls.LoadX509KeyPair(o.Certificate, o.Key)
	if err != nil {
		return nil, &fault.UsageError{Err: fmt.Errorf("the certificate cannot be used: %w", err), Tip: "name a certificate and its key, both PEM files"}
	}
	// Only HTTP 1.1: WebSockets are opened with it.
	return &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}}, nil
}

// URL is the address that a person opens.
func (s *Server) URL() string { return s.scheme + "://" + s.hostPort(s.shown) + "/" + s.token + "/" }

// Token is the secret part of the address.
func (s *Server) Token() string { return s.token }

// Secure says whether a browser elsewhere takes the page for a secure context; one on this machine always does.
func (s *Server) Secure() bool { return s.scheme == "https" }

func (s *Server) hostPort(host string) string {
	if s.scheme == "http" && s.port == "80" || s.scheme == "https" && s.port == "443" {
		if strings.Contains(host, ":") {
			return "[" + host + "]"
		}
		return host
	}
	return net.JoinHostPort(host, s.port)
}

// Page serves a document at the address itself. It is one file: scripts and styles stand in it, in elements without
// attributes, and no others are run.
func (s *Server) Page(document []byte) {
	policy := policyOf(document)
	s.Handle("", http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy+"; connect-src 'self' "+strings.Replace(s.scheme, "http", "ws", 1)+"://"+r.Host)
		h.Set("Content-Type", "text/html; charset=utf-8")
		w.Write(document)
	}))
}

// Handle serves what is at a path below the address, such as "still.png". A path that ends with a slash is all below.
func (s *Server) Handle(path string, h http.Handler) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.handlers[path] = h
}

// Close closes the server and all its connections.
func (s *Server) Close() error {
	s.cancel()
	err := s.http.Close()
	s.sockets.Wait()
	return err
}

// handler finds what is at a path: that itself, else the longest folder above it.
func (s *Server) handler(path string) http.Handler {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if h := s.handlers[path]; h != nil {
		return h
	}
	for at := strings.LastIndexByte(path, '/'); at >= 0; at = strings.LastIndexByte(path[:at], '/') {
		if h := s.handlers[path[:at+1]]; h != nil {
			return h
		}
	}
	return nil
}
