package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"candelua/engine/journal"
)

// blocked has steps before, in and after a stretch that must not be interrupted.
var blocked = map[string]string{
	"run.unbroken": `
    patches.show { grey = 1 }
    run.part("around", function()
      run.unbroken("decay", function() meter.read() clock.wait(1) meter.read() end)
    end)
    record.value { name = "Y", value = meter.read().Y }`,
	"clock.every": `
    patches.show { grey = 1 }
    clock.every { period = 10, duration = 20, run = function(tick, s) meter.read() end }
    record.value { name = "Y", value = meter.read().Y }`,
}

// inside says whether a journal ends in a block of which a step is used.
func inside(j *journal.Journal) (bool, journal.Block) {
	for _, b := range j.Blocks() {
		if b.Unbroken && !b.Closed && b.Next <= j.Steps() {
			return true, b
		}
	}
	return false, journal.Block{}
}

// asked says whether a journal ends in a block in which something was asked.
func asked(j *journal.Journal) bool {
	in, _ := inside(j)
	for _, b := range j.Blocks() {
		in = in || b.Unbroken && !b.Closed && j.Unanswered() > 0
	}
	return in
}

// TestUnbroken kills and stops a run everywhere. Inside the block its steps are
// set aside and it starts over; a crash takes no simulated time, so the results
// are those of a run that was not interrupted.
func TestUnbroken(t *testing.T) {
	for name, body := range blocked {
		s := simSpec(t, procedureOf(body))
		w := wholeRun(t, s)
		if got := strings.Count(kinds(t, w.path), "open"); got != len(journalOf(t, w.path).Blocks()) {
			t.Errorf("%s: %d opens for %d blocks", name, got, len(journalOf(t, w.path).Blocks()))
		}
		ends, over := lineEnds(w.journal), 0
		for _, end := range ends[:len(ends)-1] {
			path := copied(t, w.path, w.journal[:end])
			in, block := inside(journalOf(t, path))
			resumed(t, path, journal.Done)
			w.equals(t, path, name)
			if !in {
				continue
			}
			over++
			want := fmt.Sprintf("%q must not be interrupted, and was", block.Name)
			if v := metaOf(t, path).Voids; len(v) != 1 || v[0].From != block.Next || v[0].Reason != want {
				t.Errorf("%s: voids are %+v, want one from step %d", name, v, block.Next)
			}
		}
		if over == 0 {
			t.Errorf("%s: no cut was inside the block", name)
		}
		t.Logf("%s: %d cuts, %d of them inside the block", name, len(ends)-1, over)
		steps := journalOf(t, w.path).Steps()
		for at := 1; at <= steps; at++ {
			s.Out = memoryDir(t)
			rep := stopped(t, s, at)
			resumed(t, rep.Path, journal.Done)
			replayed(t, rep.Path, journal.Done)
		}
	}
}

// TestUnbrokenFails starts a block over from whose middle a failed step threw.
func TestUnbrokenFails(t *testing.T) {
	for name, body := range blocked {
		f := failsAt(2)
		rep := ran(t, f.spec(t, body), journal.Paused)
		if v := metaOf(t, rep.Path).Voids; len(v) != 1 || v[0].From != 2 {
			t.Errorf("%s: voids are %v, want one from the block's first step, 2", name, v)
		}
		resumed(t, rep.Path, journal.Done)
		replayed(t, rep.Path, journal.Done)
	}
}

// TestUnbrokenIsLeft by an error that the script catches, and is then over: the
// run can be interrupted after it.
func TestUnbrokenIsLeft(t *testing.T) {
	for _, block := range []string{
		`run.unbroken("decay", function() meter.read() error("left") end)`,
		`clock.every { period = 1, duration = 5, run = function() meter.read() error("left") end }`,
		`run.unbroken("decay", function() meter.read() meter.read({ spectrum = true, repeats = "x" }) end)`,
	} {
		s := simSpec(t, procedureOf(`patches.show { grey = 1 }
    local ok = pcall(function() `+block+` end)
    record.note(tostring(ok))
    record.value { name = "Y", value = meter.read().Y }`))
		w := wholeRun(t, s)
		if b := journalOf(t, w.path).Blocks(); len(b) != 1 || !b[0].Closed || !b[0].Failed {
			t.Fatalf("%s: blocks are %+v", block, b)
		}
		ends := lineEnds(w.journal)
		for i := strings.Count(strings.Split(kinds(t, w.path), "close")[0], ",") + 1; i < len(ends)-1; i++ {
			path := copied(t, w.path, w.journal[:ends[i-1]])
			resumed(t, path, journal.Done)
			w.equals(t, path, fmt.Sprint("cut after record ", i))
		}
		rep := stopped(t, s, 3)
		resumed(t, rep.Path, journal.Done)
		replayed(t, rep.Path, journal.Done)
	}
}

// TestEvery keeps a schedule, skips what is late, and ends where told.
func TestEvery(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`
    local began, ticks = clock.now(), {}
    local s = clock.every { period = 10, duration = 60, run = function(tick, at)
      table.insert(ticks, string.format("%d:%g:%g", tick, at, clock.now() - began))
      clock.wait(tick == 1 and 25 or 1)
    end }
    record.note(table.concat(ticks, " ") .. string.format(", %d and %d", s.ticks, s.skipped))
    local n = 0
    s = clock.every { period = 1, duration = 60, run = function() n = n + 1 return n < 3 end }
    record.note(string.format("%d, %d and %d", n, s.ticks, s.skipped))`)), journal.Done)
	// A tick at 10 s that lasts until 35 s misses those at 20 s and 30 s.
	for i, want := range []string{"0:0:0 1:10:10 4:40:40 5:50:50 6:60:60, 5 and 2", "3, 3 and 0"} {
		if got := rep.Results.Notes()[i].Text; got != want {
			t.Errorf("note is %q, want %q", got, want)
		}
	}
	replayed(t, rep.Path, journal.Done)
}
