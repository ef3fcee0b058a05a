//go:build unix

package main

import (
	"bufio"
	"net"
	"os"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/rogpeppe/go-internal/testscript"
)

// serveInstrument starts an instrument that speaks lines over TCP, until the story ends, and puts its address in
// place of ADDRESS in files. It reads no light while a black patch is shown. While there is a file named gone, it drops whoever asks; it makes
// this file when a window of 33 % was shown for the first time.
func serveInstrument(ts *testscript.TestScript, neg bool, files []string) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	ts.Check(err)
	ts.Defer(func() { l.Close() })
	for _, f := range files {
		text := strings.ReplaceAll(ts.ReadFile(f), "ADDRESS", l.Addr().String())
		ts.Check(os.WriteFile(ts.MkAbs(f), []byte(text), 0o644))
	}
	gone := ts.MkAbs("gone")
	var breaks sync.Once
	var isDark atomic.Bool
	go func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			go answerLines(conn, gone, &breaks, &isDark)
		}
	}()
}

func answerLines(conn net.Conn, gone string, breaks *sync.Once, isDark *atomic.Bool) {
	defer conn.Close()
	lines := bufio.NewScanner(conn)
	for lines.Scan() {
		if _, err := os.Stat(gone); err == nil {
			return
		}
		answer := lines.Text()
		switch {
		case answer == "ID":
			answer = "Dunlin 12"
		case answer == "M" && isDark.Load():
			answer = "ER no light"
		case answer == "M":
			answer = "OK 202.5"
		case strings.HasPrefix(answer, "WIN"):
			if strings.HasPrefix(answer, "WIN 33 ") {
				breaks.Do(func() { os.WriteFile(gone, nil, 0o644) })
			}
			isDark.Store(strings.HasSuffix(answer, " 0 0 0"))
			answer = "="
		}
		if _, err := conn.Write([]byte(answer + "\n")); err != nil {
			return
		}
	}
}
