package engine

import (
	"context"
	"fmt"
	"math"
	"strings"
	"time"

	"candelua/engine/archive"
	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/history"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/progress"
)

// What is announced before a run (common practice, no source).
const (
	longRun   = 10 * time.Minute // a run in which people leave
	longStill = 2 * time.Minute  // a bright picture that stands so long
)

// mostRehearsal is how long a rehearsal may take; nobody waits longer to begin a run.
const mostRehearsal = 5 * time.Second

// Rehearsal opens a simulated bench on which a run is rehearsed.
type Rehearsal func() (*bench.File, bench.Openers, error)

// foretold are the cautions of a run on a real bench that hang on how long it takes, and on what the unit has shown before.
func (s *Spec) foretold(ctx context.Context, loaded *procedure.Loaded, head history.Head) []caution.Caution {
	var all []caution.Caution
	likely, known := s.rehearsed(ctx, s.Rehearsal, loaded, head)
	if known && (likely.Seconds >= longRun.Seconds() || likely.Still.Longest >= longStill.Seconds()) {
		all = append(all, caution.Caution{Kind: caution.Long, Text: s.longText(likely)})
	}
	if s.Unit.Named() {
		if hours, runs := archive.Exposed(s.Out, &head); runs > 0 {
			all = append(all, caution.Caution{Kind: caution.Exposure, Text: s.exposureText(hours, runs, likely.Still.Hours)})
		}
	}
	return all
}

// rehearsed executes the run on a simulated bench first; false where it does not come to its end there. Its course is handed to
// whoever asked for it.
func (s *Setup) rehearsed(ctx context.Context, on Rehearsal, loaded *procedure.Loaded, head history.Head) (play.Outcome, bool) {
	if on == nil {
		return play.Outcome{}, false
	}
	ctx, cancel := context.WithTimeout(ctx, mostRehearsal)
	defer cancel()
	file, openers, err := on()
	if err != nil {
		return play.Outcome{}, false
	}
	var recorder progress.Recorder
	out, err := play.Rehearse(ctx, loaded.Program, head, file, openers, recorder.Tell)
	if err != nil {
		return play.Outcome{}, false
	}
	if s.Foreseen != nil {
		s.Foreseen(recorder.Course())
	}
	return *out, true
}

// foresee rehearses a run while it goes on, where somebody asked for its course. The function that it gives ends that.
func (s *Setup) foresee(ctx context.Context, on Rehearsal, loaded *procedure.Loaded, head history.Head) (stop func()) {
	if s.Foreseen == nil || on == nil {
		return func() {}
	}
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		s.rehearsed(ctx, on, loaded, head)
	}()
	return func() { cancel(); <-ended }
}

func (s *Spec) longText(likely play.Outcome) string {
	parts := []string{"This run takes about " + inWords(likely.Seconds) + "."}
	if likely.Still.Longest > 0 {
		parts = append(parts, fmt.Sprintf("Bright pictures stand still for up to %s.", inWords(likely.Still.Longest)))
	}
	if !s.Attended {
		parts = append(parts, "Stay near, or give --attended, which pauses the run where nobody answers.")
	}
	parts = append(parts, "Before the start and now and then, check the temperature of the unit and, of a phone, its charge. "+
		"Stop if it gets hotter than its instructions allow.")
	return strings.Join(parts, " ")
}

func (s *Spec) exposureText(hours float64, runs int, more float64) string {
	text := fmt.Sprintf("In %s this unit has shown bright still pictures worth %.2f h of full white", plural(runs, "run"), hours)
	if more > 0 {
		text += fmt.Sprintf("; this run adds about %.2f h", more)
	}
	return text + ". Still pictures can mark a panel for good. A unit on loan is somebody else's: ask its owner before you add much."
}

// inWords writes a time in words, in minutes where it is long.
func inWords(seconds float64) string {
	if seconds < 120 {
		return fmt.Sprintf("%.0f s", seconds)
	}
	return fmt.Sprintf("%.0f min", math.Round(seconds/60))
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
