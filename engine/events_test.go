package engine_test

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/progress"
	"candelua/testdata/campaign"
)

// told collects events in words, and checks their order: a step ends before the next begins, and parts enclose each other.
type told struct {
	t      *testing.T
	events []play.Event
	words  []string
	open   []string
	step   int
	steps  int
	busy   bool
}

func (l *told) tell(e play.Event) {
	l.events = append(l.events, e)
	word := fmt.Sprintf("%T", e)[len("play."):]
	if len(l.events) == 1 && word != "Began" {
		l.t.Errorf("the first event is %s", word)
	}
	switch e := e.(type) {
	case play.Began:
		l.open, l.step, l.busy = nil, 0, false
	case play.Progress:
		if l.busy || e.Step <= l.step {
			l.t.Errorf("step %d begins after %d, which has ended: %v", e.Step, l.step, !l.busy)
		}
		l.step, l.busy = e.Step, true
		word = e.Name
	case play.Answered:
		if !l.busy || e.Step != l.step {
			l.t.Errorf("step %d ends after %d began", e.Step, l.step)
		}
		l.busy, l.steps = false, l.steps+1
	case play.Part:
		if word = "end " + e.Name; e.Begins {
			word, l.open = "part "+e.Name, append(l.open, e.Name)
		} else if len(l.open) == 0 || l.open[len(l.open)-1] != e.Name {
			l.t.Errorf("the part %s ends within %v", e.Name, l.open)
		} else {
			l.open = l.open[:len(l.open)-1]
		}
	case play.Showing:
		word = "shows nothing known"
		if e.Patch != nil {
			word = fmt.Sprintf("shows %g", e.Patch.RGB[0])
		}
	}
	l.words = append(l.words, word)
}

const twoParts = `
    local t = record.table("Luminance", { { "level" }, { "luminance", "cd/m2" } })
    run.part("bright", function()
      for _, grey in ipairs { 1, 0.5 } do
        patches.show { grey = grey }
        t:add { level = grey, luminance = meter.read().Y }
      end
    end)
    run.part("dark", function() patches.black() clock.wait(5) end)
    record.value { name = "Bright", value = t:at("luminance", { level = 1 }), unit = "cd/m2" }`

// What is told of a run, of one that was stopped and gone on with, and of a replay.
func TestEventsInOrder(t *testing.T) {
	s, l := simSpec(t, procedureOf(twoParts)), &told{t: t}
	s.Tell = l.tell
	rep := ran(t, s, journal.Done)
	const want = "Began, part bright, patches.show, Answered, shows 1, meter.read, Answered, Read, patches.show, Answered, shows 0.5, meter.read, Answered, Read, " +
		"end bright, part dark, patches.show, Answered, shows 0, clock.wait, Answered, end dark, shows 0, Ended, Concluded"
	got := strings.ReplaceAll(strings.Join(l.words, ", "), "patches.black", "patches.show")
	if got = strings.ReplaceAll(got, "Read, Read", "Read"); got != want {
		t.Errorf("told is\n%s\nwant\n%s", got, want)
	}
	if end, ok := l.events[len(l.events)-2].(play.Ended); !ok || end.Status != journal.Done || end.Steps != rep.Steps || end.Seconds != rep.Seconds {
		t.Errorf("the end is told as %+v", end)
	}

	whole := file(t, rep.Path, "journal.jsonl")
	path := copied(t, rep.Path, whole[:bytes.LastIndex(whole[:bytes.Index(whole, []byte(`"name":"dark"`))], []byte("\n"))+1])
	again := &told{t: t}
	set := plain()
	set.Tell = again.tell
	wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: set, Reopen: reopenSim}))
	got = strings.ReplaceAll(strings.Join(again.words, ", "), "patches.black", "patches.show")
	const wantAgain = "Began, part bright, Read, Read, end bright, part dark, patches.show, Answered, shows 0, clock.wait, Answered, end dark, shows 0, Ended, Concluded"
	if got != wantAgain {
		t.Errorf("told of the resumption is\n%s\nwant\n%s", got, wantAgain)
	}

	none := plain()
	none.Tell = func(e play.Event) { t.Errorf("a replay tells %T", e) }
	wants(t, journal.Done)(engine.Replay(context.Background(), rep.Path, none))
}

// Of every shipped procedure all steps are told in order, and whoever looks at the results at each of them changes none: a
// rehearsal's course has all the steps and all the time.
func TestEventsOfShippedProcedures(t *testing.T) {
	for _, c := range campaign.Some(t, smallRuns, 3) {
		s, l := simSpec(t, shipped(t, c.name), c.set...), &told{t: t}
		var course progress.Recorder
		var sight *play.Sight
		var last []byte
		s.Tell = func(e play.Event) {
			l.tell(e)
			course.Tell(e)
			switch e := e.(type) {
			case play.Began:
				sight = e.Sight
			case play.Progress:
				last = get(get(sight.Look(context.Background()))(t).MarshalJSON())(t)
			}
		}
		rep := ran(t, s, journal.Done)
		var seconds float64
		for _, step := range course.Course().Steps {
			seconds += step.Seconds
		}
		if l.steps != rep.Steps || len(course.Course().Steps) != rep.Steps || seconds < rep.Seconds-1e-6 || seconds > rep.Seconds+1e-6 {
			t.Errorf("%s: %d steps and a course of %d in %v s, want %d in %v s", c.name, l.steps, len(course.Course().Steps), seconds, rep.Steps, rep.Seconds)
		}
		undisturbed := ran(t, simSpec(t, shipped(t, c.name), c.set...), journal.Done)
		for _, name := range []string{"journal.jsonl", "results.json"} {
			if !bytes.Equal(file(t, rep.Path, name), file(t, undisturbed.Path, name)) {
				t.Errorf("%s: %s is another where somebody looks on", c.name, name)
			}
		}
		if end := get(l.events[len(l.events)-2].(play.Ended).Results.MarshalJSON())(t); len(last) == 0 || len(last) > len(end) {
			t.Errorf("%s: the last look has %d bytes, the end %d", c.name, len(last), len(end))
		}
	}
}

// Results are looked at while the script waits for the bench, and have all that it recorded until then; a look while the
// script is computing waits for that, or gives up.
func TestSightOfResults(t *testing.T) {
	s := simSpec(t, procedureOf(twoParts))
	var sight *play.Sight
	var rows []int
	s.Tell = func(e play.Event) {
		switch e := e.(type) {
		case play.Began:
			sight = e.Sight
		case play.Progress:
			tables := get(sight.Look(context.Background()))(t).Tables()
			rows = append(rows, tables[0].Len())
		case play.Part: // the script is at work
			ctx, cancel := context.WithCancel(context.Background())
			cancel()
			if _, err := sight.Look(ctx); err == nil {
				t.Error("results are looked at while they are being made")
			}
		}
	}
	ran(t, s, journal.Done)
	if want := []int{0, 0, 1, 1, 2, 2}; !slices.Equal(rows, want) {
		t.Errorf("rows seen before each step are %v, want %v", rows, want)
	}
	if _, ok := get(sight.Look(context.Background()))(t).ValueByID("bright"); !ok {
		t.Error("after the end the results lack the last value")
	}
}

// Any number of others look on all the time, and the run gives the same.
func TestManyLookOn(t *testing.T) {
	plainRun := ran(t, simSpec(t, procedureOf(twoParts)), journal.Done)
	s := simSpec(t, procedureOf(twoParts))
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var group sync.WaitGroup
	s.Tell = func(e play.Event) {
		if e, ok := e.(play.Began); ok {
			for range 4 {
				group.Go(func() {
					for ctx.Err() == nil {
						if r, err := e.Sight.Look(ctx); err == nil {
							_, _ = r.MarshalJSON()
						}
						time.Sleep(time.Microsecond)
					}
				})
			}
		}
	}
	rep := ran(t, s, journal.Done)
	cancel()
	group.Wait()
	if !bytes.Equal(file(t, rep.Path, "results.json"), file(t, plainRun.Path, "results.json")) {
		t.Error("the results are others")
	}
}

// Where somebody asks how a run is expected to go, a rehearsal says so: before a run on a real bench, and beside one on a simulated bench or one that goes on.
func TestForeseen(t *testing.T) {
	var mu sync.Mutex
	var steps []int
	s := onPlain(t, "patches.show { grey = 1 } meter.read() meter.read()", `name = "Crake 2"`)
	s.Foreseen = func(c *progress.Course) {
		mu.Lock()
		defer mu.Unlock()
		steps = append(steps, len(c.Steps))
	}
	rep := ran(t, s, journal.Done)
	if !slices.Equal(steps, []int{3}) {
		t.Errorf("foreseen are %v steps, want 3 once", steps)
	}
	whole := file(t, rep.Path, "journal.jsonl")
	path := copied(t, rep.Path, whole[:bytes.Index(whole, []byte("\n"))+1])
	set, waits := plain(), make(chan struct{})
	set.Foreseen = func(c *progress.Course) { steps = append(steps, len(c.Steps)); close(waits) }
	set.Tell = play.Steps(func(p play.Progress) {
		if p.Step == 3 {
			<-waits
		}
	})
	wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: set, Reopen: reopenPlain, Rehearsal: s.Rehearsal}))
	if !slices.Equal(steps, []int{3, 3}) {
		t.Errorf("foreseen of the resumption are %v", steps)
	}
}
