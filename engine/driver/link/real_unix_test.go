//go:build unix

package link

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
)

// terminal is a pseudo-terminal: the instrument's end, and the name of ours.
func terminal(t *testing.T) (its *os.File, name string) {
	t.Helper()
	its, ours, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { its.Close(); ours.Close() })
	return its, ours.Name()
}

func opened(t *testing.T, text string) *Link {
	t.Helper()
	a, err := Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	l, err := a.Open(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestSerial: a serial port gives each byte as it came, and lets go when it is closed.
func TestSerial(t *testing.T) {
	its, name := terminal(t)
	for _, settings := range []string{"", "?baud=115200", "?baud=9600&data=8&parity=none&stop=1"} {
		l := opened(t, "serial:"+name+settings)
		all := make([]byte, 256)
		for i := range all {
			all[i] = byte(i)
		}
		if err := l.Write(within(time.Second), all); err != nil {
			t.Fatal(err)
		}
		got := make([]byte, 256)
		for n := 0; n < 256; {
			k, err := its.Read(got[n:])
			if err != nil {
				t.Fatal(err)
			}
			n += k
		}
		if string(got) != string(all) {
			t.Errorf("%s: the instrument is sent % X", settings, got)
		}
		its.Write(all)
		if back, err := l.Bytes(within(time.Second), 256); err != nil || string(back) != string(all) {
			t.Errorf("%s: it gives % X, %v", settings, back, err)
		}
		if _, err := l.Bytes(within(20*time.Millisecond), 1); !errors.Is(err, errLate) {
			t.Errorf("%s: the error is %v", settings, err)
		}
		began := time.Now()
		if err := l.Close(); err != nil || time.Since(began) > time.Second {
			t.Errorf("%s: it is closed in %v, %v", settings, time.Since(began), err)
		}
	}
}

// TestUnplugged: a serial port that is gone ends what waits for it.
func TestUnplugged(t *testing.T) {
	its, ours, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	l := opened(t, "serial:"+ours.Name())
	defer l.Close()
	ours.Close()
	time.AfterFunc(20*time.Millisecond, func() { its.Close() })
	if _, err := l.Bytes(within(5*time.Second), 1); err == nil || errors.Is(err, errLate) {
		t.Errorf("the error is %v", err)
	}
}

// TestUSBTMC: a device file is read when something is waited for, and only then.
func TestUSBTMC(t *testing.T) {
	its, name := terminal(t)
	raw := opened(t, "serial:"+name) // makes the terminal hand on bytes as they are
	raw.Close()
	l := opened(t, "usbtmc:"+name)
	if err := l.Write(within(time.Second), []byte("*IDN?\n")); err != nil {
		t.Fatal(err)
	}
	question := make([]byte, 6)
	if _, err := its.Read(question); err != nil || string(question) != "*IDN?\n" {
		t.Errorf("the instrument is sent %q, %v", question, err)
	}
	its.Write([]byte("Heron"))
	time.Sleep(20 * time.Millisecond)
	if early := l.Drain(); len(early) > 0 {
		t.Errorf("%q was read before anything was wanted", early)
	}
	time.AfterFunc(20*time.Millisecond, func() { its.Write([]byte(",77\n")) })
	if got, err := l.Line(within(time.Second), []byte("\n")); err != nil || string(got) != "Heron,77" {
		t.Errorf("it gives %q, %v", got, err)
	}
	if err := l.Close(); err != nil {
		t.Error(err)
	}
	if _, err := l.Bytes(within(time.Second), 1); err == nil || strings.Contains(err.Error(), errLate.Error()) {
		t.Errorf("afterwards the error is %v", err)
	}
}

// TestTwice: a device file is open once, by whatever names, and can be opened again when it was closed.
func TestTwice(t *testing.T) {
	_, name := terminal(t)
	other := filepath.Join(t.TempDir(), "by-id")
	if err := os.Symlink(name, other); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		l := opened(t, "serial:"+name)
		a, _ := Parse("serial:" + other)
		want := "serial:" + other + " is in use already, at another place of the bench"
		if _, err := a.Open(context.Background()); err == nil || err.Error() != want {
			t.Errorf("the error is %v, want %s", err, want)
		}
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	}
	missing, _ := Parse("serial:" + other + "x")
	for range 2 { // what could not be opened is not in use
		if _, err := missing.Open(context.Background()); err == nil || !strings.Contains(err.Error(), "no such file") {
			t.Errorf("the error is %v", err)
		}
	}
}
