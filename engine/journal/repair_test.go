package journal

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"candelua/testdata/campaign"
)

// damaged writes a journal with one bit of its record n flipped.
func damaged(t *testing.T, whole []byte, record int) string {
	t.Helper()
	data := bytes.Clone(whole)
	data[lineStart(whole, record)+3] ^= 1
	return saved(t, data)
}

// TestRepairOfEveryRecord damages each record in turn: what was before it is kept, what comes from there on
// lies in the side file, and both together are the file as it was.
func TestRepairOfEveryRecord(t *testing.T) {
	whole := built(t, mendedRun()).data
	all := lines(whole)
	for record := 2; record <= len(all); record++ {
		path := damaged(t, whole, record)
		before, _ := os.ReadFile(path)
		d, err := Part(path)
		if err != nil {
			t.Fatalf("record %d: %v", record, err)
		}
		if d.Cause.Record != record || d.Records != len(all)-record+1 || d.Kept.Records() != record-1 {
			t.Fatalf("record %d: the damage is in record %d, %d lines are set aside and %d kept", record, d.Cause.Record, d.Records, d.Kept.Records())
		}
		side := filepath.Join(t.TempDir(), "side")
		if err := d.Cut(side); !errors.Is(err, errUnkept) || !errors.Is(err, os.ErrNotExist) {
			t.Fatalf("without a side file the error is %v", err)
		}
		if err := os.WriteFile(side, d.Tail, 0o666); err != nil {
			t.Fatal(err)
		}
		if err := d.Cut(side); err != nil {
			t.Fatal(err)
		}
		kept, _ := os.ReadFile(path)
		if !bytes.Equal(append(kept, d.Tail...), before) || !bytes.Equal(kept, whole[:lineStart(whole, record)]) {
			t.Fatalf("record %d: bytes were lost", record)
		}
		j, err := Open(path, Options{})
		if err != nil || j.Torn() != 0 || j.Steps() != d.Kept.Steps() {
			t.Fatalf("record %d: after the repair: %v", record, err)
		}
		// The record that was damaged fits there again.
		if err := errors.Join(j.Append(built(t, mendedRun()).record(record)), j.Close()); err != nil {
			t.Fatalf("record %d: the journal does not go on: %v", record, err)
		}
		if _, err := Part(path); !errors.Is(err, ErrWhole) {
			t.Fatalf("record %d: a second repair finds %v", record, err)
		}
	}
}

// TestRepairOfEveryBit flips each bit after the head: whatever it makes of the
// file, nothing but the damaged record and what follows is cut.
func TestRepairOfEveryBit(t *testing.T) {
	whole := built(t, doneRun()[:3]).data
	head := lineStart(whole, 2)
	for _, after := range campaign.Numbers(t, len(whole)-1-head, 100) {
		i := head + after
		for bit := range 8 {
			flipped := bytes.Clone(whole)
			flipped[i] ^= 1 << bit
			path := saved(t, flipped)
			d, err := Part(path)
			if err != nil {
				t.Fatalf("byte %d, bit %d: %v", i, bit, err)
			}
			start := lineStart(whole, d.Cause.Record)
			if start > i || !bytes.Equal(d.Tail, flipped[start:]) || bytes.Count(whole[:i], []byte{'\n'}) != d.Cause.Record-1 {
				t.Fatalf("byte %d, bit %d: the tail begins at byte %d, record %d", i, bit, start, d.Cause.Record)
			}
		}
	}
}

func TestRepairRefuses(t *testing.T) {
	whole := built(t, doneRun()).data
	for name, c := range map[string]struct {
		data []byte
		want error
	}{
		"a whole journal": {whole, ErrWhole},
		"a torn one":      {whole[:len(whole)-9], ErrWhole},
		"a damaged head":  {bytes.Replace(whole, []byte("Heron"), []byte("Hyron"), 1), ErrDamaged},
		"no journal":      {nil, ErrDamaged},
	} {
		path := saved(t, c.data)
		if _, err := Part(path); !errors.Is(err, c.want) {
			t.Errorf("%s: error is %v, want %v", name, err, c.want)
		}
		if now, _ := os.ReadFile(path); !bytes.Equal(now, c.data) {
			t.Errorf("%s was changed", name)
		}
	}
	var version *VersionError
	newer := bytes.Replace(whole, []byte(`"format":1`), []byte(`"format":2`), 1)
	if _, err := Part(saved(t, resealed(newer))); !errors.As(err, &version) {
		t.Errorf("a newer format: error is %v", err)
	}
	if _, err := Part(filepath.Join(t.TempDir(), "none")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no file: error is %v", err)
	}
}

// TestRepairAcrossATornLine has damage in the middle and a torn last line: both are set aside.
func TestRepairAcrossATornLine(t *testing.T) {
	whole := built(t, doneRun()).data
	data := bytes.Clone(whole[:len(whole)-5])
	data[lineStart(data, 4)+3] ^= 1
	d, err := Part(saved(t, data))
	if err != nil {
		t.Fatal(err)
	}
	if want := len(lines(whole)) - 3; d.Records != want || d.Kept.Torn() != 0 {
		t.Errorf("%d lines are set aside and %d bytes torn, want %d and 0", d.Records, d.Kept.Torn(), want)
	}
}

func TestCutRefuses(t *testing.T) {
	whole := built(t, doneRun()).data
	path := damaged(t, whole, 6)
	d, err := Part(path)
	if err != nil {
		t.Fatal(err)
	}
	untouched := func(what string, err error, parts ...string) {
		t.Helper()
		for _, p := range parts {
			if err == nil || !strings.Contains(err.Error(), p) {
				t.Errorf("%s: error is %v, want %q in it", what, err, p)
			}
		}
		if now, _ := os.ReadFile(path); len(now) < len(whole) {
			t.Errorf("%s: the journal was cut", what)
		}
	}
	short := saved(t, d.Tail[:len(d.Tail)-1])
	err = d.Cut(short)
	untouched("a side file that lacks a byte", err, "journal is not cut", "does not hold the records that would be cut off")
	if !errors.Is(err, errUnkept) {
		t.Errorf("error is %v, want ErrUnkept", err)
	}
	side := saved(t, d.Tail)
	grown, _ := os.ReadFile(path)
	if err := os.WriteFile(path, append(grown, '\n'), 0o666); err != nil {
		t.Fatal(err)
	}
	untouched("a journal that has grown", d.Cut(side), "another program writes to it")
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := d.Cut(side); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a journal that is gone: error is %v", err)
	}
}

// TestCutKeepsTheTime has the file's time stay, from which a pause is computed.
func TestCutKeepsTheTime(t *testing.T) {
	path := damaged(t, built(t, doneRun()).data, 6)
	then := time.Date(2026, time.March, 3, 21, 4, 5, 0, time.UTC)
	if err := os.Chtimes(path, then, then); err != nil {
		t.Fatal(err)
	}
	d, err := Part(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Cut(saved(t, d.Tail)); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || !info.ModTime().Equal(then) {
		t.Errorf("the file's time is %v, %v, want %v", info.ModTime(), err, then)
	}
}
