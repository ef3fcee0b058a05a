package journal

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestRehead changes each byte of the head to others, a newline among them, removes and doubles it, and cuts the head at it. With the head as it
// was, the journal is whole again; the damaged line is kept, and nothing after it is lost.
func TestRehead(t *testing.T) {
	whole := built(t, step(1)).data
	head := len(lines(whole)[0])
	spoilt := map[string]func(i int) []byte{
		"flipped":   func(i int) []byte { b := bytes.Clone(whole); b[i] ^= 1 << (i % 8); return b },
		"a newline": func(i int) []byte { b := bytes.Clone(whole); b[i] = '\n'; return b },
		"a digit":   func(i int) []byte { b := bytes.Clone(whole); b[i] = '7'; return b },
		"removed":   func(i int) []byte { return append(bytes.Clone(whole[:i]), whole[i+1:]...) },
		"doubled":   func(i int) []byte { return append(bytes.Clone(whole[:i]), whole[i-min(i, 1):]...) },
		"cut":       func(i int) []byte { return append(bytes.Clone(whole[:i]), whole[head:]...) },
		"cut front": func(i int) []byte { return bytes.Clone(whole[i+1:]) },
		"longer":    func(i int) []byte { return append(append(bytes.Clone(whole[:i]), "\x00\n\xff"...), whole[i:]...) },
	}
	old := time.Unix(1e9, 0)
	for name, spoil := range spoilt {
		for i := range head {
			data := spoil(i)
			if name != "flipped" && i%15 > 0 && i < head-2 {
				continue // each writes to the disk
			}
			if bytes.Equal(data, whole) || name == "doubled" && i == head-1 { // an empty line is no damage of the head
				continue
			}
			path := saved(t, data)
			must(t, os.Chtimes(path, old, old))
			d, err := PartHead(path, ternHead)
			if err != nil {
				t.Fatalf("%s at byte %d: %v", name, i, err)
			}
			side := filepath.Join(t.TempDir(), "side")
			must(t, os.WriteFile(side, append([]byte("another"), d.Line...), 0o666))
			if err := d.Mend(side); !errors.Is(err, errUnkept) {
				t.Fatalf("the damaged line is not kept: %v", err)
			}
			must(t, os.WriteFile(side, d.Line, 0o666))
			must(t, d.Mend(side))
			after, err := os.ReadFile(path)
			must(t, err)
			if !bytes.Equal(after, whole) || !bytes.HasPrefix(data, d.Line) {
				t.Fatalf("%s at byte %d: the journal is not as it was", name, i)
			}
			if info, err := os.Stat(path); err != nil || !info.ModTime().Equal(old) {
				t.Fatalf("the file's time is %v, %v", info.ModTime(), err)
			}
		}
	}
}

// Another head than the journal had is refused, whatever is damaged; so is a journal whose head is whole.
func TestReheadRefuses(t *testing.T) {
	whole := built(t, step(1)).data
	other := ternHead
	other.Seed = 2
	for i := range lines(whole)[0] {
		data := bytes.Clone(whole)
		data[i] ^= 4
		path := saved(t, data)
		if _, err := PartHead(path, other); !errors.Is(err, errOtherHead) {
			t.Fatalf("byte %d: %v", i, err)
		}
	}
	if _, err := PartHead(saved(t, whole), ternHead); !errors.Is(err, ErrWhole) {
		t.Errorf("a whole journal: %v", err)
	}
	if _, err := PartHead(damaged(t, whole, 2), ternHead); !errors.Is(err, ErrDamaged) || !errors.Is(err, ErrWhole) {
		t.Errorf("a whole head: %v", err)
	}
	// With no sum and no record to check it by, the head is not believed.
	if _, err := PartHead(saved(t, whole[:20]), ternHead); !errors.Is(err, errOtherHead) {
		t.Errorf("a piece of a head: %v", err)
	}
	var version *VersionError
	newer := bytes.Replace(whole, []byte(`"format":1,"sum_by":"sha256-64"`), []byte(`"format":2,"sum_by":"another"`), 1)
	if _, err := PartHead(saved(t, newer), ternHead); !errors.As(err, &version) {
		t.Errorf("a newer format: %v", err)
	}
	if _, err := PartHead(filepath.Join(t.TempDir(), "none"), ternHead); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no journal: %v", err)
	}
	if _, err := PartHead(saved(t, whole[:20]), func() {}); err == nil {
		t.Error("a function as the head was accepted")
	}
}

// A journal that changed since it was read is not written.
func TestMendOfAnotherJournal(t *testing.T) {
	path := damaged(t, built(t, step(1)).data, 1)
	d, err := PartHead(path, ternHead)
	must(t, err)
	side := filepath.Join(t.TempDir(), "side")
	must(t, os.WriteFile(side, d.Line, 0o666))
	must(t, os.WriteFile(path, []byte("another\n"), 0o666))
	if err := d.Mend(side); err == nil || !strings.Contains(err.Error(), "it is not as it was read") {
		t.Errorf("error is %v", err)
	}
	must(t, os.Remove(path))
	if err := d.Mend(side); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("error is %v", err)
	}
}
