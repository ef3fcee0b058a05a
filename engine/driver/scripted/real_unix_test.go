//go:build unix

package scripted

import (
	"errors"
	"fmt"
	"net"
	"os"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"candelua/engine/bench"
	"candelua/engine/driver/link"
	"candelua/testdata/campaign"
)

// overTCP lets an emulator listen, and gives the link to it.
func overTCP(t testing.TB, e *emulator) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	t.Cleanup(func() { l.Close(); <-done })
	go func() {
		defer close(done)
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			e.attach(conn)
		}
	}()
	return "tcp:" + l.Addr().String()
}

// overTerminal puts an emulator at the end of a pseudo-terminal, which goes on when the other end is closed and
// opened again, as a serial port does.
func overTerminal(t testing.TB, e *emulator) string {
	its, ours, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ours.Close() })
	fd, err := syscall.Dup(int(its.Fd())) // its own file cannot be closed while somebody reads it
	if err == nil {
		err = errors.Join(its.Close(), syscall.SetNonblock(fd, true))
	}
	if err != nil {
		t.Fatal(err)
	}
	e.outlives = true
	e.attach(os.NewFile(uintptr(fd), "instrument"))
	return "serial:" + ours.Name() + "?baud=115200"
}

// TestRealLinks: readings go wrong over TCP and over a serial port as they do in memory. A port that is unplugged is
// in package link.
func TestRealLinks(t *testing.T) {
	const timeout = 60 * time.Millisecond
	before := runtime.NumGoroutine()
	type member struct {
		instrument string
		over       func(testing.TB, *emulator) string
		fault      string
	}
	var all []member
	for _, c := range []struct {
		instrument string
		over       func(testing.TB, *emulator) string
		faults     []string
	}{
		{"dunlin", overTCP, []string{"silence", "half", "two", "late", "garbage", "nan", "long", "closed"}},
		{"heron", overTCP, []string{"silence", "two", "late", "garbage", "closed"}},
		{"knot", overTCP, []string{"half", "late", "garbage", "closed"}},
		{"dunlin", overTerminal, []string{"silence", "half", "two", "late", "garbage", "1e400", "drip"}},
		{"knot", overTerminal, []string{"silence", "half", "late", "garbage", "nan", "drip"}},
		{"whimbrel", overTerminal, []string{"silence", "half", "two", "late", "garbage", "1e400", "drip"}},
		{"turnstone", overTerminal, []string{"silence", "half", "two", "late", "garbage", "nan", "drip"}},
		{"turnstone", overTCP, []string{"half", "late", "garbage", "long", "closed"}},
	} {
		for _, fault := range c.faults {
			all = append(all, member{c.instrument, c.over, fault})
		}
	}
	t.Run("all", func(t *testing.T) {
		for _, c := range campaign.Some(t, all, 6) {
			t.Run(fmt.Sprint(c.instrument, " ", c.fault), func(t *testing.T) {
				t.Parallel() // they wait most of the time
				e := &emulator{protocol: instruments[c.instrument](), faults: []string{"", c.fault, "", c.fault}, timeout: timeout}
				e.start()
				defer e.stop()
				device, err := open(t, bench.KindMeter, example(t, c.instrument), section(c.instrument, c.over(t, e), timeout, 6), link.Address.Open, nil)
				if err != nil {
					t.Fatal(err)
				}
				for range 3 {
					s, err := read(device.(bench.Meter))
					if err != nil || s.Y != float64(e.readings()) {
						t.Fatalf("it reads %g, %v, and was asked for %d", s.Y, err, e.readings())
					}
				}
			})
		}
	})
	for range 200 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	buf := make([]byte, 1<<20)
	os.Stderr.Write(buf[:runtime.Stack(buf, true)])
	t.Errorf("%d goroutines before, %d after", before, runtime.NumGoroutine())
}

// BenchmarkReading is a reading over TCP from an instrument that answers at once, and the instrument alone.
func BenchmarkReading(b *testing.B) {
	e := &emulator{protocol: dunlin{}}
	e.start()
	defer e.stop()
	at := overTCP(b, e)
	b.Run("driver", func(b *testing.B) {
		device, err := open(b, bench.KindMeter, example(b, "dunlin"), section("dunlin", at, time.Second, 0), link.Address.Open, nil)
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			if _, err := read(device.(bench.Meter)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("instrument", func(b *testing.B) {
		conn, err := net.Dial("tcp", at[len("tcp:"):])
		if err != nil {
			b.Fatal(err)
		}
		defer conn.Close()
		buffer := make([]byte, 100)
		for b.Loop() {
			conn.Write([]byte("M\r"))
			if _, err := conn.Read(buffer); err != nil {
				b.Fatal(err)
			}
		}
	})
}
