//go:build unix

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"candelua/testdata/campaign"
)

// surviving has what a crash can hit: parts, a stretch that must not be
// interrupted, a schedule, a decision, a caught failure, chance.
const surviving = `return procedure {
  title   = "Surviving",
  purpose = "Greys in chance order, and what remains of white.",
  needs   = { meter = {}, patches = {}, unit = {} },
  settings = { Brightness = "maximum" },
  run = function()
    local t = record.table("Greys", { { "grey" }, { "luminance", "cd/m2" } })
    for _, grey in ipairs(run.shuffle("greys", { 0.3, 0.6, 0.9 })) do
      run.part("grey " .. grey, function()
        patches.show { grey = grey, window = 10 }
        t:add { grey = grey, luminance = meter.read({ after = 1, repeats = 2 }).Y }
      end)
    end
    run.unbroken("decay", { before_restart = function() clock.wait(0) end }, function()
      patches.show { grey = 1, window = 10 }
      clock.wait(2)
      patches.black()
      clock.every { period = 1, duration = 3, run = function() meter.read() end }
      record.value { name = "Remains", value = meter.read().Y, unit = "cd/m2" }
    end)
    record.value { name = "Chance", value = math.random(1000000) }
    pcall(unit.set, { Brightnes = 1 })
    if run.decide("again", math.random() < 2) then patches.show { grey = 0.5, window = 10 } end
    record.value { name = "Last", value = meter.read({ repeats = 3 }).Y, unit = "cd/m2" }
  end,
}
`

// killings counts where processes were killed that would have come to the same.
type killings struct {
	sync.Mutex
	at      map[string]int
	want    string // the results
	written int    // the length of the journal
}

func (k *killings) count(what string) {
	k.Lock()
	defer k.Unlock()
	k.at[what]++
}

// moment is when a process is killed: a little after it has written a share of
// what is left to be written, so that it is hit at work however slow the machine is. A share
// below 0 means a moment while it starts, one above 1 a moment after its journal's end.
type moment struct {
	share float64
	later time.Duration
}

// momentOf draws a moment. One in twelve is at the start, and one after the end.
func momentOf(chance *rand.Rand) moment {
	m := moment{1.2*chance.Float64() - 0.1, time.Duration(chance.Float64() * float64(10*time.Millisecond))}
	switch {
	case m.share < 0:
		m.later *= 2
	case m.share > 1:
		m.later *= 10 // it draws, and writes what follows
	}
	return m
}

// TestKilledProcesses kills runs, and some of their resumptions, at moments of
// chance, as a power cut would. Each comes to the results of a run that nobody
// killed, to the byte, and its replay agrees. The brief form has other moments
// each day; a number of the full form is run alone by its name.
func TestKilledProcesses(t *testing.T) {
	whole := folderWith(t, "surviving", surviving)
	finished(t, whole, "run", "./surviving.lua", "--draws", draws)
	k := &killings{at: map[string]int{}, want: read(t, whole, "runs/surviving-1/results.json"), written: len(journalBytes(whole, "runs/surviving-1"))}
	numbers := make([]int, 101) // of one, two and three moments in turn: 201 in all
	for i := range numbers {
		numbers[i] = i
	}
	moments := 0
	t.Run("moments", func(t *testing.T) {
		for _, n := range campaign.Some(t, numbers, 7) {
			chance := rand.New(rand.NewPCG(7, uint64(n)))
			kills := make([]moment, 1+n%3)
			for i := range kills {
				kills[i] = momentOf(chance)
			}
			moments += len(kills)
			t.Run(fmt.Sprint(n), func(t *testing.T) {
				t.Parallel()
				survives(t, k, kills)
			})
		}
	})
	t.Logf("%d moments; processes killed: %v", moments, k.at)
	all := 0
	for _, n := range k.at {
		all += n
	}
	if all == moments && k.at["between steps"]+k.at["in a step"] < moments/4 { // where a number is chosen, most are not run
		t.Error("hardly any process was killed at work, so this has shown little")
	}
}

// pace lets the simulated half minute of a run last long enough to be hit.
const pace = "80"

// draws are few, since processes are to be killed at work.
const draws = "100"

// survives kills a run and its resumptions at these moments, and then lets it
// go on to its end.
func survives(t *testing.T, k *killings, kills []moment) {
	dir := folderWith(t, "surviving", surviving)
	folder := filepath.Join("runs", "surviving-1")
	args := []string{"run", "./surviving.lua", "--speed", pace, "--draws", draws}
	for _, at := range kills {
		kept := answers(dir, folder)
		k.kill(t, start(t, dir, args...), dir, folder, at)
		if !strings.HasPrefix(string(journalBytes(dir, folder)), string(kept)) {
			t.Fatalf("killed at %v, %v has changed what was kept before:\n%s", kills, args, kept)
		}
		if !begun(dir, folder) {
			k.count("before the journal began")
			if p := start(t, dir, "resume", folder); p.status(t) == 0 || !strings.Contains(p.err.String(), "candelua: error: ") {
				t.Fatalf("nothing was on record, and resume says %s", &p.err)
			}
			if err := os.RemoveAll(filepath.Join(dir, "runs")); err != nil {
				t.Fatal(err)
			}
			continue
		}
		k.count(whereKilled(journalBytes(dir, folder)))
		args = []string{"resume", folder, "--speed", pace}
	}
	if begun(dir, folder) {
		if p := start(t, dir, "resume", folder); p.status(t) != 0 && !strings.Contains(p.err.String(), "nothing to resume") {
			t.Fatalf("killed at %v, resume says %s", kills, &p.err)
		}
	} else {
		finished(t, dir, "run", "./surviving.lua", "--draws", draws)
	}
	if got := read(t, dir, folder, "results.json"); got != k.want {
		t.Errorf("killed at %v, the results are\n%s\nwant\n%s", kills, got, k.want)
	}
	finished(t, dir, "replay", folder)
}

// kill lets a process come to a moment, or to its end, and kills it.
func (k *killings) kill(t *testing.T, p *process, dir, folder string, at moment) {
	t.Helper()
	ended := make(chan struct{})
	go func() {
		_ = p.Wait() // killed, or at its end
		close(ended)
	}()
	had := len(journalBytes(dir, folder))
	until := had + int(min(at.share, 1)*float64(k.written-had))
	over := false
	for !over && at.share >= 0 && len(journalBytes(dir, folder)) < until {
		select {
		case <-ended:
			over = true
		case <-time.After(time.Millisecond):
		}
	}
	if !over {
		time.Sleep(at.later)
	}
	if err := p.Process.Kill(); err != nil {
		t.Log(err) // it is over already
	}
	<-ended
}

func finished(t *testing.T, dir string, args ...string) {
	t.Helper()
	if p := start(t, dir, args...); p.status(t) != statusDone {
		t.Fatalf("%v: %s", args, &p.err)
	}
}

func journalBytes(dir, folder string) []byte {
	text, _ := os.ReadFile(filepath.Join(dir, folder, "journal.jsonl"))
	return text
}

// begun says whether the head of a journal is whole, so that there is a run.
func begun(dir, folder string) bool { return bytes.Contains(journalBytes(dir, folder), []byte("\n")) }

// answers is a journal without a torn last line, which a resumption drops.
func answers(dir, folder string) []byte {
	text := journalBytes(dir, folder)
	return text[:bytes.LastIndexByte(text, '\n')+1]
}

// whereKilled says where the last line is that is whole.
func whereKilled(text []byte) string {
	whole := bytes.TrimSuffix(text[:bytes.LastIndexByte(text, '\n')+1], []byte("\n"))
	last := whole[bytes.LastIndexByte(whole, '\n')+1:]
	switch {
	case len(whole)+1 < len(text):
		return "in a line"
	case bytes.HasPrefix(last, []byte(`{"kind":"end"`)):
		return "after its end"
	case bytes.HasPrefix(last, []byte(`{"kind":"ask"`)), bytes.HasPrefix(last, []byte(`{"kind":"sample"`)):
		return "in a step"
	case bytes.HasPrefix(last, []byte(`{"kind":"answer"`)):
		return "between steps"
	}
	return "at a mark"
}
