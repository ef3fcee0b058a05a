package engine_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

func showingsOf(ctx context.Context, p *procedure.Procedure, set ...string) (*engine.Shows, error) {
	return engine.Showings(ctx, engine.Spec{Setup: plain(), Procedure: p, Set: set, Unit: bench.DefaultUnit(), Seed: 1,
		Rehearsal: func() (*bench.File, bench.Openers, error) { return bench.SimFile, simOpeners(), nil }})
}

// noting is a driver of a simulated world that notes each patch that its device is truly sent.
type noting struct {
	bench.Driver
	sent *[]bench.Patch
}

func (n noting) Clock() bench.Clock { return n.Driver.(bench.Clocked).Clock() }

func (n noting) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	d, err := n.Driver.Open(ctx, k, s)
	if err != nil || k != bench.KindPatches {
		return d, err
	}
	return notingPatches{d.(patchesOfSim), n.sent}, nil
}

type patchesOfSim interface {
	bench.Patches
	bench.Sequencer
}

type notingPatches struct {
	patchesOfSim
	sent *[]bench.Patch
}

func (n notingPatches) Show(ctx context.Context, p bench.Patch) (bench.Shown, error) {
	*n.sent = append(*n.sent, p)
	return n.patchesOfSim.Show(ctx, p)
}

func (n notingPatches) Sequence(ctx context.Context, all []bench.TimedPatch) ([]bench.Shown, error) {
	for _, t := range all {
		*n.sent = append(*n.sent, t.Patch)
	}
	return n.patchesOfSim.Sequence(ctx, all)
}

// What a run truly sends to the unit is what the list says, patch by patch; the black of its end included.
func TestShowingsAreWhatARunSends(t *testing.T) {
	for _, small := range campaign.Some(t, smallRuns, 3) {
		t.Run(small.name, func(t *testing.T) {
			p := shipped(t, small.name)
			shows, err := showingsOf(t.Context(), p, small.set...)
			if err != nil {
				t.Fatal(err)
			}
			var sent []bench.Patch
			open := sim.Opener(sim.Default(), 1, 0)
			s := simSpec(t, p, small.set...)
			s.Openers = bench.Openers{"sim": func() (bench.Driver, error) {
				d, err := open()
				return noting{d, &sent}, err
			}}
			rep := ran(t, s, journal.Done)
			var listed []bench.Patch
			resumed := map[bench.Patch]bool{}
			for _, one := range shows.Patches {
				if one.Resumed {
					resumed[one.Patch] = true
				} else {
					listed = append(listed, one.Patch)
				}
			}
			if len(sent) != len(listed)+1 || !resumed[sent[len(sent)-1]] {
				t.Fatalf("%d patches were sent, and %d are listed; the last was %+v", len(sent), len(listed), sent[len(sent)-1])
			}
			for i, p := range listed {
				if sent[i] != p {
					t.Fatalf("patch %d: sent %+v, listed %+v", i+1, sent[i], p)
				}
			}
			last := shows.Patches[len(listed)-1]
			if ended := last.At + last.Stays; ended < 0.999*rep.Seconds || ended > 1.001*rep.Seconds {
				t.Errorf("the list ends at %v s, the run at %v s", ended, rep.Seconds)
			}
		})
	}
}

// A patch that is asked for only as a run goes on is in the list too: warming up again, and what an unbroken stretch does before it
// begins anew.
func TestShowingsOfResumedRuns(t *testing.T) {
	p := sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = { sequence = true } },
		on_resume = function(_, pause) if pause.seconds > 60 then patches.show { grey = 0.25 } end end,
		run = function()
			for i = 1, 4 do patches.show { grey = i / 8 } end
			run.unbroken("stretch", { before_restart = function() patches.show { grey = 0.7, window = 7 } end }, function()
				for i = 5, 8 do patches.show { grey = i / 8 } clock.wait(3) end
			end)
			patches.sequence { { grey = 1, window = 1, hold = 2 }, { grey = 1, window = 2, hold = 5 } }
		end }`)
	shows, err := showingsOf(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, s := range shows.Patches {
		word := "run"
		if s.Resumed {
			word = "resumed"
		}
		told = append(told, word+" "+greyOf(s.Patch))
	}
	want := "run 0.125, run 0.25, run 0.375, run 0.5, run 0.625, run 0.75, run 0.875, run 1, run 1 of 1, run 1 of 2, resumed 0.7 of 7, resumed 0"
	if got := strings.Join(told, ", "); got != want {
		t.Errorf("the list is %s; want %s", got, want)
	}
	if s := shows.Patches[8]; !s.Timed || s.Stays != 2 || shows.Patches[6].Timed || shows.Patches[6].Stays < 3 {
		t.Errorf("of the sequence: %+v; before it: %+v", s, shows.Patches[6])
	}
}

func TestShowingsThatFail(t *testing.T) {
	broken := sourceOf(`return procedure { title = "T", purpose = "P", needs = { patches = {} }, run = function() patches.black() error("no good") end }`)
	if _, err := showingsOf(t.Context(), broken); err == nil || !strings.Contains(err.Error(), "so its patches are not known") || !strings.Contains(err.Error(), "no good") {
		t.Error(err)
	}
	if _, err := showingsOf(t.Context(), broken, "speed=3"); err == nil || !strings.Contains(err.Error(), "speed") {
		t.Error(err)
	}
}

// greyOf writes a patch short: its grey and, below 100 %, its window.
func greyOf(p bench.Patch) string {
	text := fmt.Sprintf("%v", p.RGB[0])
	if p.Window < 100 {
		text += fmt.Sprintf(" of %v", p.Window)
	}
	return text
}
