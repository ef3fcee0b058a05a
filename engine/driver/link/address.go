package link

import (
	"fmt"
	"net"
	"slices"
	"strconv"
	"strings"

	"go.bug.st/serial"

	"candelua/engine/bench"
	"candelua/engine/spell"
)

// Kind is how a link goes.
type Kind string

// The kinds of links.
const (
	Serial Kind = "serial"
	TCP    Kind = "tcp"
	USBTMC Kind = "usbtmc"
)

var kinds = []string{string(Serial), string(TCP), string(USBTMC)}

// Address is a link as a bench file names it.
type Address struct {
	Kind Kind
	At   string // a port, HOST:PORT or a device file
	mode serial.Mode
}

const example = `write for example link = "serial:/dev/serial/by-id/…?baud=9600" or link = "tcp:192.0.2.7:5025"`

// Parse reads a link, and touches nothing.
func Parse(text string) (a Address, err error) {
	kind, rest, found := strings.Cut(text, ":")
	a = Address{Kind: Kind(kind), At: rest}
	switch {
	case text == "":
		return a, bad(example, "the link is missing; it must be serial:PORT, tcp:HOST:PORT or usbtmc:FILE")
	case !found || !slices.Contains(kinds, kind):
		return a, bad(example, "the link is %q; it must begin with serial:, tcp: or usbtmc:", text)
	case rest == "":
		return a, bad(example, "the link is %q; after the colon it must say where the instrument is", text)
	case a.Kind == Serial:
		return a, a.readSerial(text)
	case a.Kind == TCP:
		return a, checkHostPort(text, rest)
	}
	return a, nil
}

func bad(hint, format string, args ...any) error {
	return bench.Errorf(bench.CodeBadFile, hint, format, args...)
}

func checkHostPort(text, rest string) error {
	host, port, err := net.SplitHostPort(rest)
	if n, wrong := strconv.ParseUint(port, 10, 16); err != nil || host == "" || wrong != nil || n == 0 {
		return bad(`write for example link = "tcp:192.0.2.7:5025"`, "the link is %q; it must be tcp:HOST:PORT, with a port from 1 to 65535", text)
	}
	return nil
}

// readSerial reads the settings behind the name of a port.
func (a *Address) readSerial(text string) error {
	port, settings, some := strings.Cut(a.At, "?")
	a.At, a.mode = port, serial.Mode{BaudRate: 9600, DataBits: 8}
	if port == "" {
		return bad(example, "the link is %q; it must name the port, before any ?", text)
	}
	if !some {
		return nil
	}
	for setting := range strings.SplitSeq(settings, "&") {
		key, value, _ := strings.Cut(setting, "=")
		if err := a.set(key, value); err != nil {
			return err
		}
	}
	return nil
}

// words are what those settings of a port may be that are no numbers.
var words = map[string][]string{
	"data":   {"5", "6", "7", "8"},
	"parity": {"none", "odd", "even", "mark", "space"},
	"stop":   {"1", "1.5", "2"},
	"dtr":    {"off", "on"},
	"rts":    {"off", "on"},
}

var serialKeys = []string{"baud", "data", "parity", "stop", "dtr", "rts"}

func (a *Address) set(key, value string) error {
	if !slices.Contains(serialKeys, key) {
		hint := "its settings are " + strings.Join(serialKeys, ", ")
		if near := spell.Nearest(key, serialKeys); near != "" {
			hint = fmt.Sprintf("did you mean %q? (%s)", near, hint)
		}
		return bad(hint, "the link has the setting %q, which a serial port has not", key)
	}
	if key == "baud" {
		n, err := strconv.Atoi(value)
		if err != nil || n < 50 || n > 4_000_000 {
			return bad("", "baud of the link is %q; it must be a whole number from 50 to 4000000", value)
		}
		a.mode.BaudRate = n
		return nil
	}
	at := slices.Index(words[key], value)
	if at < 0 {
		return bad("", "%s of the link is %q; it must be one of %s", key, value, strings.Join(words[key], ", "))
	}
	switch key {
	case "data":
		a.mode.DataBits = 5 + at
	case "parity":
		a.mode.Parity = []serial.Parity{serial.NoParity, serial.OddParity, serial.EvenParity, serial.MarkParity, serial.SpaceParity}[at]
	case "stop":
		a.mode.StopBits = []serial.StopBits{serial.OneStopBit, serial.OnePointFiveStopBits, serial.TwoStopBits}[at]
	default:
		if a.mode.InitialStatusBits == nil { // on, as the system sets both when a port is opened
			a.mode.InitialStatusBits = &serial.ModemOutputBits{DTR: true, RTS: true}
		}
		if key == "dtr" {
			a.mode.InitialStatusBits.DTR = at == 1
		} else {
			a.mode.InitialStatusBits.RTS = at == 1
		}
	}
	return nil
}

// Outlives says whether an answer that is under way when the link is closed can come over the next one
// that is opened. Only a TCP connection takes its answers with it.
func (a Address) Outlives() bool { return a.Kind != TCP }

// String is the link as people know it: "tcp:192.0.2.7:5025".
func (a Address) String() string { return string(a.Kind) + ":" + a.At }
