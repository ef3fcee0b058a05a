package trial

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"

	"candelua/engine/procedure"
	"candelua/engine/result"
)

// Outcome is what the runs of a trial came to: all of them, or those of one [Share].
// It is plain data, so that shares can be kept in files and joined ([Merge]).
type Outcome struct {
	Trial     string  `json:"trial"`
	Title     string  `json:"title,omitempty"`
	Procedure string  `json:"procedure"`
	Seeds     int     `json:"seeds"`
	Pass      float64 `json:"pass"`
	Refuses   string  `json:"refuses,omitempty"`
	// Inputs is a sum of all that decides what the runs come to: the trial file, the
	// scripts, the parameters and the worlds.
	Inputs string        `json:"inputs"`
	Notes  []string      `json:"notes,omitempty"`
	Expect []Expectation `json:"expect"`
	Worlds []knownWorld  `json:"worlds"`
	Runs   []runResult   `json:"runs"` // by their numbers
}

// knownWorld is a world with the truths of what is expected there.
type knownWorld struct {
	Name   string    `json:"name"`
	Truths []float64 `json:"truths"`
}

// runResult is the outcome of one run.
type runResult struct {
	Number int      `json:"run"`              // from 0, seed by seed within world by world
	Error  *string  `json:"error,omitempty"`  // that ended it
	Values []judged `json:"values,omitempty"` // in the order of the expectations; nil where an error ended it
}

// outcome gives what is known before the first run.
func (p *prepared) outcome(notes []string, loaded *procedure.Loaded) (*Outcome, error) {
	o := &Outcome{Trial: p.Name, Title: p.Title, Procedure: p.name, Seeds: p.Seeds, Pass: p.Pass, Refuses: p.Refuses, Notes: notes, Expect: p.Expect}
	worlds := make([]string, len(p.worlds))
	for i, w := range p.worlds {
		o.Worlds = append(o.Worlds, knownWorld{p.Worlds[i].Name, p.truths[i]})
		worlds[i] = w.Text()
	}
	inputs, err := json.Marshal([]any{loaded.Sums(), p.params, p.Interrupt, p.Draws, worlds})
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(inputs)
	o.Inputs = hex.EncodeToString(sum[:8])
	return o, nil
}

// Report summarises the runs. It fails unless they are all there.
func (o *Outcome) Report() (*Report, error) {
	if err := o.whole(); err != nil {
		return nil, err
	}
	rep := &Report{Trial: o.Trial, Title: o.Title, Procedure: o.Procedure, Finding: result.Pass, Seeds: o.Seeds, Pass: o.Pass, Notes: o.Notes}
	for i, w := range o.Worlds {
		world := o.summarise(w, o.Runs[i*o.Seeds:(i+1)*o.Seeds])
		if world.Finding == result.Fail {
			rep.Finding = result.Fail
		}
		rep.Worlds = append(rep.Worlds, world)
	}
	return rep, nil
}

// whole says what lacks in an outcome, or does not fit together.
func (o *Outcome) whole() error {
	if n := len(o.Worlds) * o.Seeds; o.Seeds < 1 || len(o.Runs) != n {
		return fmt.Errorf("trial %s has %d runs; it must have %d, of %d worlds with %d seeds each", o.Trial, len(o.Runs), n, len(o.Worlds), o.Seeds)
	}
	for _, w := range o.Worlds {
		if len(w.Truths) != len(o.Expect) {
			return fmt.Errorf("trial %s: world %q has %d truths; it must have %d, one for each expected value", o.Trial, w.Name, len(w.Truths), len(o.Expect))
		}
	}
	for i, r := range o.Runs {
		if r.Number != i {
			return fmt.Errorf("trial %s has no run %d", o.Trial, i)
		}
		if r.Error == nil && len(r.Values) != len(o.Expect) {
			return fmt.Errorf("trial %s: run %d has %d values; it must have %d", o.Trial, i, len(r.Values), len(o.Expect))
		}
		for _, j := range r.Values {
			if !j.Verdict.known() {
				return fmt.Errorf("trial %s: run %d has the verdict %q; it must be one of %q", o.Trial, i, j.Verdict, verdicts)
			}
		}
	}
	return nil
}

// sameButRuns says in what two shares of a trial differ, other than in their runs.
func (o *Outcome) sameButRuns(other *Outcome) error {
	a, b := *o, *other
	if a.Inputs != b.Inputs {
		return errors.New("they were made of different files or parameters")
	}
	a.Runs, b.Runs = nil, nil
	first, err := json.Marshal(a)
	if err != nil {
		return err
	}
	second, err := json.Marshal(b)
	if err != nil {
		return err
	}
	if string(first) != string(second) {
		return errors.New("they state different trials")
	}
	return nil
}
