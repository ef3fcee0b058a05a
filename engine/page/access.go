package page

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/fault"
)

// What a browser does is no message of ours: a phone that leaves the network must not write on the terminal.
var silent = log.New(io.Discard, "", 0)

// hostNames reads the names by which browsers may reach a server.
func hostNames(names []string) (map[string]bool, error) {
	allowed := map[string]bool{}
	for _, name := range names {
		host, port, err := net.SplitHostPort(name)
		if err != nil {
			host, port = name, ""
		}
		if port != "" {
			_, err = strconv.ParseUint(port, 10, 16)
		} else {
			err = nil
		}
		if err != nil || !hostName.MatchString(host) && net.ParseIP(host) == nil {
			return nil, &fault.UsageError{Err: fmt.Errorf("the host is %q; it must be the name or the address of this machine, with a port or without", name),
				Tip: "write it as a browser's address line has it, without http:// and without a path; there are no wildcards"}
		}
		if strings.Contains(host, ":") {
			host = "[" + host + "]"
		}
		if port != "" {
			host += ":" + port
		}
		allowed[strings.ToLower(host)] = true
	}
	return allowed, nil
}

var hostName = regexp.MustCompile(`^[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?(\.[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?)*$`)

// shownHost is the host in the address that a person is shown: the first that was named, else where the server listens,
// else an address by which the network reaches this machine.
func shownHost(o Options, at net.IP) string {
	if len(o.Hosts) > 0 {
		if host, _, err := net.SplitHostPort(o.Hosts[0]); err == nil {
			return host
		}
		return o.Hosts[0]
	}
	if !at.IsUnspecified() {
		return at.String()
	}
	all, _ := net.InterfaceAddrs() // without them this machine alone reaches the page
	best := net.IPv4(127, 0, 0, 1)
	for _, a := range all {
		ip, ok := a.(*net.IPNet)
		if !ok || ip.IP.To4() == nil || ip.IP.IsLoopback() || ip.IP.IsLinkLocalUnicast() {
			continue
		}
		if best.IsLoopback() || ip.IP.IsPrivate() && !best.IsPrivate() {
			best = ip.IP
		}
	}
	return best.String()
}

// serve holds a request against the rules of access.
func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	for _, header := range headers {
		h.Set(header[0], header[1])
	}
	switch {
	case !s.limits.request(r.RemoteAddr):
		h.Set("Retry-After", "1")
		refuse(w, http.StatusTooManyRequests, "Too many requests. Wait a moment.")
		return
	case !s.ours(r):
		refuse(w, http.StatusMisdirectedRequest, "This server is not known by that name. Open the address that candelua shows.")
		return
	case r.Method != http.MethodGet && r.Method != http.MethodHead:
		h.Set("Allow", "GET, HEAD")
		refuse(w, http.StatusMethodNotAllowed, "This page can only be opened.")
		return
	case slices.Contains(frames, r.Header.Get("Sec-Fetch-Dest")):
		refuse(w, http.StatusForbidden, "This page cannot be part of another.")
		return
	}
	token, path, below := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	known := subtle.ConstantTimeCompare([]byte(token), []byte(s.token)) == 1
	if known && !below { // the page's own addresses are relative to the folder
		h.Set("Location", "/"+s.token+"/")
		w.WriteHeader(http.StatusPermanentRedirect)
		return
	}
	handler := s.handler(path)
	if !known || handler == nil || strings.Contains(path, "..") {
		refuse(w, http.StatusNotFound, "There is nothing at this address. Open the address that candelua shows; it changes with each start.")
		return
	}
	handler.ServeHTTP(w, r)
}

// frames are what a browser says of a request for a part of another page.
var frames = []string{"iframe", "frame", "embed", "object", "fencedframe"}

// headers are those of each answer.
var headers = [][2]string{
	{"Cache-Control", "no-store"},
	{"Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"},
	{"X-Frame-Options", "DENY"},
	{"X-Content-Type-Options", "nosniff"},
	{"Referrer-Policy", "no-referrer"},
	{"Cross-Origin-Opener-Policy", "same-origin"},
	{"Cross-Origin-Resource-Policy", "same-origin"},
	{"X-Robots-Tag", "noindex, nofollow"},
}

func refuse(w http.ResponseWriter, status int, why string) {
	h := w.Header()
	h.Set("Content-Type", "text/plain; charset=utf-8")
	h.Set("Connection", "close")
	w.WriteHeader(status)
	io.WriteString(w, why+"\n")
}

// ours says whether a request is for this server, by its Host header.
func (s *Server) ours(r *http.Request) bool {
	asked := strings.ToLower(r.Host)
	host, port, err := net.SplitHostPort(asked)
	if err != nil { // no port
		host, port = strings.Trim(asked, "[]"), map[string]string{"http": "80", "https": "443"}[s.scheme]
	}
	if s.hosts[asked] {
		return true
	}
	if port != s.port {
		return false
	}
	if strings.Contains(host, ":") && s.hosts["["+host+"]"] || s.hosts[host] {
		return true
	}
	local, ok := r.Context().Value(http.LocalAddrContextKey).(*net.TCPAddr)
	if !ok {
		return false
	}
	if ip := net.ParseIP(host); ip != nil {
		return ip.Equal(local.IP)
	}
	return host == "localhost" && local.IP.IsLoopback()
}

// own says whether a WebSocket is asked for by a page of this server.
func (s *Server) own(r *http.Request) bool {
	return strings.EqualFold(r.Header.Get("Origin"), s.scheme+"://"+r.Host) && len(r.Header.Values("Origin")) == 1
}

var inline = regexp.MustCompile(`(?s)<(script|style)>(.*?)</(?:script|style)>`)

// policyOf lets a document run its own scripts and styles, by their sums, and load pictures and films of its own.
// Source: Content Security Policy Level 3 (W3C).
func policyOf(document []byte) string {
	sums := map[string]string{}
	for _, m := range inline.FindAllSubmatch(document, -1) {
		sum := sha256.Sum256(m[2])
		sums[string(m[1])] += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	policy := "default-src 'none'; img-src 'self' blob: data:; media-src 'self' blob: data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	for _, of := range []string{"script", "style"} {
		if sums[of] != "" {
			policy += "; " + of + "-src" + sums[of]
		}
	}
	return policy
}
