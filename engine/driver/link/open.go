package link

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"sync"
	"syscall"

	"go.bug.st/serial"

	"candelua/engine/bench"
)

// Open opens the link. Its errors say what cannot be opened, why, and what to do.
func (a Address) Open(ctx context.Context) (*Link, error) {
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	release, err := a.claim()
	if err != nil {
		return nil, err
	}
	conn, err := a.dial(ctx)
	if err == nil {
		l := New(conn)
		l.release = release
		return l, nil
	}
	release()
	if ctx.Err() != nil {
		err = context.Cause(ctx)
	}
	hint, reason := why(err)
	return nil, bench.Errorf(bench.CodeGone, hint, "%s cannot be opened: %w", a, reason)
}

// claimed are the device files that are open, by what their names lead to. Two who read from one would each get a part
// of what comes, and the system does not keep a second one of the same user out.
var claimed sync.Map

// claim makes sure that a device file is open once. A TCP server decides by itself.
func (a Address) claim() (release func(), err error) {
	if a.Kind == TCP {
		return func() {}, nil
	}
	device := a.At
	if real, err := filepath.EvalSymlinks(device); err == nil {
		device = real
	}
	if _, open := claimed.LoadOrStore(device, true); open {
		return nil, bench.Errorf(bench.CodeBadFile, "name another link in one of the two places of the bench file", "%s is in use already, at another place of the bench", a)
	}
	return func() { claimed.Delete(device) }, nil
}

func (a Address) dial(ctx context.Context) (io.ReadWriteCloser, error) {
	switch a.Kind {
	case TCP:
		var d net.Dialer
		return d.DialContext(ctx, "tcp", a.At)
	case USBTMC:
		info, err := os.Stat(a.At)
		if err != nil {
			return nil, err
		}
		if info.Mode()&fs.ModeCharDevice == 0 { // what is sent would be written into it
			return nil, errNoDevice
		}
		f, err := os.OpenFile(a.At, os.O_RDWR, 0)
		if err != nil {
			return nil, err
		}
		return onDemand(f), nil
	}
	return serial.Open(a.At, &a.mode)
}

// why puts the reason into plain words, with what to do.
func why(err error) (hint string, reason error) {
	const connect = "connect the instrument and switch it on, and look whether the link names it"
	reason = err
	var path *fs.PathError
	var dial *net.OpError
	var port *serial.PortError
	switch {
	case errors.As(err, &path):
		reason = path.Err
	case errors.As(err, &dial):
		reason = dial.Err
	case errors.As(err, &port):
		reason = portReason(port)
	}
	switch {
	case errors.Is(reason, errBusy):
		return "close the other program", reason
	case errors.Is(reason, fs.ErrPermission):
		return "you may not use it: let yourself into the group that it belongs to (ls -l shows it; often dialout), and log in again", reason
	case errors.Is(reason, syscall.ECONNREFUSED):
		return "nothing listens there: look whether the instrument's network interface is on, and whether the port is right", reason
	}
	return connect, reason
}

var (
	errBusy     = errors.New("another program uses it")
	errNoPort   = errors.New("it is no serial port")
	errNoDevice = errors.New("it is no device file")
)

func portReason(e *serial.PortError) error {
	switch e.Code() {
	case serial.PortBusy:
		return errBusy
	case serial.PermissionDenied:
		return fs.ErrPermission
	case serial.PortNotFound:
		return fs.ErrNotExist
	case serial.InvalidSerialPort:
		return errNoPort
	}
	return e
}

// demand is a device file that is read when something is wanted of it.
type demand struct {
	f      *os.File
	wanted chan struct{}
	closed chan struct{}
	once   sync.Once
}

func onDemand(f *os.File) *demand {
	return &demand{f: f, wanted: make(chan struct{}, 1), closed: make(chan struct{})}
}

func (d *demand) want() {
	select {
	case d.wanted <- struct{}{}:
	default: // it is already
	}
}

func (d *demand) unwant() {
	select {
	case <-d.wanted:
	default:
	}
}

// Read reads once for each want. That the system waited in vain is no end: whoever still wants it says so.
func (d *demand) Read(p []byte) (int, error) {
	select {
	case <-d.wanted:
	case <-d.closed:
		return 0, io.EOF
	}
	n, err := d.f.Read(p)
	if errors.Is(err, syscall.ETIMEDOUT) {
		err = nil
	}
	return n, err
}

func (d *demand) Write(p []byte) (int, error) { return d.f.Write(p) }

func (d *demand) Close() error {
	d.once.Do(func() { close(d.closed) })
	return d.f.Close()
}
