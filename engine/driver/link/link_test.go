package link

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"go.bug.st/serial"

	"candelua/engine/bench"
	"candelua/engine/driver/inbox"
	"candelua/engine/fault"
)

func TestParse(t *testing.T) {
	plain := serial.Mode{BaudRate: 9600, DataBits: 8}
	for text, want := range map[string]Address{
		"tcp:192.0.2.7:5025":   {Kind: TCP, At: "192.0.2.7:5025"},
		"tcp:[2001:db8::7]:23": {Kind: TCP, At: "[2001:db8::7]:23"},
		"usbtmc:/dev/usbtmc0":  {Kind: USBTMC, At: "/dev/usbtmc0"},
		"serial:/dev/ttyUSB0":  {Kind: Serial, At: "/dev/ttyUSB0", mode: plain},
		"serial:COM3":          {Kind: Serial, At: "COM3", mode: plain},
		"serial:/dev/x?baud=115200&data=7&parity=even&stop=2": {Kind: Serial, At: "/dev/x",
			mode: serial.Mode{BaudRate: 115200, DataBits: 7, Parity: serial.EvenParity, StopBits: serial.TwoStopBits}},
	} {
		if got, err := Parse(text); err != nil || got != want {
			t.Errorf("%s is %+v, %v, want %+v", text, got, err, want)
		}
	}
	a, err := Parse("serial:/dev/x?dtr=off")
	if err != nil || a.mode.InitialStatusBits == nil || a.mode.InitialStatusBits.DTR || !a.mode.InitialStatusBits.RTS {
		t.Errorf("dtr=off is %+v, %v", a.mode.InitialStatusBits, err)
	}
}

func TestParseErrors(t *testing.T) {
	for text, want := range map[string]string{
		"":                           "the link is missing; it must be serial:PORT, tcp:HOST:PORT or usbtmc:FILE",
		"/dev/ttyUSB0":               `the link is "/dev/ttyUSB0"; it must begin with serial:, tcp: or usbtmc:`,
		"usb:/dev/x":                 `the link is "usb:/dev/x"; it must begin with serial:, tcp: or usbtmc:`,
		"serial:":                    `the link is "serial:"; after the colon it must say where the instrument is`,
		"serial:?baud=9600":          `the link is "serial:?baud=9600"; it must name the port, before any ?`,
		"serial:/dev/x?baud=fast":    `baud of the link is "fast"; it must be a whole number from 50 to 4000000`,
		"serial:/dev/x?baud=9":       `baud of the link is "9"; it must be`,
		"serial:/dev/x?data=9":       `data of the link is "9"; it must be one of 5, 6, 7, 8`,
		"serial:/dev/x?parity=e":     `parity of the link is "e"; it must be one of none, odd, even, mark, space`,
		"serial:/dev/x?stop=3":       `stop of the link is "3"; it must be one of 1, 1.5, 2`,
		"serial:/dev/x?rts=1":        `rts of the link is "1"; it must be one of off, on`,
		"serial:/dev/x?bauds=9600":   `the link has the setting "bauds", which a serial port has not`,
		"serial:/dev/x?":             `the link has the setting "", which a serial port has not`,
		"tcp:192.0.2.7":              `the link is "tcp:192.0.2.7"; it must be tcp:HOST:PORT, with a port from 1 to 65535`,
		"tcp:192.0.2.7:65536":        `the link is "tcp:192.0.2.7:65536"; it must be`,
		"tcp::5025":                  `the link is "tcp::5025"; it must be`,
		"tcp:192.0.2.7:0":            `it must be tcp:HOST:PORT`,
		"serial:/dev/x?baud=9600&&&": `the setting ""`,
	} {
		if _, err := Parse(text); err == nil || !strings.Contains(err.Error(), want) || fault.CodeOf(err) != bench.CodeBadFile {
			t.Errorf("%s: the error is %v, want %s", text, err, want)
		}
	}
	_, err := Parse("serial:/dev/x?bauds=9600")
	if hint := fault.HintOf(err); !strings.HasPrefix(hint, `did you mean "baud"?`) {
		t.Errorf("the hint is %s", hint)
	}
}

// pair is a link and the other end of it.
func pair(t *testing.T) (*Link, net.Conn) {
	ours, its := net.Pipe()
	l := New(ours)
	t.Cleanup(func() {
		its.Close()
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
	return l, its
}

var errLate = errors.New("too late")

func within(d time.Duration) context.Context {
	ctx, cancel := context.WithTimeoutCause(context.Background(), d, errLate)
	time.AfterFunc(2*d, cancel)
	return ctx
}

// TestTake is what can be taken from a link, and what ends the wait for it.
func TestTake(t *testing.T) {
	line := func(l *Link) ([]byte, error) { return l.Line(within(time.Second), []byte("\r\n")) }
	for _, c := range []struct {
		name string
		come func(net.Conn)
		get  func(*Link) ([]byte, error)
		want string
		err  error
	}{
		{"a line", func(c net.Conn) { c.Write([]byte("one\r\ntwo\r\n")) }, line, "one", nil},
		{"an empty line", func(c net.Conn) { c.Write([]byte("\r\n")) }, line, "", nil},
		{"in pieces", func(c net.Conn) {
			c.Write([]byte("o"))
			time.Sleep(time.Millisecond)
			c.Write([]byte("ne\r"))
			c.Write([]byte("\n"))
		}, line, "one", nil},
		{"half", func(c net.Conn) { c.Write([]byte("one\r")) }, line, "", errLate},
		{"no end", func(c net.Conn) { c.Write(bytes.Repeat([]byte("7"), MostLine+10)) }, line, "", ErrTooLong},
		{"the longest", func(c net.Conn) { c.Write(append(bytes.Repeat([]byte("7"), MostLine), "\r\n"...)) }, line, strings.Repeat("7", MostLine), nil},
		{"a late end", func(c net.Conn) { c.Write(append(bytes.Repeat([]byte("7"), MostLine+1), "\r\n"...)) }, line, "", ErrTooLong},
		{"a flood", func(c net.Conn) { c.Write(bytes.Repeat([]byte("7"), inbox.Most+1)) }, func(l *Link) ([]byte, error) {
			time.Sleep(500 * time.Millisecond)
			return line(l)
		}, "", inbox.ErrFlood},
		{"bytes", func(c net.Conn) { c.Write([]byte{0, 255, 10, 7}) }, func(l *Link) ([]byte, error) { return l.Bytes(within(time.Second), 3) }, "\x00\xff\n", nil},
		{"closed", func(c net.Conn) { c.Write([]byte("on")); c.Close() }, line, "", io.EOF},
		{"closed after a line", func(c net.Conn) { c.Write([]byte("one\r\n")); c.Close() }, line, "one", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				l, its := pair(t)
				go c.come(its)
				got, err := c.get(l)
				if string(got) != c.want || !errors.Is(err, c.err) {
					t.Errorf("it gives %.40q, %v, want %.40q, %v", got, err, c.want, c.err)
				}
			})
		})
	}
}

// TestWrite: a write that nobody takes is given up, and so is the link.
func TestWrite(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l, its := pair(t)
		if err := l.Write(within(time.Second), []byte("x")); !errors.Is(err, ErrStuck) || !errors.Is(err, errLate) {
			t.Errorf("the error is %v", err)
		}
		go io.Copy(io.Discard, its)
		if err := l.Write(within(time.Second), []byte("y")); !errors.Is(err, ErrStuck) {
			t.Errorf("afterwards the error is %v", err)
		}
	})
}

func TestDrain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l, its := pair(t)
		its.Write([]byte("old\n"))
		synctest.Wait()
		if got := l.Drain(); string(got) != "old\n" {
			t.Errorf("it drops %q", got)
		}
		go its.Write([]byte("new\n"))
		if got, err := l.Line(within(time.Second), []byte("\n")); err != nil || string(got) != "new" {
			t.Errorf("it gives %q, %v", got, err)
		}
	})
}

// TestOpenErrors say what cannot be opened, and why.
func TestOpenErrors(t *testing.T) {
	closed, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	closed.Close()
	file := filepath.Join(t.TempDir(), "letter") // which a driver would write into
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"serial:" + t.TempDir() + "/none": "no such file or directory",
		"serial:/dev/null":                "it is no serial port",
		"usbtmc:" + file:                  "it is no device file",
		"usbtmc:" + t.TempDir() + "/none": "no such file or directory",
		"tcp:" + closed.Addr().String():   "connection refused",
	} {
		a, err := Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		_, err = a.Open(context.Background())
		if err == nil || !strings.HasPrefix(err.Error(), text+" cannot be opened: ") || !strings.HasSuffix(err.Error(), want) || fault.HintOf(err) == "" {
			t.Errorf("the error is %v, want %s", err, want)
		}
	}
}
