package regular_test

import (
	"errors"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"candelua/engine/fault"
	"candelua/engine/regular"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// within fails where a function does not return.
func within(t *testing.T, name string, f func()) {
	t.Helper()
	done := make(chan bool)
	go func() { f(); close(done) }()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		t.Fatalf("%s: it waits for good", name)
	}
}

// Whatever is no regular file is refused at once, by path, by link and in a folder, and said what it is.
func TestOthersAreRefused(t *testing.T) {
	for what, make := range map[string]func(path string) error{
		"a folder": func(path string) error { return os.Mkdir(path, 0o755) },
		"a pipe":   func(path string) error { return syscall.Mkfifo(path, 0o644) },
		"a socket": func(path string) error {
			l, err := net.Listen("unix", path)
			if err == nil {
				t.Cleanup(func() { l.Close() })
			}
			return err
		},
	} {
		dir := t.TempDir()
		must(t, make(filepath.Join(dir, "it")))
		must(t, os.Symlink("it", filepath.Join(dir, "link")))
		root, err := os.OpenRoot(dir)
		must(t, err)
		for _, name := range []string{"it", "link"} {
			within(t, what, func() {
				for _, flag := range []int{os.O_RDONLY, os.O_WRONLY, os.O_RDWR} {
					_, err := regular.Open(filepath.Join(dir, name), flag)
					wantOther(t, err, name+" is "+what)
				}
				_, err := regular.Read(filepath.Join(dir, name))
				wantOther(t, err, name+" is "+what)
				_, err = regular.ReadIn(root, name)
				wantOther(t, err, name+" is "+what)
			})
		}
		must(t, root.Close())
	}
	_, err := regular.Read("/dev/zero") // which has no end
	wantOther(t, err, "/dev/zero is a device")
}

func wantOther(t *testing.T, err error, text string) {
	t.Helper()
	if !errors.Is(err, regular.ErrOther) || !strings.HasSuffix(err.Error(), text+"; it must be a regular file") || fault.HintOf(err) != "move it away, and put the file back from a copy" {
		t.Errorf("error is %v, want that %s", err, text)
	}
}

func TestRegularFiles(t *testing.T) {
	dir := t.TempDir()
	must(t, os.WriteFile(filepath.Join(dir, "it"), []byte("text"), 0o644))
	root, err := os.OpenRoot(dir)
	must(t, err)
	defer root.Close()
	if data, err := regular.Read(filepath.Join(dir, "it")); string(data) != "text" || err != nil {
		t.Errorf("read %q, %v", data, err)
	}
	if data, err := regular.ReadIn(root, "it"); string(data) != "text" || err != nil {
		t.Errorf("read %q, %v", data, err)
	}
	for _, name := range []string{"none", "it/none"} {
		if _, err := regular.ReadIn(root, name); err == nil {
			t.Errorf("%s was read", name)
		}
	}
	if _, err := regular.Read(filepath.Join(dir, "none")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("error is %v", err)
	}
}
